"""Conflicts against looking at every way to put the jobs in stints, and by hand for each kind of want."""

import datetime as dt
import itertools
import time
from collections import Counter
from dataclasses import replace
from functools import cache

import pytest
from hypothesis import given
from hypothesis import strategies as st
from oracles import by_brute_force
from test_plan_edges import day, workload
from workloads import TODAY, seeded_workload

from made_workloads import made_workload
from onceapart.planning.conflict import conflict, conflicts, explain_impossible
from onceapart.planning.conflict_smallest import irreducible, smallest_conflict
from onceapart.planning.conflict_wants import Want, WantKind, only, wants_of
from onceapart.planning.conflict_ways import Frees, WayKind, with_stint
from onceapart.planning.plan import Status
from onceapart.planning.solve import best_plan
from onceapart.planning.workload import Access, Aftercare, Job, Offer, Seller, Stint, Tool

SEEDS = range(540)


# what has to be let go, by looking at everything -------------------------------------------------------


def ways_to_let_go(problem):
    """For every way to put jobs in stints, the wants that it breaks; only the smallest such sets.

    Some wants can all hold if, and only if, they share nothing with one of the sets. Buying is free here, so
    all that the sellers have is bought.
    """
    found = set()
    for at, broken in _broken_by_places(problem, lambda broken: True):
        for mend in itertools.product(*_mends_of_parts(problem, at)):
            found.add(broken.union(*mend))
    kept = []
    for one in sorted(found, key=len):
        if not any(other <= one for other in kept):
            kept.append(one)
    return kept


def is_possible(problem):
    """Whether one of the ways to put jobs in stints breaks nothing."""
    for at, broken in _broken_by_places(problem, lambda broken: not broken):
        if not broken and not list(_mends_of_parts(problem, at)):
            return True
    return False


def _broken_by_places(problem, is_worth_it):
    """Ways to put the jobs in stints, with the wants they break besides those about parts.

    A job that need not be done, and that none comes after, is left: doing it only breaks more.
    """
    minutes = cache(lambda jobs: _minutes(problem, jobs))
    named = {before for job in problem.jobs for before in job.after}
    anywhere = [None, *range(len(problem.stints))]
    choices = [anywhere if job.is_must or job.id in named else [None] for job in problem.jobs]
    for places in itertools.product(*choices):
        at = {job.id: place for job, place in zip(problem.jobs, places, strict=True)}
        broken = frozenset(_broken_dates_and_orders(problem, at))
        if not is_worth_it(broken):
            continue
        too_long = {
            Want(WantKind.LENGTH, str(place))
            for place, stint in enumerate(problem.stints)
            if minutes(tuple(job for job in at if at[job] == place)) > stint.minutes
        }
        tools = _missing_tools(problem, [job for job in at if at[job] is not None])
        yield at, broken.union(too_long, tools)


def _minutes(problem, jobs):
    opened = problem.opened_for(jobs)
    return problem.minutes_of(jobs, opened, problem.aftercare_for(jobs, opened))


def _broken_dates_and_orders(problem, at):
    for job in problem.jobs:
        place = at[job.id]
        if place is None:
            if job.is_must:
                yield Want(WantKind.MUST, job.id)
            continue
        if job.last_day is not None and problem.stints[place].date > job.last_day:
            yield Want(WantKind.LAST_DAY, job.id)
        for before in job.after:
            if at[before] is None or at[before] > place:
                yield Want(WantKind.ORDER, job.id, before)


def _missing_tools(problem, done):
    for name in problem.tools_for(done, problem.opened_for(done)):
        tool = problem.tool[name]
        if not tool.have and tool.hire is None and tool.buy is None:
            yield Want(WantKind.TOOL, name)


def _mends_of_parts(problem, at):
    """For each part that runs short, what can be let go so that it does not."""
    used = Counter()
    for job in problem.jobs:
        if at[job.id] is not None:
            used.update(job.parts)
    for part in used:
        amount, arrival = Want(WantKind.AMOUNT, part), Want(WantKind.ARRIVAL, part)
        if not _runs_short(problem, at, part, any_amount=False, at_once=False):
            continue
        mends = []
        if not _runs_short(problem, at, part, any_amount=True, at_once=False):
            mends.append({amount})
        if not _runs_short(problem, at, part, any_amount=False, at_once=True):
            mends.append({arrival})
        yield mends or [{amount, arrival}]


