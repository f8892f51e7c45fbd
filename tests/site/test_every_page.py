"""Every page that the links lead to, and every form on them: read by machine, looked at in a browser, abused.

What needs a browser is skipped, and said so, where there is no Chromium (Debian's package ``chromium``).
"""

import random
from collections import Counter
from urllib.parse import urljoin, urlsplit

import pytest
from browsing import AXE, CHROMIUM, DESK, PHONE, RULES, chromium, complaints_of, served
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import transaction
from django.test import Client
from django.urls import resolve
from page_reader import TYPED, PageRead
from site_bench import tick, yard, yard_card

from onceapart.demo import demo_text
from onceapart.site.server.headers import HEADERS
from onceapart.site.store import record

MOST = 220
"""Pages walked at most."""
LONGEST = 2000
"""Letters that are shown again of what was typed into one field, at least."""
HELD_AGAINST = "rules => axe.run(document, {runOnly: rules, resultTypes: ['violations']})"
STRINGS = (
    "",
    " ",
    "\x00",
    "<script>alert(1)</script>",
    "'; DROP TABLE store_version; --",
    "{{ 7|add:7 }}{% debug %}",
    "=1+1",
    "-1",
    "0",
    "1e999",
    "NaN",
    "9" * 40,
    "1_000",
    "²",
    "١٢٣",
    "½",
    "1/0",
    "12 kg",
    "12,5 mm",
    "2026-02-30",
    "9999-12-31",
    "0000-00-00",
    "../../etc/passwd",
    "a/b//c",
    "--",
    "own",
    "‮fdp.exe",
    "e\u0301\u0301\u0301 🛠️",
    "two\r\nlines\n",
    "key: value\nkey: value",
    "- [x",
    "&lt;b&gt; & \" '",
    "x" * 5000,
)


def busy(noon):
    """The demo with its plan, and something in everything that a page can show."""
    yard(noon, demo_text())
    client = Client()
    card = yard_card(demo_text())
    steps = [step for step in card.steps if step.kind not in ("check", "aftercare")]
    for number, step in enumerate(steps[:6]):
        answer = client.post(
            "/bench/send/", {"entries": [tick(number, step.id, step.car)]}, "application/json"
        )
        assert answer.status_code == 200
    step = next(step for step in steps[6:] if step.id.startswith("do:"))
    stint = card.date.isoformat()
    form = {"step": step.id, "car": step.car, "stint": stint, "words": "sheared", "once": "snag"}
    assert client.post("/bench/snags/new/", {"snag": "broken fastener", **form}).status_code == 302
    page = PageRead(client.get("/orders/").content.decode())
    for form in [one for one in page.forms if one.action == "/orders/placed/"][:1]:
        assert client.post(form.action, form.sent()).status_code == 302
    record.forget()
    return client


def walk(client, most_of_a_kind):
    """Pages from the first one on, by address: kind, answer, and what is in it.

    Of pages whose addresses differ only in what they are about, the first few.
    """
    found, seen, of_a_kind = {}, {"/"}, Counter()
    waiting = ["/", "/take-in/", "/come-in/"]
    while waiting and len(found) < MOST:
        url = waiting.pop(0)
        kind = resolve(urlsplit(url).path).url_name
        of_a_kind[kind] += 1
        if of_a_kind[kind] > most_of_a_kind:
            continue
        answer = client.get(url)
        assert answer.status_code in (200, 302), url
        if answer.status_code == 302 or not answer["Content-Type"].startswith("text/html"):
            continue
        page = PageRead(answer.content.decode())
        found[url] = (kind, answer, page)
        for link in page.links:
            parts = urlsplit(urljoin(url, link))
            assert not parts.netloc, f"{url} leads elsewhere: {link}"
            there = parts.path + (f"?{parts.query}" if parts.query else "")
            if there not in seen and not parts.path.startswith(("/paper/", "/static/")):
                seen.add(there)
                waiting.append(there)
    return found


@pytest.mark.django_db
def test_every_page_is_whole_and_keeps_to_itself(noon):
    client = busy(noon)
    pages = walk(client, 3)
    kinds = Counter(kind for kind, _, _ in pages.values())
    assert len(kinds) > 40
    assert {"workshop", "findings", "plan-run", "bench-stint", "snag-way", "release", "record", "sum"} <= set(
        kinds
    )
    loaded = set()
    for url, (_, answer, page) in pages.items():
        assert page.headings == 1, url
        assert page.inline == [], url
        for name, value in HEADERS.items():
            assert answer[name] == value, url
        assert answer["X-Content-Type-Options"] == "nosniff"
        for one in page.loaded:
            assert not urlsplit(one).netloc or one.startswith("data:"), (url, one)
            loaded.add(urljoin(url, one))
        for form in page.forms:
            assert not urlsplit(form.action).netloc, (url, form.action)
            assert form.method == "get" or "csrfmiddlewaretoken" in form.fields, (url, form.action)
    for one in loaded:
        answer = client.get(one)
        assert answer.status_code == 200, one
        answer.close()


