"""Verdicts: the latest reading counts, what is not known is gone through, the worst item decides."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from cases import EU, HOME, LAWS, TODAY, US, car, finding, inspected, judged
from hypothesis import given, settings
from hypothesis import strategies as st

from onceapart.inspection.judging import Verdict
from onceapart.inspection.plain import inspection_to_json
from onceapart.inspection.verdicts import CarVerdict, Outcome
from onceapart.inspection.wording import asked_words
from onceapart.sums.brakes.performance import efficiency_percent, imbalance_percent
from onceapart.trade.rules import CLASSES, load_pack, pack_ids
from onceapart.workshop import CORNERS, PLACES, Finding

EARLIER = TODAY - dt.timedelta(days=30)


def verdicts(found: CarVerdict) -> dict[tuple[str, str], str]:
    return {one.key: str(one.verdict) for one in found.verdicts}


# Which readings count


def test_the_latest_reading_counts() -> None:
    worn = finding("tread-depth", "front-left", "1.2 mm", date=EARLIER)
    new = finding("tread-depth", "front-left", "7.5 mm")
    for order in ([worn, new], [new, worn]):
        assert verdicts(inspected(order)) == {("tread-depth", "front-left"): "passes"}


def test_faults_of_one_day_add_up_until_it_is_sound() -> None:
    cut, soft = finding("tyre", "front-left", ("cut",)), finding("tyre", "front-left", ("soft",))
    (found,) = inspected([cut, soft]).verdicts
    assert {word for one in found.readings for word in one.words} == {"cut", "soft"}
    assert [rule.class_ for rule in found.rules] == ["major", "minor"], "both rows are told, the worst first"
    (mended,) = inspected([cut, soft, finding("tyre", "front-left")]).verdicts
    assert mended.verdict is Verdict.PASSES


def test_a_fault_found_later_on_a_day_takes_the_place_of_sound() -> None:
    (found,) = inspected([finding("tyre", "front-left"), finding("tyre", "front-left", ("cut",))]).verdicts
    assert [one.words for one in found.readings] == [("cut",)]


def test_a_fault_at_a_part_stays_until_that_part_is_looked_at_again() -> None:
    rusted = finding("brake-pipe", "rear-left", ("rusted-thin",), date=EARLIER)
    other = finding("brake-pipe", "rear-right")
    assert verdicts(inspected([rusted, other])) == {
        ("brake-pipe", "rear-left"): "major",
        ("brake-pipe", "rear-right"): "passes",
    }
    for mended in (finding("brake-pipe", "rear-left"), finding("brake-pipe", "rear")):
        assert "major" not in verdicts(inspected([rusted, mended])).values()


def test_a_part_that_is_sound_does_not_make_the_whole_looked_at() -> None:
    rear = ("brake-pipe", "rear")
    half = inspected([finding("brake-pipe", "rear-right")])
    whole = inspected([finding("brake-pipe", "rear")])
    assert rear in {one.key for one in half.unchecked}
    assert rear not in {one.key for one in whole.unchecked}


# What is not known


def test_what_is_not_known_makes_no_difference_where_every_possibility_agrees() -> None:
    """Without a date of registration: 45 % fails by both figures, 60 % passes by both, 55 % can't be told."""
    figures = {"45 %": "major", "60 %": "passes", "55 %": "not checked", "20 %": "dangerous"}
    for percent, verdict in figures.items():
        (found,) = inspected([finding("brake-efficiency", None, percent)]).verdicts
        assert (found.verdict, found.is_open) == (verdict, verdict == "not checked")


def test_a_limit_that_may_not_be_the_car_s_is_not_given_as_what_is_asked() -> None:
    def asked(**known: Any) -> str:
        (found,) = inspected([finding("brake-efficiency", None, "60 %")], EU, car(**known)).verdicts
        return asked_words(found)

    assert asked() == ""
    assert asked(registered=dt.date(2005, 1, 1)) == "at least 50 %"
    assert asked(registered=dt.date(2015, 1, 1)) == "at least 58 %"


