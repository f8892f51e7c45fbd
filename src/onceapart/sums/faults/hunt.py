"""The hunt for one fault: its possible causes, the checks that find them, and the access they need."""

from __future__ import annotations

import difflib
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from onceapart.errors import SumError
from onceapart.sums.quantity import shorten


@dataclass(frozen=True)
class Access:
    """What has to come off, or up in the air, before a check can be made."""

    name: str
    minutes: float
    """Off and on again, together."""
    under: tuple[str, ...] = ()
    """Access that has to be open before."""


@dataclass(frozen=True)
class Check:
    """One thing to look at, measure or try."""

    name: str
    finds: tuple[str, ...]
    """The causes it shows, if one of them is it."""
    minutes: float
    price: float = 0.0
    access: tuple[str, ...] = ()
    sees: float = 1.0
    """Chance that it shows the cause when the cause is there."""


@dataclass(frozen=True)
class Finding:
    """What a check that was made said."""

    check: str
    found: bool
    cause: str | None = None
    """Which cause was seen, if the check can tell several apart."""


@dataclass(frozen=True)
class Hunt:
    """Everything that a choice of the next check depends on. Exactly one cause is at work."""

    chances: Mapping[str, float]
    """Cause -> chance that it is the one; they add up to 1."""
    checks: tuple[Check, ...]
    access: tuple[Access, ...] = ()
    hour_worth: float = 0.0
    """What an hour of one's own time is worth, in money."""
    open_access: frozenset[str] = frozenset()
    """Open already."""
    give_up: float | None = None
    """What it costs to have somebody else find the fault for certain; None: not thought of."""

    def minutes_of_access(self, names: frozenset[str]) -> float:
        """Minutes to open these, and to close them again."""
        return math.fsum(each.minutes for each in self.access if each.name in names)

    def needs(self, check: Check) -> frozenset[str]:
        """All access that has to be open for a check, down to what lies under it."""
        by_name = {each.name: each for each in self.access}
        found: set[str] = set()
        waiting = list(check.access)
        while waiting:
            name = waiting.pop()
            if name not in found:
                found.add(name)
                waiting += by_name[name].under
        return frozenset(found)

    def check_named(self, name: str) -> Check:
        """The check of that name."""
        return next(each for each in self.checks if each.name == name)


def make_hunt(
    causes: Sequence[tuple[str, float]],
    checks: Sequence[Check],
    access: Sequence[Access] = (),
    *,
    hour_worth: float = 0.0,
    give_up: float | None = None,
) -> Hunt:
    """Put a hunt together, with every name checked and the chances made to add up to 1.

    Parameters
    ----------
    causes : sequence of (str, float)
        Cause and how likely it is, on any scale. [-]
    checks : sequence of Check
        What can be done to find them.
    access : sequence of Access
        What the checks share.
    hour_worth : float
        Worth of an hour of one's own time. [money/h]
    give_up : float, optional
        Cost of having the fault found for certain by somebody else. [money]

    Returns
    -------
    Hunt
        Ready to be ordered.

    Raises
    ------
    SumError
        A name used twice or unknown, access that lies under itself, chances or costs that cannot be.
    """
    known = _unique([name for name, _ in causes], "cause")
    _unique([each.name for each in checks], "check")
    openings = _unique([each.name for each in access], "access")
    total = math.fsum(weight for _, weight in causes)
    if any(weight < 0 for _, weight in causes) or total <= 0:
        raise SumError("causes: how likely each is must not be below nought, nor all of them nought")
    access = tuple(
        replace(each, under=tuple(_look_up(name, openings, "access", each.name) for name in each.under))
        for each in access
    )
    _refuse_circles(access)
    named = []
    for each in checks:
        if each.minutes < 0 or each.price < 0:
            raise SumError(f"{each.name}: minutes and price must not be below nought")
        if not 0 < each.sees <= 1:
            raise SumError(f"{each.name}: must see above 0 and at most 100% of what is there")
        if not each.finds:
            raise SumError(f"{each.name}: finds nothing; name the causes it shows, or leave it out")
        finds = tuple(dict.fromkeys(_look_up(name, known, "cause", each.name) for name in each.finds))
        needs = tuple(dict.fromkeys(_look_up(name, openings, "access", each.name) for name in each.access))
        named.append(replace(each, finds=finds, access=needs))
    chances = {name: weight / total for name, weight in causes}
    return Hunt(chances, tuple(named), access, hour_worth, give_up=give_up)


