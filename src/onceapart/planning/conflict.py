"""Why a workload has no plan: smallest sets of wants that cannot all hold, and what would free them."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

from onceapart.planning.conflict_free import ways_out
from onceapart.planning.conflict_judge import IsPossible, Judge
from onceapart.planning.conflict_smallest import irreducible, smallest_conflict
from onceapart.planning.conflict_wants import Want, WantKind, only, wants_of
from onceapart.planning.conflict_ways import Frees, WayOut
from onceapart.planning.conflict_ways_words import ways_in_words
from onceapart.planning.conflict_words import wants_in_words
from onceapart.planning.workload import Workload

MOST_CONFLICTS = 4
"""Conflicts told at once."""
MORE_QUESTIONS = 100
"""Questions asked to find a smaller conflict than the one found first."""
MORE_ITERATIONS = 40_000
"""Simplex iterations spent on them."""


@dataclass(frozen=True)
class Conflict:
    """Wants that can't all hold, while any one of them let go lets the others hold."""

    wants: tuple[Want, ...]
    ways_out: tuple[WayOut, ...]
    """What would free it, each checked; ``frees`` says how far."""
    says: tuple[str, ...]
    """The wants in sentences, with the dates and amounts that clash."""
    ways_say: tuple[str, ...]
    """The ways out in sentences, with lines ending in a colon that lead them in."""
    is_smallest: bool
    """Whether no fewer wants can't all hold: proven."""


@dataclass(frozen=True)
class Conflicts:
    """Conflicts of one workload that share no want but that jobs be done, the smallest first found."""

    found: tuple[Conflict, ...]
    are_all: bool
    """Whether the workload is possible once these are freed: nothing else stands in the way."""


def conflict(
    workload: Workload, *, work_limit: int | None = None, is_possible: IsPossible | None = None
) -> Conflict | None:
    """A smallest set of wants that cannot all hold; None where there is none, or none could be found.

    Parameters
    ----------
    workload : Workload
    work_limit : int, optional
        Simplex iterations for all questions together. Once they are spent, what is not known is not told:
        a way out may be missing, and a want may be needless. The same limit gives the same answer.
    is_possible : callable, optional
        Asked whether small workloads without prices have a plan; default: ``solve.best_plan``.
    """
    found = conflicts(workload, most=1, work_limit=work_limit, is_possible=is_possible).found
    return found[0] if found else None


def conflicts(
    workload: Workload,
    *,
    most: int = MOST_CONFLICTS,
    work_limit: int | None = None,
    is_possible: IsPossible | None = None,
) -> Conflicts:
    """Several conflicts at once, up to ``most``; otherwise as ``conflict``."""
    judge = Judge(is_possible, work_limit)
    wants = wants_of(workload)
    sets: list[tuple[tuple[Want, ...], bool]] = []
    left = wants
    while len(sets) < most and judge.ask(only(workload, left)) is False:
        sets.append(_smallest(workload, left, judge))
        soft = {want for want in sets[-1][0] if want.kind is not WantKind.MUST}
        if not soft:
            break
        left = tuple(want for want in left if want not in soft)
    are_all = judge.ask(only(workload, left)) is True
    freed = [
        Conflict(
            wants=found,
            ways_out=(ways := ways_out(workload, found, _bases(wants, [s for s, _ in sets], at), judge)),
            says=wants_in_words(workload, found),
            ways_say=ways_in_words(workload, ways),
            is_smallest=is_smallest and not judge.is_in_doubt,
        )
        for at, (found, is_smallest) in enumerate(sets)
    ]
    return Conflicts(tuple(freed), are_all)


def explain_impossible(workload: Workload, *, work_limit: int | None = None) -> tuple[str, ...]:
    """Why an impossible workload is impossible, in sentences; lines that end in a colon lead in the next.

    Empty where the workload is possible or nothing could be found out.
    """
    result = conflicts(workload, work_limit=work_limit)
    lines: list[str] = []
    for at, one in enumerate(result.found, 1):
        number = f" ({at} of {len(result.found)})" if len(result.found) > 1 else ""
        lines += [f"These cannot all hold{number}:", *one.says, *one.ways_say]
    if result.found and not result.are_all:
        lines.append("More stands in the way; it is told once these are freed.")
    return tuple(lines)


def _smallest(workload: Workload, wants: Sequence[Want], judge: Judge) -> tuple[tuple[Want, ...], bool]:
    """A smallest set of the wants that can't all hold, and whether that is proven."""

    def is_impossible(kept: Collection[Want]) -> bool:
        return judge.ask(only(workload, kept)) is False

    among = tuple(wants)
    for must in wants:
        if must.kind is WantKind.MUST:
            alone = tuple(want for want in wants if want.kind is not WantKind.MUST or want == must)
            if is_impossible(alone):
                among = alone
                break
    first = irreducible(among, is_impossible)
    asked, spent = judge.asked + MORE_QUESTIONS, judge.iterations + MORE_ITERATIONS
    found = smallest_conflict(
        wants, first, is_impossible, lambda: judge.asked < asked and judge.iterations < spent
    )
    return found.wants, found.is_smallest


def _bases(
    wants: Sequence[Want], sets: Sequence[Sequence[Want]], at: int
) -> list[tuple[Frees, frozenset[Want]]]:
    """What is to hold when a way out of a conflict is looked for: all wants, or fewer."""
    bases = [(Frees.ALL, frozenset(wants))]
    others = {
        want
        for other, one in enumerate(sets)
        for want in one
        if other != at and want.kind is not WantKind.MUST
    }
    if others:
        bases.append((Frees.WITH_OTHERS, frozenset(wants) - others))
    return [*bases, (Frees.THIS, frozenset(sets[at]))]