def test_a_figure_at_the_limit_passes_though_floats_are_not_exact() -> None:
    """1.5 times 2.3 mm is 3.4499999999999997 mm to a computer."""
    assert 1.5 * 2.3 != 3.45
    toe = finding("toe", "front", "3.45 mm")
    (found,) = inspected([toe], US, car(US, marks={"toe": "2.3 mm"})).verdicts
    assert found.verdict is Verdict.PASSES


def test_what_must_be_looked_up_is_named_with_where_to_write_it() -> None:
    (found,) = inspected([finding("brake-efficiency", None, "55 %")]).verdicts
    assert found.worst is Verdict.MAJOR
    ((unknown,),) = [found.unknown]
    assert unknown.name == "registered"
    assert "registered: " in unknown.write
    (disc,) = inspected([finding("disc-thickness", "front-left", "9 mm")]).verdicts
    assert disc.verdict is Verdict.NOT_CHECKED
    assert "front/disc-thickness" in disc.unknown[0].write


def test_at_least_the_mildest_possibility_is_said() -> None:
    """26 % is dangerous for a car of 2012, major for an older one: major at least, whatever the date."""
    found = inspected([finding("brake-efficiency", None, "26 %")])
    (one,) = found.verdicts
    assert (one.verdict, one.worst) == ("major", "dangerous")
    assert [unknown.name for unknown in one.unknown] == ["registered"]
    assert found.outcome is Outcome.FAIL
    assert found.worst_possible is Verdict.DANGEROUS


@pytest.mark.parametrize(
    ("marks", "place", "verdict"),
    [
        ({"disc-thickness": "9.8 mm"}, "front-left", "major"),
        ({"front/disc-thickness": "9.8 mm"}, "front-right", "major"),
        ({"front-left/disc-thickness": "9 mm", "front/disc-thickness": "10 mm"}, "front-left", "passes"),
        ({"front-left/disc-thickness": "9 mm", "front/disc-thickness": "10 mm"}, "front-right", "major"),
        ({"rear/disc-thickness": "9 mm"}, "front-left", "not checked"),
        ({"disc-thickness": "0.4 in"}, "front-left", "major"),
    ],
)
def test_a_mark_is_that_of_the_corner_or_else_the_axle_or_else_the_car(
    marks: dict[str, str], place: str, verdict: str
) -> None:
    (found,) = inspected([finding("disc-thickness", place, "9.5 mm")], US, car(US, marks=marks)).verdicts
    assert found.verdict == verdict


def test_facts_and_marks_that_can_not_be_used_are_told() -> None:
    the_car = car(
        facts={"steering-wheel": "37 kg", "abs": "maybe", "steering-weel": "370 mm"},
        marks={"disc-thicknes": "9 mm", "front/disc-thickness": "900 mm"},
    )
    problems = {one.where: one.way_out for one in inspected((), EU, the_car).problems}
    assert problems.keys() == {
        "facts.steering-wheel",
        "facts.abs",
        "facts.steering-weel",
        "marks.disc-thicknes",
        "marks.front/disc-thickness",
    }
    assert problems["facts.steering-weel"] == "did you mean steering-wheel?"


CASES = [
    (EU, "brake-efficiency", "all"),
    (EU, "steering-lash", "cabin"),
    (EU, "disc-thickness", "front-left"),
    (US, "steering-lash", "cabin"),
    (US, "drum-diameter", "rear-left"),
    (US, "toe", "front"),
    (EU, "co-idle", "rear"),
]


@settings(max_examples=60, deadline=None)
@given(case=st.sampled_from(CASES), share=st.floats(0, 1), seed=st.randoms(use_true_random=False))
def test_what_is_said_without_knowing_holds_for_every_car_it_may_be(
    case: tuple[str, str, str], share: float, seed: Any
) -> None:
    """The oracle: cars of which all is known, drawn at random, are never judged outside what was said."""
    pack, name, place = case
    item = load_pack(pack).item(name)
    assert item is not None
    assert item.plausible is not None
    amount = item.plausible[0] + share * (item.plausible[1] - item.plausible[0])
    unknowing = judged(pack, name, place, amount, car(pack))
    for _ in range(12):
        year, month = seed.randint(1975, 2025), seed.randint(1, 12)
        knowing = car(
            pack,
            registered=dt.date(year, month, 1),
            facts={
                "steering-wheel": f"{seed.randint(250, 650)} mm",
                "catalyst": seed.choice(["three-way", "none"]),
            },
            marks={name: f"{seed.uniform(*item.plausible):.3f} {item.unit}"},
        )
        known = judged(pack, name, place, amount, knowing)
        if unknowing is None:
            assert known is None
            continue
        verdict = Verdict.PASSES if known is None else known.verdict
        assert not (known and known.is_open)
        least = Verdict.PASSES if unknowing.verdict is Verdict.NOT_CHECKED else unknowing.verdict
        assert least.rank <= verdict.rank <= unknowing.worst.rank