def _unique(names: Sequence[str], what: str) -> dict[str, str]:
    """Folded name -> name, refusing one that comes twice."""
    known: dict[str, str] = {}
    for name in names:
        if name.casefold() in known:
            raise SumError(f"{shorten(name)}: {what} named twice; put both in one row or rename one")
        known[name.casefold()] = name
    return known


def _look_up(name: str, known: Mapping[str, str], what: str, by: str) -> str:
    if name.casefold() in known:
        return known[name.casefold()]
    near = difflib.get_close_matches(name.casefold()[:60], known, 1)
    hint = f"did you mean {known[near[0]]}?" if near else f"there is {', '.join(known.values()) or 'none'}"
    raise SumError(f"{by}: no {what} called {shorten(name)}; {hint}")


def _refuse_circles(access: Sequence[Access]) -> None:
    under = {each.name: set(each.under) for each in access}
    while under:
        free = [name for name, below in under.items() if not below]
        if not free:
            raise SumError(f"access: {', '.join(under)} lie under one another in a circle; take one out")
        for name in free:
            del under[name]
        for below in under.values():
            below.difference_update(free)


def after_findings(hunt: Hunt, findings: Sequence[Finding]) -> Hunt:
    r"""The hunt once some checks have been made: chances by Bayes, their access open, they themselves gone.

    Parameters
    ----------
    hunt : Hunt
        Before.
    findings : sequence of Finding
        What the checks said; each check once, in any order.

    Returns
    -------
    Hunt
        After.

    Notes
    -----
    A clear check multiplies the chance of each cause it shows by 1 - sees. A found one leaves only the
    causes it shows, each times sees: a check that says found is taken to be right. Then all are scaled to
    add up to 1 (Bayes).

    Examples
    --------
    >>> hunt = make_hunt([("link", 1), ("joint", 1)], [Check("shake", ("link",), 5, sees=0.5)])
    >>> {cause: round(chance, 3) for cause, chance in
    ...  after_findings(hunt, [Finding("shake", False)]).chances.items()}
    {'link': 0.333, 'joint': 0.667}
    """
    names = {each.name.casefold(): each.name for each in hunt.checks}
    causes = {name.casefold(): name for name in hunt.chances}
    weights = dict(hunt.chances)
    opened = set(hunt.open_access)
    done: set[str] = set()
    for finding in findings:
        check = hunt.check_named(_look_up(finding.check, names, "check", "done"))
        if check.name in done:
            raise SumError(f"{check.name}: said twice; keep the row that counts")
        done.add(check.name)
        opened |= hunt.needs(check)
        seen = None if finding.cause is None else _look_up(finding.cause, causes, "cause", check.name)
        if seen is not None and (not finding.found or seen not in check.finds):
            raise SumError(f"{check.name}: cannot have seen {seen}; it shows {', '.join(check.finds)}")
        for cause in weights:
            shows = check.sees if cause in check.finds else 0.0
            if seen is not None and cause != seen:
                shows = 0.0
            weights[cause] *= shows if finding.found else 1 - shows
    total = math.fsum(weights.values())
    if total <= 0:
        raise SumError(
            "done: after these no cause is left; one is missing from the list, or a check does not see "
            "everything (give it a lower share)"
        )
    left = tuple(each for each in hunt.checks if each.name not in done)
    chances = {cause: weight / total for cause, weight in weights.items()}
    return replace(hunt, chances=chances, checks=left, open_access=frozenset(opened))
