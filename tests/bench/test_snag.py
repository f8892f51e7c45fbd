"""Snags: what is typed, where on the car it is, and whether the car is dangerous by it."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from snag_cases import Bench, at

from onceapart.bench.entries import SNAG_KINDS, SnagClosed
from onceapart.bench.snag import SnagError, kind_of, same_snag, snag_entry
from onceapart.bench.stopgap import needs_check
from onceapart.trade.snag_ways import SNAGS


def test_trade_and_bench_speak_of_the_same_kinds() -> None:
    assert SNAGS == SNAG_KINDS


@pytest.mark.parametrize("kind", SNAG_KINDS)
def test_a_kind_is_understood_as_one_types_it(kind: str) -> None:
    for typed in (kind, kind.replace(" ", "-"), kind.upper(), f" {kind} "):
        assert kind_of(typed) == kind
    first, *_ = kind.split()
    assert kind_of(first) == kind
    assert kind_of(first[:3]) == kind


@pytest.mark.parametrize(
    ("typed", "said"),
    [("brokn-fastener", "did you mean broken-fastener"), ("part", "wrong-part"), ("", "use")],
)
def test_a_kind_that_is_none_or_several_is_refused(typed: str, said: str) -> None:
    with pytest.raises(SnagError, match=said):
        kind_of(typed)


@given(st.text(max_size=20))
@settings(max_examples=60)
def test_no_text_gives_a_kind_that_it_does_not_name(typed: str) -> None:
    words = typed.strip().lower().replace("-", " ")
    meant = [kind for kind in SNAG_KINDS if words and (kind.startswith(words) or words in kind.split())]
    if len(meant) == 1:
        assert kind_of(typed) == meant[0]
    else:
        with pytest.raises(SnagError, match="there is no such kind"):
            kind_of(typed)


@pytest.mark.parametrize(
    ("kind", "steps", "dangerous"),
    [
        ("broken-fastener", ["wren-discs"], True),  # brakes
        ("broken-fastener", ["wren-exhaust"], False),
        ("broken-fastener", ["off:wren/front-left/wheel"], True),
        ("damage-found", ["wren-arm"], True),
        ("damage-found", [], True),  # nobody knows where
        ("seized-fastener", ["wren-discs"], False),  # it still holds
        ("short-of-time", ["wren-discs"], False),
    ],
)
def test_a_car_is_dangerous_where_a_failure_can_kill(kind: str, steps: list[str], dangerous: bool) -> None:
    bench = Bench()
    opened = bench.snag(kind, *steps)
    assert opened.dangerous is dangerous
    for said in (True, False):
        assert bench.snag(kind, *steps, dangerous=said).dangerous is said
    if dangerous:
        assert needs_check(bench.where(opened).system)


def test_the_job_follows_from_the_step_and_the_part_from_the_job() -> None:
    bench = Bench()
    opened = bench.snag("wrong-part", "do:wren-arm:compare")
    assert (opened.job, opened.part) == ("wren-arm", "wren/front-left/lower-arm")
    assert bench.snag("bad-part", "wren-discs", part="brake-disc").part == "wren/front/brake-disc"
    nut = bench.snag("seized-fastener", "wren/front-left/lower-ball-joint")
    assert (nut.blocks, nut.job) == (("off:wren/front-left/lower-ball-joint",), "wren-arm")
    assert nut.part == "wren/front/ball-joint-nut"
    assert bench.snag("seized", "wren-links").part is None, "several kinds are met there: it may be any"


def test_a_job_that_is_done_is_not_the_one_that_an_access_is_off_for() -> None:
    bench = Bench()
    assert bench.snag("seized", "wren/front-left/wheel").job == "wren-discs"
    bench.tick("do:wren-discs")
    assert bench.snag("seized", "wren/front-left/wheel").job == "wren-arm"


def test_the_same_said_again_is_the_same_snag() -> None:
    bench = Bench()

    def again() -> object:
        entry = snag_entry(bench.work, bench.state, "wren", "wrong part", ["wren-arm"], time=at(5), words="x")
        return same_snag(bench.state, entry)

    assert again() is None
    first = bench.snag("wrong-part", "wren-arm")
    found = again()
    assert found is not None
    assert found.opened.id == first.id  # type: ignore[attr-defined]
    bench.add(SnagClosed(time=at(9), snag=first.id, how="it fits"))
    assert again() is None


@pytest.mark.parametrize(
    ("kind", "steps", "more", "said"),
    [
        ("wrong-part", ["wren-discs"], {}, "which part"),
        ("wrong-part", ["wren-discs"], {"part": "brake-disk"}, "wren/front/brake-disc"),
        ("missing-tool", ["wren-exhaust"], {}, "which"),
        ("missing-tool", ["wren-exhaust"], {"tool": "spring-compresor"}, "spring-compressor"),
        ("broken-fastener", ["wren-exhuast"], {}, "wren-exhaust"),
        ("broken-fastener", ["check:wren/pedal-hard"], {}, "answered"),
        ("broken-fastener", ["wren-arm"], {"job": "wren-armm"}, "did you mean wren-arm"),
    ],
)
def test_what_is_not_there_is_refused_with_a_way_out(
    kind: str, steps: list[str], more: dict[str, str], said: str
) -> None:
    with pytest.raises(SnagError, match=said):
        Bench().snag(kind, *steps, **more)
