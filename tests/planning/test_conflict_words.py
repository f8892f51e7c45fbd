"""What is said of a conflict, by hand for each kind of want; smallest sets alone; and speed."""

import datetime as dt
import time
from collections import Counter
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from test_plan_edges import day, workload

from made_workloads import made_workload
from onceapart.planning.conflict import conflict, conflicts, explain_impossible
from onceapart.planning.conflict_smallest import irreducible, smallest_conflict
from onceapart.planning.conflict_wants import WantKind
from onceapart.planning.conflict_ways import WayKind
from onceapart.planning.workload import Access, Aftercare, Job, Offer, Seller, Stint, Tool

# sets alone --------------------------------------------------------------------------------------------


@given(st.lists(st.frozensets(st.integers(0, 8), min_size=1, max_size=4), min_size=1, max_size=6))
def test_smallest_sets_are_those_of_trying_all(conflicting):
    """Items conflict where they hold all of one of some sets."""
    items = tuple(range(9))

    def is_impossible(kept):
        return any(one.issubset(kept) for one in conflicting)

    found = irreducible(items, is_impossible)
    assert is_impossible(found)
    assert not any(is_impossible(set(found) - {item}) for item in found)
    smallest = smallest_conflict(items, found, is_impossible, lambda: True)
    assert smallest.is_smallest
    assert is_impossible(smallest.wants)
    assert len(smallest.wants) == min(map(len, conflicting))


def test_a_search_for_a_smaller_set_can_be_cut_short():
    def is_impossible(kept):
        return {1, 2, 3}.issubset(kept) or {4, 5}.issubset(kept)

    found = irreducible(range(6), is_impossible)
    assert smallest_conflict(range(6), found, is_impossible, lambda: False).wants == found == (1, 2, 3)
    assert smallest_conflict(range(6), found, is_impossible, lambda: True).wants == (4, 5)


# by hand -----------------------------------------------------------------------------------------------


def told(problem, *, wants):
    """All that is said, as one text, after a look at the kinds of want."""
    one = conflict(problem)
    assert Counter(want.kind for want in one.wants) == Counter(wants)
    assert one.is_smallest
    text = " ".join(explain_impossible(problem))
    assert text.startswith("These cannot all hold: ")
    return text


POST = (Seller("post", "By post", 0),)
MUST, LAST_DAY, ARRIVAL, AMOUNT = WantKind.MUST, WantKind.LAST_DAY, WantKind.ARRIVAL, WantKind.AMOUNT


def test_drop_links_that_come_after_the_inspection():
    april = dt.date(2026, 4, 11)
    problem = workload(
        Job("links", "wren", True, 60, april, parts={"drop-link": 2}),
        Job("pads", "wren", True, 60, april),
        stints=(Stint(dt.date(2026, 4, 4), 120), Stint(dt.date(2026, 4, 18), 60)),
        sellers=POST,
        offers=(Offer("a", "post", {"drop-link": 1}, 1490, dt.date(2026, 4, 14)),),
        shelf={"drop-link": 1},
    )
    text = told(problem, wants=[MUST, LAST_DAY, ARRIVAL])
    assert "Job links must be done by 11 April." in text
    assert "needs 2 of drop-link; 1 is on the shelf" in text
    assert "here on 14 April at the earliest (By post)" in text
    assert "Find 1 of drop-link elsewhere, to be here by 4 April." in text
    assert "from 11 April to 18 April" in text
    assert "Leave job links" in text


def test_a_later_date_that_needs_a_stint_of_its_own_says_so():
    problem = workload(
        Job("links", "wren", True, 45, day(3), parts={"link": 1}),
        stints=(Stint(day(2), 60), Stint(day(4), 60), Stint(day(30), 20)),
        sellers=POST,
        offers=(Offer("a", "post", {"link": 1}, 1490, day(5)),),
    )
    text = told(problem, wants=[MUST, LAST_DAY, ARRIVAL])
    assert "from 5 March to 7 March, and work a stint of 45 minutes on that day" in text
    text = told(replace(problem, stints=problem.stints[:2]), wants=[MUST, ARRIVAL])
    assert "The last stint is on 6 March." in text
    assert "Move the last day" not in text