def abuse(form, random_):
    """What is sent: every field to be typed into with anything, then everything with anything at all."""
    for wildness in (0, 0, 1):
        sent = form.sent()
        for one in form.fields.values():
            if one.kind == "file":
                if random_.random() < 0.7:
                    junk = random_.choice([b"", b"\x89PNG\r\n\x1a\n junk", b"\xff\xfe\x00", b"a: [b"])
                    sent[one.name] = [SimpleUploadedFile("../x.png", junk)]
            elif one.kind in TYPED or (wildness and random_.random() < 0.5):
                sent[one.name] = [random_.choice(STRINGS)]
            elif one.offered:
                sent[one.name] = [random_.choice(one.offered)]
        if wildness and sent and random_.random() < 0.5:
            sent.pop(random_.choice(sorted(sent)))
        yield bool(wildness), sent


def send(client, method, there, form, sent, is_wild):
    """Status of the answer, and what is wrong with it."""
    try:
        answer = (client.post if method == "post" else client.get)(there, sent)
    except Exception as error:
        return 500, [repr(error)[:300]]
    wrong, body = [], answer.content.decode(errors="replace")
    if answer.status_code not in (200, 302, 404, 422):
        wrong.append(answer.status_code)
    if "<script>alert(" in body:
        wrong.append("a script came back as it was sent")
    if answer.status_code == 422 and not is_wild:
        wrong += lost(form, sent, PageRead(body))
    if client.get("/workshop.yaml" if answer.status_code != 302 else "/").status_code != 200:
        wrong.append("the workshop can't be read any more")
    return answer.status_code, wrong


def lost(form, sent, again):
    """Fields whose words are not in the form that is shown again."""
    for name, values in sent.items():
        one, typed = form.fields[name], plain(values[0]) if isinstance(values[0], str) else ""
        back = [plain(value) for f in again.forms if name in f.fields for value in f.fields[name].values]
        if one.kind in TYPED - {"password"} and not any(typed[:LONGEST] in value for value in back):
            yield f"{name} is lost: {back}"


def plain(text):
    """As a browser and the checks may both change it: line breaks, and room around it."""
    return text.replace("\r\n", "\n").replace("\x00", "").strip()


@pytest.mark.django_db
def test_no_form_breaks_or_loses_what_was_typed_whatever_is_sent(noon):
    client = busy(noon)
    forms = {}
    for url, (_, _, page) in walk(client, 2).items():
        for form in page.forms:
            there = urljoin(url, form.action or url)
            key = (resolve(urlsplit(there).path).url_name, form.method, tuple(sorted(form.fields)))
            forms.setdefault(key, (there, form))
    random_, wrong, answers = random.Random(2014), [], Counter()
    for (kind, method, _), (there, form) in forms.items():
        for is_wild, sent in abuse(form, random_):
            with transaction.atomic():
                status, problems = send(client, method, there, form, sent, is_wild)
                transaction.set_rollback(True)
            record.forget()
            answers[method, status] += 1
            wrong += [(kind, sent, problem) for problem in problems]
    assert wrong == []
    assert len(forms) > 60
    assert answers["post", 302] > 50
    assert answers["post", 422] > 50


@pytest.fixture
def browser():
    with chromium() as found:
        yield found


@pytest.mark.skipif(not CHROMIUM, reason="NO CHROMIUM: no page is looked at in a browser; install chromium")
@pytest.mark.django_db(transaction=True)
def test_every_kind_of_page_can_be_read_and_fits(browser, noon):
    urls = list(walk(busy(noon), 1))
    assert len(urls) > 40
    wrong = []
    with served() as address:
        for size, scheme in ((PHONE, "light"), (DESK, "dark")):
            context = browser.new_context(base_url=address, viewport=size, color_scheme=scheme)
            complaints = complaints_of(context, address)
            page = context.new_page()
            for url in urls:
                answer = page.goto(url)
                assert answer.status == 200, url
                wide = page.evaluate("document.documentElement.scrollWidth")
                if wide > size["width"]:
                    wrong.append((url, f"{wide} wide on {size['width']}"))
                page.evaluate(AXE)
                found = page.evaluate(HELD_AGAINST, RULES)["violations"]
                wrong += [
                    (url, one["id"], [node["html"][:200] for node in one["nodes"]][:3]) for one in found
                ]
            context.close()
            wrong += complaints
    assert wrong == []
