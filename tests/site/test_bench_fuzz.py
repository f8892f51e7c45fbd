"""Whatever is sent to the forms of bench, release and record: an answer in words, never a broken page."""

import datetime as dt

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from site_bench import STINT, yard

from onceapart.bench.entries import Limits, SnagOpened, StopgapFitted, Ticked
from onceapart.site.store.record import DatabaseRecord

pytestmark = pytest.mark.django_db
DAY = dt.datetime(2026, 3, 7, 9, tzinfo=dt.UTC)
FORMS = {
    "/bench/do/": ("stint", "go", "step", "car", "once", "next", "value", "unit-value", "torque-0", "words"),
    "/bench/snags/new/": ("snag", "words", "part", "tool", "danger", "step", "car", "once", "stint"),
    "/bench/snags/1/ways/heat/": ("go", "minutes", "price", "once"),
    "/bench/snags/1/ways/substitute/": ("go", "original", "found", "grip", "shear", "system", "once"),
    "/bench/snags/1/ways/fastener-stopgap/": (
        "go", "what", "where", "system", "until", "distance", "odometer", "speed", "signed_by", "found",
    ),
    "/bench/snags/1/close/": ("how", "to"),
    "/cars/wren/release/answer/": ("check", "answer", "value", "words", "odometer", "once"),
    "/cars/wren/release/ask/": ("once",),
    "/cars/wren/release/grant/": ("name", "odometer", "once"),
    "/cars/wren/release/withdraw/": ("why", "once"),
    "/cars/wren/release/follow-up/": ("follow_up", "odometer", "once"),
    "/cars/wren/release/odometer/": ("odometer", "once"),
    "/cars/wren/release/sign/": ("stopgap", "name", "once"),
    "/cars/wren/release/made-good/": ("stopgap", "by", "once"),
    "/record/note/": ("words", "car", "odometer", "once"),
    "/record/1/strike/": ("why", "once"),
}  # fmt: skip
LIKELY = (
    "", "ticked", "unticked", "started", "yes", "no", "choose", "check", STINT, "wren", "heron", "x", "-1",
    "0", "do:wren-exhaust:joints", "off:wren/front-left/wheel", "check:wren/pedal-hard",
    "wren/pedal-hard",
    "broken fastener", "wrong part", "exhaust", "brakes", "coffee", "M10x50 8.8", "30 mm", "143200 km",
    "1e9 km", "2026-03-20", "0001-01-01", "9999-12-31", "A. Finch", "gap", "wren-exhaust", "--check", "<b>",
    "\x00", "é" * 300,
)  # fmt: skip
TEXT = st.one_of(st.sampled_from(LIKELY), st.text(max_size=30))


@settings(max_examples=90, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_no_form_breaks_whatever_is_sent(client, prepared, data):
    url = data.draw(st.sampled_from(sorted(FORMS)))
    form = {key: data.draw(TEXT) for key in FORMS[url]}
    assert client.post(url, form).status_code in (200, 302, 404, 422), (url, form)


@pytest.fixture
def prepared(db, noon):
    yard(noon)
    record = DatabaseRecord()
    record.append(SnagOpened(time=DAY, car="wren", snag="seized fastener", words="nuts", dangerous=False,
                             job="wren-exhaust", step="do:wren-exhaust:joints"))  # fmt: skip
    record.append(Ticked(time=DAY, car="wren", step="off:wren/front/on-stands", stint=STINT))
    limits = Limits(until=dt.date(2026, 3, 20))
    record.append(StopgapFitted(id="gap", time=DAY, car="wren", what="wire", where="box", system="exhaust",
                                limits=limits, job="wren-exhaust"))  # fmt: skip
