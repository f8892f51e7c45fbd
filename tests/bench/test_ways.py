"""Ways on from a snag, and what choosing one writes and does to what is left."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from snag_cases import SATURDAY, Bench, at, workshop

from onceapart.bench.entries import SNAG_KINDS, Ordered, SnagOpened, StopgapFitted
from onceapart.bench.snag import SnagError
from onceapart.bench.state import State
from onceapart.bench.stopgap import make_good_problems, needs_check, why_not_to_drive
from onceapart.bench.ways import WayOn
from onceapart.bench.ways_choose import Choice, Chosen, choose
from onceapart.errors import TradeDataError
from onceapart.planning.plan import Status
from onceapart.planning.solve import best_plan
from onceapart.planning.workload import workload_from
from onceapart.trade.library import Library
from onceapart.trade.snag_ways import all_ways, load_ways_file, ways_of
from onceapart.workshop.money import parse_money

GOOD_BOLT = {"original": "M10x50 8.8", "found": "M10x55 10.9", "grip": "32 mm"}
WEAK_BOLT = {**GOOD_BOLT, "found": "M10x55 4.6"}
SAME_BOLT = {**GOOD_BOLT, "found": "M10x50 8.8"}


def chosen(bench: Bench, opened: SnagOpened, way: str, at_: int = 0, **more: Any) -> Chosen:
    """Choose a way and keep what it writes."""
    found = bench.ways(opened)[way][at_]
    choice = Choice(time=at(1), **more)
    made = choose(bench.work, bench.state, bench.left(), opened, bench.where(opened), found, choice)
    bench.add(*made.entries)
    return made


def room(bench: Bench, **more: Any) -> int:
    """Minutes left today."""
    stints = bench.left(**more).workload.stints
    return next((one.minutes for one in stints if one.date == SATURDAY), 0)


@pytest.mark.parametrize("kind", SNAG_KINDS)
def test_every_kind_has_ways_and_one_of_them_never_needs_anything(kind: str) -> None:
    ways = ways_of(kind)
    assert len({way.id for way in ways}) == len(ways) >= 3
    assert {way.act for way in ways} & {"put-off", "stop"}
    for way in ways:
        assert way.basis == "common practice, no source"
        assert set(way.cautions) <= set(Library().cautions)


def test_hot_work_is_not_offered_near_fuel_and_airbags() -> None:
    hot = [way for way in all_ways().values() if {"naked-flame", "welding-fire"} & {*way.cautions}]
    assert len(hot) >= 3
    assert all({"fuel", "airbags"} <= {*way.not_for} for way in hot)


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("works: 0.5", "works: 1.5", "at most 1"),
        ("good: 8", "good: 800", "in order"),
        ("[eye-protection]", "[eye-protecton]", "did you mean eye-protection"),
        ("act: work", "act: stopgap", "days"),
        ("[seized fastener]", "[seized fastner]", "seized fastener"),
        ("price: 3.00", "price: 3,00", "decimal point"),
    ],
)
def test_a_file_of_ways_that_is_wrong_says_where(tmp_path: Path, old: str, new: str, said: str) -> None:
    text = (
        "format: onceapart-ways/1\nbasis: common practice, no source\nways:\n"
        "  - id: oil\n    title: Oil\n    for: [seized fastener]\n    do: Wait.\n    act: work\n"
        "    minutes: {good: 8, typical: 20, bad: 45}\n    price: 3.00\n    works: 0.5\n"
        "    cautions: [eye-protection]\n"
    )
    file = tmp_path / "ways.yaml"
    file.write_text(text, encoding="utf-8")
    assert [way.id for way in load_ways_file(file)] == ["oil"]
    file.write_text(text.replace(old, new), encoding="utf-8")
    with pytest.raises(TradeDataError) as raised:
        load_ways_file(file)
    (problem,) = raised.value.problems
    assert problem.line is not None
    assert said in f"{problem.rule}; {problem.way_out}"


def test_offers_are_laid_side_by_side_with_delivery_and_day() -> None:
    bench = Bench()
    ways = bench.ways(bench.snag("wrong-part", "wren-arm"))
    (counter,) = ways["part-counter"]
    assert (counter.price, counter.goes_on) == (6900, SATURDAY)
    posts = {one.buy.offer.id: one for one in ways["part-order"] if one.buy}
    assert {name: one.price for name, one in posts.items()} == {
        "post-a-arm": 4100 + 650,
        "post-b-arm": 2900 + 490,
    }
    assert posts["post-a-arm"].goes_on == dt.date(2026, 3, 21)  # there on the 18th
    assert posts["post-b-arm"].goes_on == dt.date(2026, 4, 4)  # there on the 23rd
    assert all(one.holds for one in posts.values())
    (back,) = ways["part-return"]
    assert back.price == 2900 + 490 + parse_money(back.way.price)
    late = bench.ways(bench.entries[-1], day=dt.date(2026, 4, 3))["part-order"]  # type: ignore[arg-type]
    assert {one.buy.offer.id: one.holds for one in late if one.buy} == {
        "post-a-arm": False,
        "post-b-arm": False,
    }


def test_an_order_goes_into_the_parcel_that_was_paid_for_today() -> None:
    bench = Bench()
    opened = bench.snag("wrong-part", "wren-arm")
    chosen(bench, opened, "part-order")
    ways = bench.ways(bench.snag("bad-part", "wren-exhaust", part="wren/rear/exhaust-section"))
    assert [one.price for one in ways["part-order"]] == [7900]  # no second 6.50


def test_what_there_was_one_of_can_not_be_ordered_again() -> None:
    bench = Bench(workshop(**{"lower-arm: 1}, price: 29.00": "lower-arm: 1}, price: 29.00, limit: 1"}))
    opened = bench.snag("wrong-part", "wren-arm")
    assert len(bench.ways(opened)["part-order"]) == 2
    chosen(bench, opened, "part-order", 1)
    assert bench.left().workload.offer["post-b-arm"].limit == 0
    again = bench.ways(bench.snag("bad-part", "wren-arm"))["part-order"]
    assert [one.buy.offer.id for one in again if one.buy] == ["post-a-arm"]


def test_the_first_order_noted_brings_the_plan_s_with_it() -> None:
    plan = best_plan(workload_from(workshop())).plan
    for kind, way, more in (
        ("wrong-part", "part-order", {}),
        ("missing-tool", "buy", {"tool": "spring-compressor"}),
    ):
        bench = Bench(plan=plan)
        before = bench.left().spent
        made = chosen(bench, bench.snag(kind, "wren-arm", **more), way)
        orders = [one for one in made.entries if isinstance(one, Ordered)]
        assert len(orders) == len(plan.units) + 1  # type: ignore[union-attr]
        spent = bench.left().spent
        extra = orders[-1].price + orders[-1].delivery
        assert spent.money == before.money + extra
        assert {one.placed for one in orders[:-1]} == {dt.date(2026, 3, 2)}


def test_a_part_ordered_is_paid_and_comes_on_its_day() -> None:
    bench = Bench()
    opened = bench.snag("wrong-part", "wren-arm")
    before = best_plan(bench.left().workload)
    made = chosen(bench, opened, "part-order", 0)
    assert [entry.kind for entry in made.entries] == ["way chosen", "ordered"]
    left = bench.left()
    assert (left.spent.goods, left.spent.delivery) == (4100, 650)
    assert [one.parts for one in left.stock.coming] == [{"wren/front-left/lower-arm": 1}]
    again = best_plan(left.workload)
    assert before.cost is not None
    assert again.cost is not None
    assert before.cost.goods - again.cost.goods >= 2900, "the arm is not bought again"


def test_a_part_from_the_counter_is_in_the_house_today() -> None:
    bench = Bench()
    chosen(bench, bench.snag("wrong-part", "wren-arm"), "part-counter", price=6500)
    left = bench.left()
    assert left.spent.goods == 6500
    assert left.stock.shelf["wren/front/drop-link"] == 1
    assert left.workload.shelf.get("wren/front-left/lower-arm", 0) == 1


@pytest.mark.parametrize(("way", "adds"), [("heat", True), ("drill-out", True), ("fastener-counter", False)])
def test_minutes_of_work_go_with_the_job_others_off_today(way: str, adds: bool) -> None:
    bench = Bench()
    opened = bench.snag("seized", "wren/front-left/lower-ball-joint")
    usual, today = bench.left().workload.job["wren-arm"].minutes, room(bench)
    chosen(bench, opened, way, minutes=37)
    left = bench.left()
    assert left.workload.job["wren-arm"].minutes == usual + 37 * adds
    assert room(bench) == today - 37 * (not adds)
    later = bench.left(day=dt.date(2026, 3, 20))
    assert later.workload.job["wren-arm"].minutes == usual + 37 * adds


def test_a_new_fastener_is_used_where_the_file_has_it() -> None:
    bench = Bench()
    chosen(bench, bench.snag("seized", "wren/front-left/lower-ball-joint"), "cut-off")
    assert bench.left().workload.job["wren-arm"].parts["wren/front/ball-joint-nut"] == 1
    other = Bench(workshop(**{"wren/front/ball-joint-nut: 1": "wren/front/other-nut: 1"}))
    chosen(other, other.snag("seized", "wren/front-left/lower-ball-joint"), "cut-off")
    assert "wren/front/ball-joint-nut" not in other.left().workload.job["wren-arm"].parts


def test_a_job_put_off_is_done_on_another_day_and_no_later_than_it_must() -> None:
    bench = Bench(plan=best_plan(workload_from(workshop())).plan)
    opened = bench.snag("short-of-time", "wren-discs")
    before = best_plan(bench.left().workload).plan
    assert before is not None
    assert before.stint_of("wren-discs") == 0
    chosen(bench, opened, "close-up")
    after = best_plan(bench.left().workload).plan
    assert after is not None
    assert after.stint_of("wren-discs") in (1, 2)
    tomorrow = bench.left(day=dt.date(2026, 3, 15))
    assert {*tomorrow.workload.job["wren-discs"].parts} == {
        "wren/front/brake-disc",
        "wren/front/brake-pad-set",
    }


def test_a_job_is_left_only_where_it_may_be() -> None:
    bench = Bench()
    assert "must be done" in bench.ways(bench.snag("short", "wren-discs"))["leave-it"][0].against
    chosen(bench, bench.snag("short", "wren-links"), "leave-it")
    assert "wren-links" not in bench.left().workload.job


@pytest.mark.parametrize(("need", "stays"), [("wish, worth: 5.00", False), ("safety", True)])
def test_what_comes_after_a_job_that_is_left_is_left_too_unless_it_must_be_done(
    need: str, stays: bool
) -> None:
    line = "- {id: wren-links,"
    wax = f"- {{id: wren-wax, car: wren, need: {need}, minutes: 20, after: [wren-links]}}\n  {line}"
    bench = Bench(workshop(**{line: wax}))
    chosen(bench, bench.snag("short", "wren-links"), "leave-it")
    left = bench.left()
    assert {"wren-links", "wren-wax"} & {*left.workload.job} == (
        {"wren-links", "wren-wax"} if stays else set()
    )
    assert any("must be done" in note for note in left.notes) is stays


def test_today_ends_or_is_drawn_out() -> None:
    bench = Bench()
    opened = bench.snag("short", "wren-discs")
    assert room(bench) == 360
    chosen(bench, opened, "longer", minutes=45)
    assert room(bench) == 405
    bench.tick("off:wren/front/on-stands")
    chosen(bench, opened, "stop-as-it-is")
    assert room(bench) == 0
    assert bench.left().workload.off_now == {"wren/front/on-stands"}
    assert room(bench, minutes_left={"2026-03-14": 50}) == 50, "what a person says goes first"


@pytest.mark.parametrize(("way", "is_had"), [("borrow", True), ("buy", True), ("hire", False)])
def test_a_missing_tool(way: str, is_had: bool) -> None:
    priced = {"splitter, have: true": "splitter, have: true, hire: 4.00, buy: 19.00"}
    bench = Bench(workshop(**priced))
    opened = bench.snag("missing-tool", "wren-arm", tool="ball-joint-splitter")
    assert not bench.left().workload.tool["ball-joint-splitter"].have
    found = bench.ways(opened)[way][0]
    assert found.price == {"borrow": 0, "buy": 1900, "hire": 400}[way]
    chosen(bench, opened, way)
    left = bench.left()
    assert left.workload.tool["ball-joint-splitter"].have is is_had
    assert left.spent.tools == 1900 * (way == "buy")


def test_damage_becomes_a_job() -> None:
    bench = Bench()
    opened = bench.snag("damage-found", "wren-arm")
    with pytest.raises(SnagError, match="--minutes"):
        chosen(bench, opened, "new-job")
    made = chosen(bench, opened, "new-job", recipe="ball-joint", place="front-left")
    assert made.jobs == (
        {"id": "wren-ball-joint-front-left", "car": "wren", "need": "safety", "recipe": "ball-joint",
         "place": "front-left"},
    )  # fmt: skip


def test_somebody_else_does_it() -> None:
    bench = Bench()
    chosen(bench, bench.snag("broken", "wren-arm", part="ball-joint-nut"), "somebody-else", price=4000)
    job = bench.left().workload.job["wren-arm"]
    assert (job.minutes, job.access, job.parts, job.tools) == (60, (), {}, ())
    assert bench.left().spent.ways == 4000


def stopgap_of(bench: Bench, state: State) -> Any:
    (found,) = state.open_stopgaps("wren")
    return found


@pytest.mark.parametrize(
    ("check", "signed", "drives"),
    [(GOOD_BOLT, "A. Finch", True), (GOOD_BOLT, None, False), (SAME_BOLT, "A. Finch", True)],
)
def test_another_bolt_in_the_steering_is_a_stopgap_whatever_the_sum_says(
    check: dict[str, str], signed: str | None, drives: bool
) -> None:
    bench = Bench()
    opened = bench.snag("broken", "wren/front-left/lower-ball-joint")
    made = chosen(bench, opened, "substitute", check=check, where="pinch bolt", signed_by=signed)
    assert [entry.kind for entry in made.entries] == ["way chosen", "stopgap fitted", "snag closed"]
    stopgap = stopgap_of(bench, bench.state)
    assert (why_not_to_drive(stopgap) is None) is drives
    assert not stopgap.fitted.limits.do_not_drive, "a signature may still come"
    assert made.jobs[0]["need"] == "safety"
    left = bench.left()
    (job,) = left.jobs.added
    assert left.workload.job[job].is_must
    assert left.workload.job[job].last_day == SATURDAY + dt.timedelta(days=14)
    assert make_good_problems(left.workshop, bench.state, SATURDAY) == []


def test_a_bolt_that_the_sum_does_not_pass_can_not_be_chosen() -> None:
    bench = Bench()
    opened = bench.snag("broken", "wren/front-left/lower-ball-joint")
    with pytest.raises(SnagError, match="not usable"):
        chosen(bench, opened, "substitute", check=WEAK_BOLT, where="pinch bolt")
    with pytest.raises(SnagError, match="--check"):
        chosen(bench, opened, "substitute")
    with pytest.raises(SnagError, match="says nothing of what holds the structure"):
        chosen(bench, opened, "substitute", check=GOOD_BOLT, where="pinch bolt", system="structure")
    with pytest.raises(SnagError, match="grip"):
        chosen(bench, opened, "substitute", check={**GOOD_BOLT, "grip": "32 bananas"}, where="pinch bolt")


def test_a_makeshift_in_the_steering_without_a_sum_is_to_stand_on() -> None:
    bench = Bench()
    opened = bench.snag("broken", "wren/front-left/lower-ball-joint")
    for way in ("substitute", "fastener-stopgap"):
        assert any("DO NOT DRIVE" in text for text in bench.ways(opened)[way][0].effects)
    chosen(bench, opened, "fastener-stopgap", what="wire", where="joint", signed_by="A. Finch")
    assert stopgap_of(bench, bench.state).fitted.limits.do_not_drive


def test_in_the_exhaust_a_bolt_as_good_settles_it() -> None:
    bench = Bench()
    made = chosen(bench, bench.snag("broken", "wren-exhaust"), "substitute", check=SAME_BOLT)
    assert [entry.kind for entry in made.entries] == ["way chosen", "snag closed"]
    assert bench.state.open_snags() == ()


@given(
    kind=st.sampled_from(["broken fastener", "seized fastener", "damage found"]),
    step=st.sampled_from(["wren-discs", "wren-arm", "wren-exhaust", "wren-links"]),
    check=st.sampled_from([{}, GOOD_BOLT, SAME_BOLT]),
    signed=st.sampled_from([None, "A. Finch"]),
    stands=st.booleans(),
    system=st.sampled_from([None, "brakes", "exhaust", "structure"]),
)
@settings(max_examples=40, deadline=None)
def test_no_makeshift_where_a_failure_kills_is_fine_without_check_and_signature(
    kind: Any, step: str, check: dict[str, str], signed: str | None, stands: bool, system: str | None
) -> None:
    bench = Bench()
    opened = bench.snag(kind, step)
    if system == "structure":
        check = {}
    way = "damage-stopgap" if kind == "damage found" else "fastener-stopgap"
    where = bench.where(opened)
    if system == "exhaust" and system not in where.systems:
        assert needs_check(where.system)
        with pytest.raises(SnagError, match="by its job this is in the"):
            chosen(bench, opened, way, what="wire", where="hanger", system=system)
        system = None
    chosen(
        bench, opened, way, what="wire", where="hanger", check=check, signed_by=signed, stands=stands,
        system=system,
    )  # fmt: skip
    stopgap = stopgap_of(bench, bench.state)
    fitted = stopgap.fitted
    assert isinstance(fitted, StopgapFitted)
    assert needs_check(fitted.system) >= needs_check(where.system)
    if needs_check(fitted.system) and not (check and signed):
        assert why_not_to_drive(stopgap) is not None
    if stands:
        assert why_not_to_drive(stopgap) is not None
    answer = best_plan(bench.left().workload)
    assert answer.status is Status.PROVEN
    assert answer.plan is not None
    assert fitted.job in answer.plan.done, "no plan leaves a stopgap"


def test_effects_say_what_waits_and_what_stands() -> None:
    bench = Bench(
        workshop(**{"need: upkeep, worth: 40.00,": "need: upkeep, worth: 40.00, after: [wren-arm],"})
    )
    bench.tick("off:wren/front/on-stands", "off:wren/front-left/wheel")
    ways = bench.ways(bench.snag("wrong-part", "wren-arm"))
    order = next(one for one in ways["part-order"] if one.buy and one.buy.offer.id == "post-a-arm")
    assert order.waits == ("wren-arm", "wren-links")
    text = " ".join(order.effects)
    assert "wren-arm and wren-links wait until 21 March." in text
    assert "2 things are off the car" in text
    assert "Leaves 341 of the 351 minutes left today." in text
    assert isinstance(order, WayOn)