# Worked out from others


def test_imbalance_and_efficiency_come_from_the_forces() -> None:
    """By the sums; no published worked example of a roller slip was found, the method is the UK manual's of
    2012 (total effort over mass) and the Annex's own definition of imbalance."""
    forces = {"front-left": 2.4, "front-right": 1.6, "rear-left": 1.2, "rear-right": 1.1}
    slip = [finding("brake-force", place, f"{force} kN") for place, force in forces.items()]
    found = {one.key: one for one in inspected(slip, EU, car(mass="980 kg")).verdicts}
    front = found["brake-imbalance", "front"]
    assert front.readings[-1].amount == imbalance_percent(2.4, 1.6) == pytest.approx(33.333, abs=1e-3)
    assert front.verdict is Verdict.MAJOR
    assert found["brake-imbalance", "rear"].verdict is Verdict.PASSES
    (whole,) = [one for (item, _), one in found.items() if item == "brake-efficiency"]
    # 6.3 kN over 980 kg x 9.80665 m/s2
    assert whole.readings[-1].amount == pytest.approx(efficiency_percent(6.3, 980))
    assert whole.readings[-1].amount == pytest.approx(65.553, abs=1e-3)
    assert "6.3 kN" in whole.readings[-1].worked_out


def test_what_is_missing_for_it_is_named() -> None:
    slip = [finding("brake-force", place, "200 daN") for place in CORNERS]
    assert "mass" in inspected(slip).missing["brake-efficiency"]
    assert inspected(slip, EU, car(mass="980 kg")).missing == {}
    assert "rear-right" in inspected(slip[:3], EU, car(mass="980 kg")).missing["brake-efficiency"]
    assert not inspected(slip).unruled, "forces are told by what comes of them"


def test_forces_of_different_days_are_not_taken_together() -> None:
    slip = [
        finding("brake-force", place, "200 daN", date=TODAY if place == "front-left" else EARLIER)
        for place in CORNERS
    ]
    found = inspected(slip, EU, car(mass="980 kg"))
    assert [one.key for one in found.verdicts] == [("brake-imbalance", "rear")]
    assert "read on one day" in found.missing["brake-efficiency"]


# All in all


def test_outcomes() -> None:
    soft, cut = finding("tyre", "front-left", ("soft",)), finding("tyre", "front-right", ("cut",))
    cord, fine = finding("tyre", "rear-left", ("cord",)), finding("tyre", "rear-right")
    assert inspected().outcome is Outcome.NOT_CHECKED
    assert inspected([fine]).outcome is Outcome.PASS
    assert inspected([fine, soft]).outcome is Outcome.MINORS
    assert inspected([fine, soft, cut]).outcome is Outcome.FAIL
    assert inspected([fine, soft, cut, cord]).outcome is Outcome.DO_NOT_DRIVE


