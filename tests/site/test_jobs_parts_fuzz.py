"""Whatever is sent to a form of jobs, parts or orders: it is taken or refused, and never breaks."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from jobs_cases import choose_plan, fields

pytestmark = pytest.mark.django_db
FORMS = {
    "/jobs/-/change/pickle-shoes/": None,
    "/jobs/-/by-hand/?car=pickle": None,
    "/jobs/-/recipe/duchess/-/brake-discs/": None,
    "/jobs/-/from-findings/": None,
    "/jobs/-/access/of/pickle/front-left/wheel/": None,
    "/jobs/-/aftercare/new/pickle/": None,
    "/parts/add-offer/": None,
    "/parts/offers/brimbeck-disc-kit/": None,
    "/parts/sellers/": None,
    "/parts/shelf/": None,
    "/parts/paste/": None,
    "/orders/": "/orders/placed/",
}
texts = st.one_of(
    st.text(max_size=12),
    st.sampled_from(
        ["-1", "1e9", "999999999999", "2026-02-30", "\x00", "\ud7ff", "a/b", "own", "--", "x" * 5000, "1,2"]
    ),
)


NAMES = ("q", "car", "place", "part", "seller", "page", "need")
REFUSALS = (b"not saved", b"not noted", b"not clear", b"what would be put in")


@pytest.mark.parametrize("url", FORMS)
def test_anything_may_be_sent(client, demo_workshop, noon, url):
    choose_plan(noon)
    sent = fields(client.get(url).content.decode(), FORMS[url])
    names = sorted({*sent, "extra", "part_9", "column_1"} - {"csrfmiddlewaretoken"})

    @settings(max_examples=6, deadline=None)
    @given(st.dictionaries(st.sampled_from(names), texts, max_size=4))
    def send(typed):
        answer = client.post(FORMS[url] or url, {**sent, **typed})
        assert answer.status_code in (302, 200, 422)
        if answer.status_code == 422:
            assert any(words in answer.content.lower() for words in REFUSALS)

    send()


@pytest.mark.parametrize(
    "url",
    [
        "/jobs/",
        "/jobs/-/library/",
        "/jobs/-/recipe/pickle/-/damper/",
        "/jobs/-/access/",
        "/parts/",
        "/parts/offers/",
        "/parts/add-offer/",
        "/parts/shelf/",
        "/parts/paste/",
    ],
)
def test_any_address_may_be_asked_for(client, demo_workshop, url):
    for value in ("\x00", "<b>'\"&", "9" * 40, "-1", "../.."):
        for names in (NAMES, *((name,) for name in ("car", "place", "page"))):
            answer = client.get(url, dict.fromkeys(names, value))
            assert answer.status_code in (200, 302, 404)
            assert b"<b>'" not in answer.content