def test_a_date_in_another_year_has_its_year():
    problem = workload(
        Job("links", "wren", True, 45, parts={"link": 1}),
        sellers=POST,
        offers=(Offer("a", "post", {"link": 1}, 1490, dt.date(2027, 1, 5)),),
    )
    assert "here on 5 January 2027 at the earliest" in told(problem, wants=[MUST, ARRIVAL])


def test_a_part_nobody_sells():
    text = told(
        workload(Job("arm", "wren", True, 9, parts={"arm": 2}), shelf={"arm": 1}), wants=[MUST, AMOUNT]
    )
    assert "needs 2 of arm; 1 is on the shelf, and nobody sells it" in text
    assert "Find 1 of arm elsewhere, to be here by 3 March" in text


def test_limits_that_leave_two_jobs_a_piece_short():
    problem = workload(
        Job("left", "wren", True, 9, parts={"bush": 2}),
        Job("right", "wren", True, 9, parts={"bush": 2}),
        sellers=POST,
        offers=(Offer("kit", "post", {"bush": 1, "bolt": 1}, 5, day(0), limit=3),),
    )
    text = told(problem, wants=[MUST, MUST, AMOUNT])
    assert (
        "need 4 of bush together; none is on the shelf, and with all that the sellers have there are 3"
        in text
    )
    assert "Find 1 of bush elsewhere" in text
    assert "Leave one of the jobs left or right" in text


def test_limits_and_arrival_together_tell_what_is_there_when():
    problem = workload(
        Job("links", "wren", True, 45, parts={"link": 3}),
        sellers=POST,
        offers=(
            Offer("few", "post", {"link": 1}, 1490, day(0), limit=1),
            Offer("more", "post", {"link": 2}, 1490, day(8)),
        ),
    )
    text = told(problem, wants=[MUST, ARRIVAL, AMOUNT])
    assert "1 can be here by 2 March and 3 can be here by 10 March" in text
    assert "Find 2 of link elsewhere, to be here by 3 March." in text
    assert "Add a stint of 45 minutes on 10 March or later." in text


def test_no_stint_before_the_last_day_and_no_stint_at_all():
    job = Job("pads", "wren", True, 40, day(0))
    text = told(workload(job), wants=[MUST, LAST_DAY])
    assert "by 2 March. The first stint is on 3 March." in text
    assert "from 2 March to 3 March" in text
    assert "Add a stint of 40 minutes on 2 March." in text
    text = told(workload(job, stints=()), wants=[MUST])
    assert "There is no stint to work in." in text
    assert "Add a stint of 40 minutes on 2 March." in text


def test_no_stint_between_arrival_and_last_day():
    problem = workload(
        Job("links", "wren", True, 45, day(6), parts={"link": 1}),
        stints=(Stint(day(1), 60), Stint(day(9), 60)),
        sellers=POST,
        offers=(Offer("a", "post", {"link": 1}, 1490, day(3)),),
    )
    text = told(problem, wants=[MUST, LAST_DAY, ARRIVAL])
    assert "There is no stint from 5 March to 8 March." in text
    assert "Add a stint of 45 minutes on any day from 5 March to 8 March." in text


def test_a_job_too_long_for_every_stint():
    problem = workload(
        Job("boot", "wren", True, 40, access=("shaft",), aftercare=("alignment",)),
        access=(Access("wheel", 8), Access("shaft", 55, under=("wheel",))),
        aftercare=(Aftercare("alignment", 30, 6500),),
        stints=(Stint(day(1), 60), Stint(day(5), 120)),
    )
    text = told(problem, wants=[MUST, WantKind.LENGTH, WantKind.LENGTH])
    assert "takes 133 minutes with what must come off for it and its aftercare" in text
    assert "the one on 3 March has 60 minutes and the one on 7 March has 120 minutes" in text
    assert "Make the stint on 7 March 13 minutes longer: 133 in place of 120." in text
    assert "Make the stint on 3 March 73 minutes longer" in text
    assert "Add a stint of 133 minutes on any day." in text