def any_finding(pack: str) -> st.SearchStrategy[Finding]:
    """Findings of all kinds, right and wrong."""
    items = load_pack(pack).items
    words = sorted({word for item in items for word in item.words})
    texts = [
        "1.5 mm",
        "3 mm",
        "0.1 mm",
        "80 mm",
        "2 in",
        "3 kg",
        "55 %",
        "20 %",
        "2 swings",
        "2.2 bar",
        "1 kN",
    ]
    names = [item.id for item in items]
    odometers = st.one_of(st.none(), st.integers(0, 300_000).map(lambda n: f"{n} km"))
    plain = {
        "car": st.just("wren"),
        "item": st.sampled_from([*names, "no-such-item"]),
        "place": st.sampled_from([None, *PLACES]),
        "date": st.dates(dt.date(2023, 1, 1), dt.date(2026, 6, 1)),
        "odometer": odometers,
    }
    measured = st.fixed_dictionaries({**plain, "value": st.sampled_from(texts)})
    some_words = st.lists(st.sampled_from(words), min_size=1, max_size=3, unique=True)
    seen = st.fixed_dictionaries({**plain, "seen": st.one_of(st.just(["sound"]), some_words)})

    def fitting(item: Any) -> st.SearchStrategy[dict[str, Any]]:
        place = st.sampled_from(["all", *CORNERS]) if item.at == "corner" else st.sampled_from([None, "all"])
        given: dict[str, Any] = {**plain, "item": st.just(item.id), "place": place}
        if item.is_measured:
            least, most = item.plausible
            given["value"] = st.floats(least, most).map(lambda x: f"{x:.2f} {item.unit or 'counted'}")
        else:
            given["seen"] = st.lists(st.sampled_from([*item.words]), min_size=1, max_size=2, unique=True)
        return st.fixed_dictionaries(given)

    right = st.sampled_from(items).flatmap(fitting)
    return st.one_of(right, measured, seen).map(lambda given: Finding(**given))


@settings(max_examples=80, deadline=None)
@given(data=st.data(), pack=st.sampled_from([*LAWS, HOME, "us-570-ohio"]))
def test_laws_that_hold_whatever_was_found(data: st.DataObject, pack: str) -> None:
    findings = data.draw(st.lists(any_finding(pack), max_size=12))
    found = inspected(findings, pack)
    # The outcome is that of the worst item.
    order = ["nothing checked yet", "pass", "pass with minors", "fail", "do not drive"]
    ranks = {"not checked": 0, "passes": 1, "minor": 2, "major": 3, "dangerous": 4}
    assert order.index(found.outcome) == max((ranks[one.verdict] for one in found.verdicts), default=0)
    # Worst first, each with rows of its class, and with clauses.
    listed = [one.verdict.rank for one in found.verdicts]
    assert listed == sorted(listed, reverse=True)
    for one in found.verdicts:
        assert one.worst.rank >= one.verdict.rank
        if one.verdict in CLASSES:
            assert one.rules[0].class_ == one.verdict
            assert all(rule.clause for rule in one.rules)
    # Nothing is lost: each finding is flagged, judged, overtaken by a later one, or without a rule.
    flagged = {flag.index for flag in found.flagged}
    judged_now = {r.index for one in found.verdicts for r in one.readings} | {r.index for r in found.unruled}
    assert flagged.isdisjoint(judged_now)
    later = {(one.item, one.date) for one in findings}
    for index, old in enumerate(findings):
        if index not in flagged | judged_now and old.item not in ("brake-force", "handbrake-force"):
            assert any(item == old.item and date >= old.date for item, date in later)
    # What was looked at as a whole is not said to be unchecked.
    whole = {one.key for one in found.verdicts if one.place in one.readings[-1].spots}
    assert not whole & {one.key for one in found.unchecked}
    inspection_to_json([found])


@settings(max_examples=60, deadline=None)
@given(data=st.data())
def test_the_order_of_findings_in_the_file_does_not_matter_but_for_ties(data: st.DataObject) -> None:
    findings = data.draw(st.lists(any_finding(EU), max_size=8, unique_by=lambda one: one.date))
    mixed = data.draw(st.permutations(findings))
    one, other = inspected(findings), inspected(mixed)
    assert one.outcome is other.outcome
    assert verdicts(one) == verdicts(other)
    assert [each.key for each in one.verdicts] == [each.key for each in other.verdicts]
    assert {flag.finding.date for flag in one.flagged} == {flag.finding.date for flag in other.flagged}


@pytest.mark.parametrize("pack", pack_ids())
def test_which_packs_are_the_law(pack: str) -> None:
    assert inspected((), pack).is_law == (not pack.startswith("home") and pack != "items")
