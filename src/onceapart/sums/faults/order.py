"""The order of checks of least expected cost: exact by subsets, and the plain ratio rule beside it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from onceapart.errors import SumError
from onceapart.sums.faults.hunt import Check, Hunt

EXACT_MOST = 14
"""Checks up to which every subset is looked at (16384 of them)."""
WINDOW = 8
"""Above that, stretches of so many neighbours are put in their best order until nothing gains."""
SWEEPS = 8
CERTAIN = 1e-12
"""A chance this small is rounding, not a chance."""


@dataclass(frozen=True)
class Step:
    """One check in its turn."""

    check: Check
    opens: frozenset[str]
    """Access opened for it."""
    minutes: float
    """With what it opens."""
    cost: float
    """Price and time, if it comes to it."""
    reached: float
    """Chance that it comes to it: that nothing was found before."""
    found: float
    """Chance that the fault is found by the end of it."""


@dataclass(frozen=True)
class Course:
    """Checks in order, and what they come to."""

    steps: tuple[Step, ...]
    expected_cost: float
    """With giving up at the end, if that was thought of."""
    expected_minutes: float
    not_found: float
    """Chance that nothing is found by the last step."""
    is_proven: bool = False
    """Whether no order costs less."""

    @property
    def names(self) -> tuple[str, ...]:
        """Checks by name, in order."""
        return tuple(step.check.name for step in self.steps)

    @property
    def most_cost(self) -> float:
        """What it comes to if none but the last finds it."""
        return math.fsum(step.cost for step in self.steps)


def useful_checks(hunt: Hunt) -> tuple[Check, ...]:
    """Checks that can still find something."""
    return tuple(each for each in hunt.checks if any(hunt.chances[cause] > 0 for cause in each.finds))


def check_cost(hunt: Hunt, check: Check) -> float:
    """What a check costs by itself, with all its access that is not open yet.

    Parameters
    ----------
    hunt : Hunt
        The hunt as it stands.
    check : Check
        One of its checks.

    Returns
    -------
    float
        Price, and minutes at the worth of an hour. [money]

    Examples
    --------
    >>> from onceapart.sums.faults.hunt import Access, make_hunt
    >>> wheel = Access("wheel", 10)
    >>> hunt = make_hunt([("pad", 1)], [Check("look", ("pad",), 5, 2.0, ("wheel",))], [wheel], hour_worth=12)
    >>> check_cost(hunt, hunt.checks[0])
    5.0

    References
    ----------
    .. [1] Arithmetic.
    """
    minutes = check.minutes + hunt.minutes_of_access(hunt.needs(check) - hunt.open_access)
    return check.price + minutes * hunt.hour_worth / 60


def walk(hunt: Hunt, order: Sequence[Check], *, is_proven: bool = False) -> Course:
    r"""Go through checks in an order, and say what that comes to.

    Parameters
    ----------
    hunt : Hunt
        The hunt as it stands.
    order : sequence of Check
        Each once.

    Returns
    -------
    Course
        Steps and expected cost.

    Notes
    -----
    The expected cost is the sum over the steps of cost times the chance that it comes to it [1]_. What the
    cure costs is left out: it is the same in any order. Access opened stays open.

    References
    ----------
    .. [1] Heckerman, Breese and Rommelse, Decision-theoretic troubleshooting, CACM 38(3), 1995 (from memory).
    """
    weights = dict(hunt.chances)
    opened = set(hunt.open_access)
    reached = 1.0
    steps = []
    for check in order:
        if reached <= CERTAIN:
            break
        opens = frozenset(hunt.needs(check) - opened)
        opened |= opens
        minutes = check.minutes + hunt.minutes_of_access(opens)
        for cause in check.finds:
            weights[cause] *= 1 - check.sees
        left = math.fsum(weights.values())
        cost = check.price + minutes * hunt.hour_worth / 60
        steps.append(Step(check, opens, minutes, cost, reached, 1 - left))
        reached = left if left > CERTAIN else 0.0
    expected = math.fsum(step.cost * step.reached for step in steps)
    return Course(
        steps=tuple(steps),
        expected_cost=expected + reached * (hunt.give_up or 0.0),
        expected_minutes=math.fsum(step.minutes * step.reached for step in steps),
        not_found=reached,
        is_proven=is_proven,
    )


def expected_cost(hunt: Hunt, order: Sequence[Check]) -> float:
    """What checks in an order come to on average.

    Parameters
    ----------
    hunt : Hunt
        The hunt as it stands.
    order : sequence of Check
        Each once.

    Returns
    -------
    float
        Expected cost. [money]

    Notes
    -----
    See :func:`walk`.

    Examples
    --------
    >>> from onceapart.sums.faults.hunt import make_hunt
    >>> checks = [Check(name, (name,), 0, price) for name, price in (("A", 60), ("B", 15), ("C", 20))]
    >>> hunt = make_hunt([("A", 0.5), ("B", 0.3), ("C", 0.2)], checks)
    >>> a, b, c = hunt.checks
    >>> round(expected_cost(hunt, [b, c, a]), 6), round(expected_cost(hunt, [a, b, c]), 6)
    (59.0, 71.5)

    References
    ----------
    .. [1] Heckerman, Breese and Rommelse, Decision-theoretic troubleshooting, CACM 38(3), 1995 (from memory).
    """
    return walk(hunt, order).expected_cost


def ratio_order(hunt: Hunt) -> tuple[Check, ...]:
    """Checks by chance of finding over cost, the greatest first: the plain rule.

    It is best where no check shares access or causes with another, and every check's cost stands by itself.
    """

    def ratio(check: Check) -> float:
        finds = math.fsum(hunt.chances[cause] for cause in check.finds) * check.sees
        cost = check_cost(hunt, check)
        return finds / cost if cost > 0 else math.inf

    return tuple(sorted(useful_checks(hunt), key=ratio, reverse=True))


def ratio_course(hunt: Hunt) -> Course:
    """The ratio rule followed, giving up where that is cheapest for it."""
    return _best_stop(hunt, ratio_order(hunt))


def best_course(hunt: Hunt) -> Course:
    """The order of least expected cost.

    Parameters
    ----------
    hunt : Hunt
        The hunt as it stands.

    Returns
    -------
    Course
        Proven best up to 14 checks that can still find something; above, good but not proven.

    Raises
    ------
    SumError
        No check can find any cause that is left.

    Notes
    -----
    Up to 14 checks: dynamic programming over subsets. What is left to pay after a set of clear checks
    depends on the set only, not on their order, so the best order of each set's rest is worked out once.
    Above: the better of the ratio rule and the ratio rule weighed anew at each step, then every stretch of
    eight neighbours put in its best order until nothing gains.
    """
    checks = useful_checks(hunt)
    if not checks:
        raise SumError("checks: none of those left can find any cause that is left; add one")
    if len(checks) <= EXACT_MOST:
        order = _by_subsets(hunt, checks)
        return walk(hunt, order, is_proven=True)
    starts = (ratio_order(hunt), _weighed_anew(hunt))
    return min(
        (_best_stop(hunt, _smoothed(hunt, each)) for each in starts), key=lambda each: each.expected_cost
    )


def _by_subsets(hunt: Hunt, checks: Sequence[Check]) -> list[Check]:
    """Best order; shorter than all the checks if giving up is cheaper than going on."""
    count = len(checks)
    size = 1 << count
    left = _chance_left(hunt, checks)
    bits = {each.name: 1 << number for number, each in enumerate(hunt.access)}
    needs = [sum(bits[name] for name in hunt.needs(each)) for each in checks]
    opened = [sum(bits[name] for name in hunt.open_access)] * size
    for done in range(1, size):
        lowest = (done & -done).bit_length() - 1
        opened[done] = opened[done & (done - 1)] | needs[lowest]
    own = [each.price + each.minutes * hunt.hour_worth / 60 for each in checks]
    opening: dict[int, float] = {}

    def cost_of_opening(mask: int) -> float:
        if mask not in opening:
            names = frozenset(name for name, bit in bits.items() if bit & mask)
            opening[mask] = hunt.minutes_of_access(names) * hunt.hour_worth / 60
        return opening[mask]

    rest = [0.0] * size
    choice = [-1] * size
    for done in range(size - 1, -1, -1):
        best, pick = math.inf, -1
        if hunt.give_up is not None or done == size - 1:
            best = left[done] * (hunt.give_up or 0.0)
        for number in range(count):
            if done >> number & 1:
                continue
            cost = own[number] + cost_of_opening(needs[number] & ~opened[done])
            total = cost * left[done] + rest[done | 1 << number]
            # Equal within rounding counts as equal, so that the order typed decides and not the last bit.
            if total + 1e-12 * max(1.0, total) < best:
                best, pick = total, number
        rest[done], choice[done] = best, pick
    order, done = [], 0
    while choice[done] >= 0:
        order.append(checks[choice[done]])
        done |= 1 << choice[done]
    return order


def _chance_left(hunt: Hunt, checks: Sequence[Check]) -> list[float]:
    """For each set of checks, the chance that all of them are clear."""
    total = [0.0] * (1 << len(checks))
    for cause, chance in hunt.chances.items():
        if chance <= 0:
            continue
        missed = [1 - each.sees if cause in each.finds else 1.0 for each in checks]
        alive = [chance] * len(total)
        for done in range(1, len(total)):
            lowest = (done & -done).bit_length() - 1
            alive[done] = alive[done & (done - 1)] * missed[lowest]
        total = [before + each for before, each in zip(total, alive, strict=True)]
    return total


def _best_stop(hunt: Hunt, order: Sequence[Check]) -> Course:
    """The order, cut where giving up is cheapest."""
    if hunt.give_up is None:
        return walk(hunt, order)
    courses = (walk(hunt, order[:stop]) for stop in range(len(order) + 1))
    return min(courses, key=lambda each: each.expected_cost)


def _after(hunt: Hunt, done: Sequence[Check]) -> Hunt:
    """The hunt after checks that were clear; the chances are left smaller than 1, which orders alike."""
    weights = dict(hunt.chances)
    opened = set(hunt.open_access)
    for check in done:
        opened |= hunt.needs(check)
        for cause in check.finds:
            weights[cause] *= 1 - check.sees
    return replace(hunt, chances=weights, open_access=frozenset(opened), give_up=None)


def _weighed_anew(hunt: Hunt) -> tuple[Check, ...]:
    """The ratio rule with chances and costs taken anew after each check."""
    order: list[Check] = []
    waiting = list(useful_checks(hunt))
    while waiting:
        now = _after(hunt, order)
        ranked = [each for each in ratio_order(now) if each in waiting]
        # What can find nothing any more goes to the end, as typed.
        order.append(ranked[0] if ranked else waiting[0])
        waiting.remove(order[-1])
    return tuple(order)


def _smoothed(hunt: Hunt, order: Sequence[Check]) -> list[Check]:
    best = list(order)
    cost = expected_cost(hunt, best)
    for _ in range(SWEEPS):
        for start in range(len(best) - WINDOW + 1):
            stretch = best[start : start + WINDOW]
            now = _after(hunt, best[:start])
            best[start : start + WINDOW] = _by_subsets(now, stretch)
        lower = expected_cost(hunt, best)
        if lower >= cost - 1e-9 * max(1.0, cost):
            break
        cost = lower
    return best
