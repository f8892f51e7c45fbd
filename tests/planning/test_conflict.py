"""Conflicts and their ways out against looking at every way to put the jobs in stints."""

import datetime as dt
import itertools
from collections import Counter
from dataclasses import replace
from functools import cache

from conflict_oracle import can_hold, is_possible, ways_to_let_go
from oracles import by_brute_force
from test_plan_edges import day
from workloads import TODAY, seeded_workload

from onceapart.planning.conflict import conflict, conflicts, explain_impossible
from onceapart.planning.conflict_wants import WantKind, only, wants_of
from onceapart.planning.conflict_ways import Frees, WayKind, with_stint
from onceapart.planning.plan import Status
from onceapart.planning.solve import best_plan

SEEDS = range(540)


@cache
def letting_go(seed):
    return ways_to_let_go(seeded_workload(seed))


@cache
def impossible_seeds():
    return [seed for seed in SEEDS if not is_possible(seeded_workload(seed))]


@cache
def conflicts_of(seed):
    return conflicts(seeded_workload(seed))


def test_the_oracle_agrees_with_the_brute_force_over_plans():
    for seed in SEEDS[::6]:
        assert is_possible(seeded_workload(seed)) == bool(by_brute_force(seeded_workload(seed)))


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