def _runs_short(problem, at, part, *, any_amount, at_once):
    offers = [offer for offer in problem.offers if part in offer.parts]
    if any_amount and (at_once or not offers):
        return False
    for place, stint in enumerate(problem.stints):
        used = sum(
            job.parts.get(part, 0) for job in problem.jobs if at[job.id] is not None and at[job.id] <= place
        )
        have = problem.shelf.get(part, 0)
        for offer in offers:
            if at_once or offer.arrives <= stint.date:
                have += 999 if offer.limit is None or any_amount else offer.limit * offer.parts[part]
        if used > have:
            return True
    return False


@cache
def letting_go(seed):
    return ways_to_let_go(seeded_workload(seed))


def can_hold(sets, wants):
    return any(one.isdisjoint(wants) for one in sets)


@cache
def impossible_seeds():
    return [seed for seed in SEEDS if not is_possible(seeded_workload(seed))]


@cache
def conflicts_of(seed):
    return conflicts(seeded_workload(seed))


def test_the_oracle_agrees_with_the_brute_force_over_plans():
    for seed in SEEDS[::6]:
        assert is_possible(seeded_workload(seed)) == bool(by_brute_force(seeded_workload(seed)))


# against the oracle ------------------------------------------------------------------------------------


def test_there_is_a_conflict_where_there_is_no_plan_and_nowhere_else():
    impossible = impossible_seeds()
    assert len(impossible) >= 180
    for seed in SEEDS:
        found = conflicts_of(seed)
        assert bool(found.found) == (seed in impossible), seed
        if not found.found:
            assert found.are_all
            assert conflict(seeded_workload(seed)) is None
            assert explain_impossible(seeded_workload(seed)) == ()


def test_a_conflict_can_not_hold_and_without_any_one_want_it_can():
    kinds = Counter()
    for seed in impossible_seeds():
        known = set(wants_of(seeded_workload(seed)))
        for one in conflicts_of(seed).found:
            assert known.issuperset(one.wants)
            assert not can_hold(letting_go(seed), one.wants), seed
            for want in one.wants:
                assert can_hold(letting_go(seed), set(one.wants) - {want}), (seed, want)
            kinds.update(want.kind for want in one.wants)
    assert min(kinds[kind] for kind in WantKind) >= 10


def test_no_conflict_of_fewer_wants_exists():
    for seed in impossible_seeds():
        first = conflicts_of(seed).found[0]
        assert first.is_smallest
        wants = set().union(*letting_go(seed))
        for fewer in itertools.combinations(wants, len(first.wants) - 1):
            assert can_hold(letting_go(seed), fewer), (seed, fewer)


def test_several_conflicts_share_nothing_but_jobs_and_are_all_where_they_say_so():
    several = 0
    for seed in impossible_seeds():
        found = conflicts_of(seed)
        soft = [want for one in found.found for want in one.wants if want.kind is not WantKind.MUST]
        assert len(soft) == len(set(soft))
        rest = set(wants_of(seeded_workload(seed))) - set(soft)
        assert can_hold(letting_go(seed), rest) == found.are_all
        several += len(found.found) > 1
    assert several >= 30


def test_a_copy_with_some_wants_let_go_is_as_possible_as_they_can_hold():
    for seed in impossible_seeds()[::4]:
        problem = seeded_workload(seed)
        wants = wants_of(problem)
        assert not can_hold(letting_go(seed), wants)
        assert not is_possible(only(problem, wants))
        for start in range(len(wants)):
            kept = [want for at, want in enumerate(wants) if (at * 7 + start) % 3]
            assert is_possible(only(problem, kept)) == can_hold(letting_go(seed), kept), (seed, start)


def bases_of(seed, at):
    """The copies of a workload in which the ways out of one of its conflicts are to work."""
    problem, found = seeded_workload(seed), conflicts_of(seed).found
    others = {
        want
        for other, one in enumerate(found)
        for want in one.wants
        if other != at and want.kind is not WantKind.MUST
    }
    return {
        Frees.ALL: problem,
        Frees.WITH_OTHERS: only(problem, set(wants_of(problem)) - others),
        Frees.THIS: only(problem, found[at].wants),
    }


