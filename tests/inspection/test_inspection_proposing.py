"""From what fails to jobs: each once, those that are there not again, and the file can be planned then."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from cases import EU, HOME, TODAY, US, car, finding, workshop
from hypothesis import given, settings
from hypothesis import strategies as st
from test_inspection_verdicts import any_finding

from onceapart.inspection.judging import Verdict
from onceapart.inspection.plain import proposals_to_json
from onceapart.inspection.proposing import Proposals, propose
from onceapart.inspection.verdicts import inspect_car
from onceapart.trade import apply_recipes
from onceapart.trade.rules import load_pack
from onceapart.workshop import Car, Finding, Job, Need, Tool, Workshop, corners_of, parse_workshop
from onceapart.workshop.insert import with_entries
from onceapart.workshop.writing import write_workshop


def proposed(
    findings: list[Finding], pack: str = EU, the_car: Car | None = None, jobs: tuple[Job, ...] = ()
) -> Proposals:
    the_workshop = workshop(findings, the_car or car(pack), jobs)
    return propose(the_workshop, [inspect_car(the_workshop, "wren", load_pack(pack))])


def jobs_of(found: Proposals) -> set[tuple[str, str, str]]:
    return {(one.recipe, one.place, str(one.need)) for one in found.new}


def test_a_fault_proposes_the_job_that_cures_it() -> None:
    found = proposed([finding("tie-rod-end", "front-right", ("play",))])
    assert found.entries() == [
        {
            "id": "wren-tie-rod-end-front-right",
            "car": "wren",
            "need": "inspection",
            "recipe": "tie-rod-end",
            "place": "front-right",
        }
    ]


def test_several_findings_cured_by_one_job_propose_it_once() -> None:
    found = proposed(
        [
            finding("pads", "front-left", ("oily",)),
            finding("pads", "front-right", ("at-mark",)),
            finding("pad-lining", "front-left", "1 mm"),
        ]
    )
    assert jobs_of(found) == {("brake-pads", "front", "inspection")}
    (job,) = found.new
    assert len(job.reasons) == 3


def test_new_discs_bring_new_pads() -> None:
    found = proposed([finding("pads", "front-left", ("at-mark",)), finding("discs", "front-left", ("worn",))])
    assert jobs_of(found) == {("brake-discs", "front", "inspection")}
    assert {reason.verdict.item.id for reason in found.new[0].reasons} == {"pads", "discs"}


def test_pairs_across_an_axle() -> None:
    """Springs and tyres are renewed on both sides; so are wheel cylinders, corner by corner."""
    found = proposed([finding("spring", "front-left", ("broken",)), finding("tyre", "rear-left", ("cord",))])
    assert jobs_of(found) == {("coil-spring", "front", "inspection"), ("tyres", "rear", "inspection")}
    found = proposed([finding("wheel-cylinder", "rear-right", ("leaking",))])
    assert {(recipe, place) for recipe, place, _ in jobs_of(found)} == {
        ("wheel-cylinder", "rear-left"),
        ("wheel-cylinder", "rear-right"),
    }


def test_the_part_that_was_found_is_done_where_the_recipe_can_be() -> None:
    assert jobs_of(proposed([finding("brake-pipe", "rear-left", ("rusted-thin",))])) == {
        ("brake-pipe", "rear-left", "inspection")
    }
    assert jobs_of(proposed([finding("brake-pipe", "rear", ("rusted-thin",))])) == {
        ("brake-pipe", "rear", "inspection")
    }


def own(job_id: str, recipe: str, place: str, need: Need = Need.INSPECTION) -> Job:
    return Job(id=job_id, car="wren", need=need, recipe=recipe, place=place)


@pytest.mark.parametrize(
    "there",
    [
        own("mine", "brake-pads", "front"),
        own("mine", "brake-discs", "front"),
        own("mine", "brake-pads", "front", Need.WISH),
    ],
    ids=["the same", "one that does it along", "as a wish"],
)
def test_a_job_that_is_there_is_not_proposed_again(there: Job) -> None:
    found = proposed([finding("pads", "front-left", ("at-mark",))], jobs=(there,))
    assert found.new == ()
    (job,) = found.jobs
    assert (job.id, job.there) == ("mine", there)
    assert job.need is Need.INSPECTION, "the need it has by what was found"


@pytest.mark.parametrize(
    "other", [own("mine", "brake-shoes", "rear"), own("mine", "tie-rod-end", "front-right")]
)
def test_another_job_does_not_stand_for_it(other: Job) -> None:
    found = proposed(
        [finding("pads", "front-left", ("at-mark",)), finding("tie-rod-end", "front-left", ("play",))],
        jobs=(other,),
    )
    assert {job.id for job in found.new} == {"wren-brake-pads-front", "wren-tie-rod-end-front-left"}


def test_ids_are_not_taken() -> None:
    taken = Job(id="wren-brake-pads-front", car="wren", need=Need.WISH, minutes=1)
    (job,) = proposed([finding("pads", "front-left", ("at-mark",))], jobs=(taken,)).new
    assert job.id == "wren-brake-pads-front-2"


@pytest.mark.parametrize(
    ("pack", "one", "need"),
    [
        (EU, finding("pads", "front-left", ("at-mark",)), "inspection"),
        (EU, finding("pads", "front-left", ("mark-gone",)), "inspection"),
        (EU, finding("brake-fluid-level", None, ("below-min",)), "upkeep"),
        (US, finding("pad-lining", "front-left", "0.5 mm"), "inspection"),
        (HOME, finding("tyre", "front-left", ("cord",)), "safety"),
    ],
)
def test_needs(pack: str, one: Finding, need: str) -> None:
    (job,) = proposed([one], pack).new
    assert str(job.need) == need


def test_what_is_to_fail_by_the_inspection_is_proposed_with_the_reason() -> None:
    def tread(last: float) -> list[Finding]:
        return [
            finding(
                "tread-depth", "front-left", f"{last + more:.1f} mm", date=TODAY - dt.timedelta(days=days)
            )
            for days, more in ((400, 2.0), (200, 1.0), (0, 0.0))
        ]

    (will,) = proposed(tread(1.7)).new
    assert (will.recipe, will.place, will.need) == ("tyres", "front", "inspection")
    (reason,) = will.reasons
    assert reason.is_ahead
    assert reason.is_sure
    assert reason.klass is Verdict.DANGEROUS
    (may,) = proposed(tread(2.0)).new
    assert may.need is Need.UPKEEP, "it may last, so nobody has to"
    assert not may.reasons[0].is_sure
    assert proposed(tread(6.0)).jobs == ()


def test_what_no_recipe_cures_is_told() -> None:
    found = proposed([finding("steering-wheel", None, ("loose",))])
    assert found.jobs == ()
    (left,) = found.uncured
    assert "write the job yourself" in left.why
    by_hand = Job(id="wren-steering-wheel", car="wren", need=Need.INSPECTION, minutes=20)
    (left,) = proposed([finding("steering-wheel", None, ("loose",))], jobs=(by_hand,)).uncured
    assert "wren-steering-wheel" in left.why


def test_words_that_fail_nothing_need_no_job() -> None:
    """Pads worn unevenly may ask for a caliper; by Annex I only that they are worn to the mark is a fault."""
    found = proposed([finding("pads", "front-left", ("uneven", "at-mark"))])
    assert {recipe for recipe, *_ in jobs_of(found)} == {"brake-pads"}


def plannable(text: str) -> Workshop:
    """The workshop of a file with its recipes applied; raises with every problem if it can't be."""
    return apply_recipes(parse_workshop(text))