def test_jobs_that_do_not_fit_before_their_last_day():
    jobs = [Job(name, "wren", True, 50, day(2), access=("wheel",)) for name in ("pads", "links", "hose")]
    problem = workload(
        *jobs,
        access=(Access("wheel", 10),),
        stints=(Stint(day(1), 125), Stint(day(9), 500)),
    )
    text = told(problem, wants=[MUST] * 3 + [LAST_DAY] * 3 + [WantKind.LENGTH])
    assert "Jobs pads, links and hose must be done by 4 March." in text
    assert "They take 160 minutes" in text
    assert "The stint in time, on 3 March, has 125 minutes." in text
    assert "35 minutes longer: 160 in place of 125" in text
    assert "Add a stint of 60 minutes on any day from 2 March to 4 March." in text
    assert "from 4 March to 11 March" in text


def test_many_stints_and_jobs_are_summed_up():
    problem = workload(
        *(Job(f"job{number}", "wren", True, 40) for number in range(9)),
        stints=tuple(Stint(day(number), 79) for number in range(8)),
    )
    text = told(problem, wants=[MUST] * 9 + [WantKind.LENGTH] * 8)
    assert "on their own the longest job0 40 minutes" in text
    assert "The 8 stints in time, from 2 March to 9 March, have 632 minutes together, the longest 79" in text
    assert "however these are shared out, one does not fit" in text
    assert "1 minute longer: 80 in place of 79" in text


def test_a_tool_that_can_not_be_had():
    problem = workload(
        Job("arm", "wren", True, 9, access=("ball-joint",)),
        access=(Access("ball-joint", 5, tools=("splitter",)),),
        tools=(Tool("splitter"),),
    )
    text = told(problem, wants=[MUST, WantKind.TOOL])
    assert "needs the tool splitter, which is not there and has no price" in text
    assert "Get the tool splitter" in text


def test_an_order_that_makes_a_job_wait_for_a_part():
    problem = workload(
        Job("bleed", "wren", True, 20, day(2), after=("caliper",)),
        Job("caliper", "wren", False, 30, parts={"caliper": 1}),
        stints=(Stint(day(1), 60), Stint(day(8), 60)),
        sellers=POST,
        offers=(Offer("a", "post", {"caliper": 1}, 9000, day(7)),),
    )
    text = told(problem, wants=[MUST, LAST_DAY, WantKind.ORDER, ARRIVAL])
    assert "Job bleed comes after caliper." in text
    assert "Job caliper needs 1 of caliper" in text
    assert "Do job bleed without waiting for caliper" in text


def test_several_conflicts_are_told_at_once():
    problem = workload(
        Job("arm", "wren", True, 9, parts={"arm": 1}, tools=("splitter",)),
        Job("pads", "jay", True, 90),
        tools=(Tool("splitter"),),
    )
    found = conflicts(problem)
    assert found.are_all
    assert len(found.found) == 3
    lines = explain_impossible(problem)
    assert [line for line in lines if "cannot all hold" in line] == [
        f"These cannot all hold ({number} of 3):" for number in (1, 2, 3)
    ]
    assert conflicts(problem, most=2).are_all is False


def test_a_stint_that_is_over_is_not_made_longer():
    problem = workload(Job("pads", "wren", True, 90), stints=(Stint(day(-1), 60), Stint(day(1), 60)))
    assert [way.date for way in conflict(problem).ways_out if way.kind is WayKind.LONGER] == [day(1)]


# speed -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "spoil",
    [
        lambda p: replace(p, stints=tuple(replace(s, minutes=s.minutes * 4 // 5) for s in p.stints)),
        lambda p: replace(p, offers=tuple(o for o in p.offers if "car0/part0" not in o.parts)),
        lambda p: replace(p, jobs=tuple(replace(j, last_day=day(20)) for j in p.jobs)),
    ],
    ids=["short stints", "a part less", "early dates"],
)
def test_twenty_jobs_and_well_over_a_hundred_offers_are_explained_in_ten_seconds(spoil):
    problem = spoil(made_workload("m", 3))
    started = time.process_time()
    assert explain_impossible(problem)
    assert time.process_time() - started < 10
