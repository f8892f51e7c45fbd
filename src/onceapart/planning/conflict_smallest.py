"""A smallest set of wants that cannot all hold.

First an irreducible set by divide and conquer, then smaller ones by way of hitting sets: every set that can't
hold shares a want with everything that must be let go to make the rest hold, so a set that hits all such
*ways to let go* and still can't hold is a smallest one.

References
----------
.. [1] U. Junker, "QuickXplain: preferred explanations and relaxations for over-constrained problems",
   AAAI 2004 (from memory).
.. [2] A. Ignatiev, A. Previti, M. Liffiton, J. Marques-Silva, "Smallest MUS extraction with minimal hitting
   set dualization", CP 2015 (from memory).
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from itertools import count
from typing import Generic, TypeVar

W = TypeVar("W")

HITTING_STEPS = 20_000
"""Steps of the search for one hitting set."""


@dataclass(frozen=True)
class Smallest(Generic[W]):
    """Wants that can't all hold, in the order they were given in."""

    wants: tuple[W, ...]
    is_smallest: bool
    """Whether no set of fewer wants is impossible: proven."""


def smallest_conflict(
    wants: Sequence[W],
    found: Collection[W],
    is_impossible: Callable[[Collection[W]], bool],
    more_questions: Callable[[], bool],
) -> Smallest[W]:
    """A set of wants that can't all hold, of the fewest wants as far as the questions reach [2]_.

    Parameters
    ----------
    wants : sequence
        All there are.
    found : collection
        Some of them that can't all hold, none of them needless (``irreducible``).
    is_impossible : callable
        Whether some of them can't all hold. Where that can't be known: False.
    more_questions : callable
        Whether to go on looking for a smaller set than the one found.
    """
    order = {want: at for at, want in enumerate(wants)}

    def as_given(some: Collection[W]) -> tuple[W, ...]:
        return tuple(sorted(some, key=order.__getitem__))

    to_let_go: list[frozenset[W]] = []
    while more_questions():
        try:
            hits = smallest_hit(to_let_go, order, len(found) - 1)
        except SearchGivenUpError:
            break
        if hits is None:
            return Smallest(as_given(found), True)
        if is_impossible(hits):
            return Smallest(as_given(hits), True)
        held = grown(hits, [want for want in wants if want not in hits], is_impossible)
        to_let_go.append(frozenset(order) - held)
    return Smallest(as_given(found), False)


def irreducible(wants: Sequence[W], is_impossible: Callable[[Collection[W]], bool]) -> tuple[W, ...]:
    """Those of the wants that can't all hold, none of them needless; earlier ones are rather kept [1]_."""

    def needed(kept: tuple[W, ...], is_new: bool, among: tuple[W, ...]) -> tuple[W, ...]:
        if is_new and is_impossible(kept):
            return ()
        if len(among) == 1:
            return among
        first, rest = among[: len(among) // 2], among[len(among) // 2 :]
        of_rest = needed((*kept, *first), bool(first), rest)
        return (*needed((*kept, *of_rest), bool(of_rest), first), *of_rest)

    return needed((), True, tuple(wants)) if wants else ()


def grown(
    held: frozenset[W], more: Sequence[W], is_impossible: Callable[[Collection[W]], bool]
) -> frozenset[W]:
    """Wants that can all hold, with as many more as can be added one after the other."""
    if not more:
        return held
    everything = held.union(more)
    if not is_impossible(everything):
        return everything
    if len(more) == 1:
        return held
    half = len(more) // 2
    return grown(grown(held, more[:half], is_impossible), more[half:], is_impossible)


def smallest_hit(sets: Sequence[frozenset[W]], order: Mapping[W, int], most: int) -> frozenset[W] | None:
    """Fewest items that share one with each set, ties by the order; None where it takes more than ``most``.

    Raises
    ------
    SearchGivenUpError
        After ``HITTING_STEPS``.
    """
    steps = count()

    def hit(chosen: frozenset[W], left: int) -> frozenset[W] | None:
        if next(steps) > HITTING_STEPS:
            raise SearchGivenUpError
        open_sets = [one for one in sets if not one & chosen]
        if not open_sets:
            return chosen
        if _apart(open_sets) > left:
            return None
        open_sets.sort(key=len)
        for item in sorted(open_sets[0], key=order.__getitem__):
            found = hit(chosen | {item}, left - 1)
            if found is not None:
                return found
        return None

    tries = (hit(frozenset(), size) for size in range(most + 1))
    return next((found for found in tries if found is not None), None)


def _apart(sets: Sequence[frozenset[W]]) -> int:
    """Number of sets, chosen one after the other, that share nothing: each takes an item of its own."""
    seen: frozenset[W] = frozenset()
    number = 0
    for one in sorted(sets, key=len):
        if not one & seen:
            seen |= one
            number += 1
    return number


class SearchGivenUpError(Exception):
    """A hitting set takes too long to find."""