LAYOUTS = st.fixed_dictionaries(
    {
        "drive": st.sampled_from(["front", "rear", "all"]),
        "front-brakes": st.sampled_from(["disc", "drum"]),
        "rear-brakes": st.sampled_from(["disc", "drum"]),
        "front-suspension": st.sampled_from(["strut", "double-wishbone"]),
        "rear-suspension": st.sampled_from(["beam", "strut", "double-wishbone", "live-axle", "trailing-arm"]),
        "fuel": st.sampled_from(["petrol", "diesel"]),
    }
)


@settings(max_examples=60, deadline=None)
@given(data=st.data(), pack=st.sampled_from([EU, US, HOME, "home-yearly"]), layout=LAYOUTS)
def test_whatever_was_found_the_file_with_its_jobs_can_be_planned_and_asks_for_no_more(
    data: st.DataObject, pack: str, layout: dict[str, Any]
) -> None:
    findings = data.draw(st.lists(any_finding(pack), max_size=10))
    the_workshop = workshop(findings, car(pack, layout=layout))
    verdicts = [inspect_car(the_workshop, "wren", load_pack(pack))]
    found = propose(the_workshop, verdicts)
    proposals_to_json(found)
    # Everything that fails has a job, or it is said that there is none.
    fails = {one.key for one in verdicts[0].verdicts if one.verdict.rank > Verdict.NOT_CHECKED.rank}
    told = {reason.verdict.key for job in found.jobs for reason in job.reasons}
    told |= {one.reason.verdict.key for one in found.uncured}
    assert fails <= told
    # No job twice, and none inside another.
    places = [(job.recipe, job.place) for job in found.jobs]
    assert len(places) == len(set(places))
    for recipe, place in places:
        inner = set(corners_of(place))
        for other, there in places:
            if other == recipe and there != place and inner:
                assert not inner <= set(corners_of(there))
    # Written into the file it can be planned, and nothing more is asked for.
    text = with_entries(write_workshop(the_workshop), "jobs", found.entries())
    text = with_entries(text, "tools", [Tool(id=tool) for tool in found.tools])
    applied = plannable(text)
    assert {job.id for job in found.new} == {job.id for job in applied.jobs}
    again = propose(parse_workshop(text), verdicts)
    assert again.new == ()
    assert again.tools == ()
