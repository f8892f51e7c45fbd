"""Rows of the linear program about parts: pieces there by a stint cover what is used up to it."""

from __future__ import annotations

import itertools
from collections.abc import Collection, Iterable, Mapping

from onceapart.planning.reduce import ReducedOffer
from onceapart.planning.solve.frame import Frame
from onceapart.planning.solve.program import INF


def add_parts(frame: Frame, offers: Iterable[ReducedOffer], asked: Collection[str]) -> None:
    """Pieces on the shelf and arrived by a stint cover those used up to it."""
    sold: dict[str, list[tuple[int, int, int]]] = {}
    for offer in offers:
        if offer.useful:
            column = frame.program.column["buy", offer.id]
            for part, pieces in offer.parts:
                sold.setdefault(part, []).append((column, pieces, offer.at))
    for part, users in sorted(frame.reduced.demand.items()):
        shelf = frame.reduced.workload.shelf.get(part, 0)
        arriving = sold.get(part, [])
        # Only the last stint before each arrival can bind.
        ends = {at - 1 for _, _, at in arriving} | {len(frame.reduced.room) - 1}
        for end in sorted(ends - {-1}):
            here = [(column, pieces) for column, pieces, at in arriving if at <= end]
            _add_part(frame, users, shelf, here, end)
        if shelf and arriving and "spare" in asked:
            _add_shelf(frame, part, users, shelf)


def _add_part(
    frame: Frame, users: Mapping[int, int], shelf: int, here: list[tuple[int, int]], end: int
) -> None:
    """Rows of one part up to one stint, for all its jobs together and for some of them.

    ``users`` are pieces by job, ``here`` columns of units with the pieces in each.
    """
    jobs = [job for job in sorted(users) if frame.reduced.jobs[job].first <= end]
    groups: list[tuple[int, ...]] = [tuple(jobs)] if jobs else []
    if 1 < len(jobs) <= 4:
        groups += [g for n in range(1, len(jobs)) for g in itertools.combinations(jobs, n)]
    elif len(jobs) > 4:
        groups += [(job,) for job in jobs]
    for group in groups:
        most = sum(users[job] for job in group) - shelf
        # Fewer jobs than all say more only where a unit holds more pieces than they can use.
        if most <= 0 or (len(group) < len(jobs) and not any(pieces > most for _, pieces in here)):
            continue
        terms = [(column, -float(min(pieces, most))) for column, pieces in here]
        for job in group:
            done = frame.done(job, end)
            assert done is not None
            terms.append((done, float(users[job])))
        frame.program.add_row(-INF, shelf, terms)


def _add_shelf(frame: Frame, part: str, users: Mapping[int, int], shelf: int) -> None:
    """Pieces of a part used beyond the shelf; they are what of the bought ones is not spare."""
    most = sum(users.values()) - shelf
    if most <= 0:
        return
    beyond = frame.column(("used", part), 0, most, spare=-1.0)
    empty = frame.column(("empty", part), 0, 1)
    frame.program.add_row(-INF, 0.0, [(beyond, 1.0), (empty, -float(most))])
    last = {job: frame.program.column["done", job, frame.ends_of(job)[-1]] for job in users}
    terms = [(last[job], -float(n)) for job, n in sorted(users.items())]
    frame.program.add_row(-INF, 0.0, [(beyond, 1.0), (empty, float(shelf)), *terms])