def test_each_way_out_frees_what_it_says_and_less_does_not():
    kinds, by_plans = Counter(), 0
    for seed in impossible_seeds():
        for at, one in enumerate(conflicts_of(seed).found):
            bases = bases_of(seed, at)
            for way in one.ways_out:
                base = bases[way.frees]
                assert is_possible(way.changed(base)), (seed, way)
                assert way.frees is Frees.THIS or not is_possible(base)
                for less in less_than(way, base):
                    assert not is_possible(less), (seed, way)
                if way.frees is Frees.ALL and len(base.jobs) < 5 and by_plans < 40:
                    assert by_brute_force(way.changed(base)), (seed, way)
                    by_plans += 1
                kinds[way.kind, way.frees] += 1
    assert by_plans == 40
    assert {kind for kind, _ in kinds} == set(WayKind)
    assert min(Counter(frees for _, frees in kinds.elements()).values()) >= 20


def less_than(way, base):
    """The workload changed by a little less."""
    if way.kind is WayKind.PIECES:
        yield replace(way, pieces=way.pieces - 1, date=TODAY).changed(base)
        later = [stint.date for stint in base.stints if stint.date > way.date]
        yield from [replace(way, date=later[0]).changed(base)] if later else []
    elif way.kind is WayKind.LATER and not way.minutes:
        yield replace(way, date=way.date - dt.timedelta(1)).changed(base)
    elif way.kind is WayKind.LATER:
        yield replace(way, minutes=way.minutes - 1).changed(base) if way.minutes > 1 else base
    elif way.kind is WayKind.LONGER:
        yield replace(way, minutes=way.minutes - 1).changed(base)
    elif way.kind is WayKind.STINT:
        if way.minutes > 1:
            days = {TODAY, way.date, *(day(number) for number in range(0, 14, 3))}
            yield from (with_stint(base, other, way.minutes - 1) for other in days)
        if way.date > TODAY:
            yield with_stint(base, way.date - dt.timedelta(1), way.minutes)
        if way.until is not None:
            yield with_stint(base, way.until + dt.timedelta(1), way.minutes)
    elif way.kind is WayKind.LEAVE and len(way.jobs) > 1:
        for job in way.jobs:
            yield replace(way, jobs=tuple(name for name in way.jobs if name != job)).changed(base)


def test_a_stint_more_does_on_every_day_of_its_range():
    ranges = 0
    for seed in impossible_seeds()[1::2]:
        one = conflicts_of(seed).found[0]
        for way in one.ways_out:
            if way.kind is WayKind.STINT and way.frees is Frees.ALL:
                problem = seeded_workload(seed)
                last = way.until or way.date + dt.timedelta(9)
                for number in range((last - way.date).days + 1):
                    more = with_stint(problem, way.date + dt.timedelta(number), way.minutes)
                    assert is_possible(more), (seed, way, number)
                ranges += last > way.date
    assert ranges >= 10


def test_another_judge_of_what_is_possible_finds_the_same():
    def by_search(problem):
        return best_plan(problem).status is not Status.IMPOSSIBLE

    for seed in impossible_seeds()[:40:4]:
        assert conflict(seeded_workload(seed), is_possible=by_search) == conflict(seeded_workload(seed))


def test_the_same_workload_gives_the_same_conflict_every_time():
    for seed in impossible_seeds()[:20]:
        assert conflicts(seeded_workload(seed)) == conflicts_of(seed)


def test_with_hardly_any_work_allowed_nothing_wrong_is_told():
    for seed in impossible_seeds()[::5]:
        one = conflict(seeded_workload(seed), work_limit=1)
        if one is not None:
            assert not can_hold(letting_go(seed), one.wants)
            for way in one.ways_out:
                if way.frees is Frees.ALL:
                    assert is_possible(way.changed(seeded_workload(seed)))


def test_sentences_are_sentences():
    for seed in impossible_seeds():
        for one in conflicts_of(seed).found:
            assert all(line.endswith(".") for line in one.says)
            assert all(line.endswith((".", ":")) for line in one.ways_say)
            assert not any("2026-" in line or "None" in line for line in (*one.says, *one.ways_say))
            for want in one.wants:
                if want.kind is not WantKind.LENGTH:
                    assert any(want.name in line for line in one.says), (seed, want)


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
