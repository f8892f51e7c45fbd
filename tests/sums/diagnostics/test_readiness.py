"""Readiness: bytes of SAE J1979, rules by model year on both sides of each edge, and what clearing does."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from onceapart.errors import SumError
from onceapart.sums.diagnostics.readiness import (
    cleared,
    combine_statuses,
    decode_status,
    find_rule,
    judge_readiness,
    not_ready_count,
    readiness_rules,
)
from onceapart.sums.diagnostics.replies import Reply, parse_reply
from onceapart.sums.run import run_sum

# SAE J1979 mode 01 PID 01. The first half of the first reply was seen in a public data table; the others are
# worked out by hand from the layout of the bytes.
# reply, lamp, codes, compression, supported, not ready
REPLIES = [
    ("41 01 00 07 E5 00", False, 0, False, 8, []),
    ("41 01 83 07 65 04", True, 3, False, 7, ["fuel vapour (EVAP)"]),
    ("41 01 00 07 65 05", False, 0, False, 7, ["catalyst", "fuel vapour (EVAP)"]),
    ("41 01 00 0F 81 00", False, 0, True, 5, []),
]


@pytest.mark.parametrize(("text", "lamp", "codes", "compression", "supported", "unset"), REPLIES)
def test_replies_decode(text, lamp, codes, compression, supported, unset):
    status = decode_status(parse_reply(text))
    assert (status.lamp_on, status.codes, status.compression) == (lamp, codes, compression)
    assert len(status.monitors) == supported
    assert [each.name for each in status.not_ready] == unset


def test_names_of_monitors_by_ignition():
    spark = decode_status(parse_reply("00 07 E5 00"))
    assert [each.name for each in spark.monitors] == [
        "misfire",
        "fuel system",
        "components",
        "catalyst",
        "fuel vapour (EVAP)",
        "oxygen sensor",
        "oxygen sensor heater",
        "exhaust gas recirculation or valve timing",
    ]
    diesel = decode_status(parse_reply("00 0F 81 00"))
    assert [each.name for each in diesel.once_a_drive] == [
        "NMHC catalyst",
        "exhaust gas recirculation or valve timing",
    ]


@pytest.mark.parametrize(
    ("text", "year", "verdict"),
    [
        # US EPA guidance with 66 FR 18155: 2 unset allowed to model year 2000, 1 from 2001.
        ("41 01 00 07 65 05", 1996, "accepted"),
        ("41 01 00 07 65 05", 2000, "accepted"),
        ("41 01 00 07 65 05", 2001, "rejected"),
        ("41 01 00 07 65 04", 2001, "accepted"),
        ("41 01 00 07 65 25", 2000, "rejected"),
        ("41 01 00 07 E5 00", 2020, "accepted"),
        # 40 CFR 85.2207(c): lamp commanded on with codes fails, whatever the monitors.
        ("41 01 83 07 65 04", 1999, "failed"),
        ("41 01 81 07 65 65", 2005, "failed"),
        # a stored code with the lamp off is no failure
        ("41 01 03 07 65 00", 2005, "accepted"),
        # before the plug
        ("41 01 00 07 65 05", 1995, "not covered"),
    ],
)
def test_verdict_by_model_year(text, year, verdict):
    status = decode_status(parse_reply(text))
    assert judge_readiness(status, find_rule("us-epa", year, compression=status.compression))[0] == verdict


@pytest.mark.parametrize(
    ("text", "year", "verdict"),
    [  # California, from memory
        ("41 01 00 07 65 01", 1999, "accepted"),
        ("41 01 00 07 65 05", 1999, "rejected"),
        ("41 01 00 07 65 04", 2000, "accepted"),
        ("41 01 00 07 65 01", 2000, "rejected"),
        ("41 01 00 0F 81 80", 2006, "rejected"),
        ("41 01 00 0F 81 81", 2007, "accepted"),
        ("41 01 00 0F 81 00", 1997, "not covered"),
    ],
)
def test_california_differs(text, year, verdict):
    status = decode_status(parse_reply(text))
    rule = find_rule("us-california", year, compression=status.compression)
    assert judge_readiness(status, rule)[0] == verdict


bytes_ = st.integers(0, 255)


@given(bytes_, bytes_, bytes_, bytes_)
def test_count_agrees_with_the_decoded_monitors_where_every_bit_has_a_name(a, b, c, d):
    c = c & 0b11101011 if b & 0x08 else c  # bits without a diesel monitor
    status = decode_status(Reply((0x41, 0x01, a, b, c, d)))
    assert len(status.not_ready) == not_ready_count(b, c, d)
    assert status.codes == a % 128
    assert status.lamp_on == (a >= 128)


@given(bytes_, bytes_, bytes_, bytes_, st.integers(1996, 2030))
def test_a_monitor_more_unset_never_improves_the_verdict(b, c, d, more, year):
    order = ["accepted", "rejected"]
    before, after = (decode_status(Reply((0x41, 0x01, 0, b & ~8, c, each))) for each in (d, d | more))
    rule = find_rule("us-epa", year, compression=False)
    verdicts = [order.index(judge_readiness(each, rule)[0]) for each in (before, after)]
    assert verdicts == sorted(verdicts)


@given(bytes_, bytes_, bytes_, bytes_)
def test_clearing_sets_back_all_that_do_not_run_all_the_time(a, b, c, d):
    status = decode_status(Reply((0x41, 0x01, a, b, c, d)))
    after = cleared(status)
    assert (after.lamp_on, after.codes) == (False, 0)
    assert {each.name for each in after.not_ready} == {each.name for each in status.once_a_drive}


def test_two_control_units_count_together():
    engine, gearbox = (decode_status(parse_reply(text)) for text in ("00 07 65 00", "81 04 00 40"))
    both = combine_statuses([engine, gearbox])
    assert both.lamp_on
    assert both.codes == 1
    assert len(both.monitors) == 7
    late = decode_status(parse_reply("00 44 00 00"))  # components supported, not complete
    assert [each.name for each in combine_statuses([engine, late]).not_ready] == ["components"]


def test_clearing_before_the_inspection_backfires_and_the_answer_says_why():
    result = run_sum("diagnostic-readiness", {"replies": "41 01 83 07 65 00", "model-year": "2003"})
    assert result.verdict == "failed"
    assert result.values["verdict_if_cleared"] == "rejected"
    assert result.values["if_cleared"] == 4
    assert any("instead of failing the car would be rejected" in reason for reason in result.reasons)


def test_a_freshly_cleared_car_is_noticed():
    result = run_sum("diagnostic-readiness", {"replies": "41 01 00 07 65 65", "model-year": "2003"})
    assert any("cleared or the battery was off" in warning for warning in result.warnings)


def test_own_figure_goes_before_the_rules():
    asked = {"replies": "41 01 00 07 65 05", "model-year": "2003"}
    assert run_sum("diagnostic-readiness", asked).verdict == "rejected"
    assert run_sum("diagnostic-readiness", {**asked, "allowed": "2"}).verdict == "accepted"


def test_a_dark_lamp_is_told_either_way():
    asked = {"model-year": "2003", "lamp-works": "no"}
    on = run_sum("diagnostic-readiness", {**asked, "replies": "41 01 81 07 65 00"})
    assert any("85.2207(b)" in reason for reason in on.reasons)
    off = run_sum("diagnostic-readiness", {**asked, "replies": "41 01 00 07 65 00"})
    assert any("stays dark" in warning for warning in off.warnings)


def test_continuous_monitors_are_left_out_in_some_places():
    result = run_sum("diagnostic-readiness", {"replies": "41 01 00 77 65 04", "model-year": "2003"})
    assert result.verdict == "rejected"
    assert any("leave continuous monitors out" in warning for warning in result.warnings)


@pytest.mark.parametrize(
    ("replies", "message"),
    [
        ("41 0C 1A F8", "must be 41 01 and four bytes|mode 01 PID 01"),
        ("41 01 83 07 65", "four bytes"),
        ("7E8 06 41 01 83 07 65 04", "leave out the header"),
        ("41 01 8G 07 65 04", "not bytes in hex"),
        ("410", "lost one"),
        ("NO DATA", "not bytes in hex"),
    ],
)
def test_other_replies_are_refused(replies, message):
    with pytest.raises(SumError, match=message):
        run_sum("diagnostic-readiness", {"replies": replies, "model-year": "2003"})


def test_edges_are_refused():
    with pytest.raises(SumError, match="not a byte"):
        not_ready_count(256, 0, 0)
    with pytest.raises(SumError, match="no such rules; choose from us-california, us-epa"):
        find_rule("mars", 2000, compression=False)
    with pytest.raises(SumError, match="no replies"):
        combine_statuses([])


def test_rules_are_data_with_a_source_and_do_not_overlap():
    rules = readiness_rules()
    for each in rules:
        assert each.document
        assert each.status in {"verified", "from memory"}
        for other in rules:
            if other is not each and (other.rules, other.ignition) == (each.rules, each.ignition):
                assert other.from_year > each.to_year or other.to_year < each.from_year
