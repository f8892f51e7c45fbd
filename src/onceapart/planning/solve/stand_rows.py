"""Rows of the linear program about access that may stand: left off between stints, put on in a later one."""

from __future__ import annotations

from collections.abc import Mapping

from onceapart.planning.reduce import Stand
from onceapart.planning.solve.frame import Frame
from onceapart.planning.solve.program import INF
from onceapart.planning.solve.tool_rows import Had

OpenAt = Mapping[tuple[int, int], int]
"""(position in ``Reduced.stands``, stint): the column of its being left off after that stint."""


def add_stands(frame: Frame, had: Had) -> None:
    """What may be left off between stints: it is off in a stint if found off or taken off there."""
    stands = frame.reduced.stands
    assert frame.slots.are_single or not stands
    open_at: dict[tuple[int, int], int] = {}
    for i, stand in enumerate(stands):
        for s in frame.stints:
            if stand.over[s]:
                open_at[i, s] = frame.column(("open", i, s), 0, 1)
    for i, stand in enumerate(stands):
        for s in frame.stints:
            _add_stand_in(frame, had, i, stand, s, open_at)
        for s in frame.stints:
            for under in stand.under if stand.over[s] else ():
                frame.implied(open_at[i, s], [open_at[under, s]] if (under, s) in open_at else [])
    for car in sorted({stand.car for stand in stands}):
        _add_off_road(frame, car, open_at)


def _add_stand_in(frame: Frame, had: Had, i: int, stand: Stand, s: int, open_at: OpenAt) -> None:
    row = frame.program.add_row
    take = frame.column(("take", i, s), 0, 1, minutes=float(stand.minutes_off))
    put = frame.column(("put", i, s), 0, 1, minutes=float(stand.minutes_on))
    frame.program.highs.changeCoeff(frame.room_rows[s], take, float(stand.minutes_off))
    frame.program.highs.changeCoeff(frame.room_rows[s], put, float(stand.minutes_on))
    found = 1.0 if s == 0 and stand.is_off_now else 0.0
    off = [take, *([open_at[i, s - 1]] if (i, s - 1) in open_at else [])]
    after = [put, *([open_at[i, s]] if (i, s) in open_at else [])]
    row(-found, -found, [*((c, 1.0) for c in off), *((c, -1.0) for c in after)])
    row(-INF, 1.0 - found, [(c, 1.0) for c in off])
    for b, block in enumerate(frame.blocks.blocks):
        if any(at == stand.setup for at, _ in block.shared):
            rows = frame.shared_rows.setdefault((b, stand.setup), [])
            rows.append(row(-INF, found, [(c, -1.0) for c in off]))
    for care in stand.cares:
        frame.implied(put, [frame.program.column["setup", care, s]])
    for tool in stand.tools:
        frame.implied(take, had[tool][s])
        frame.implied(put, had[tool][s])


def _add_off_road(frame: Frame, car: str, open_at: OpenAt) -> None:
    """Days over which anything of a car is left off have their price, once."""
    workload, stands = frame.reduced.workload, frame.reduced.stands
    price = workload.off_road.get(car, 0)
    for s in frame.stints if price else ():
        left = [open_at[i, s] for i, stand in enumerate(stands) if stand.car == car and stand.over[s]]
        if left:
            days = workload.days_to_next(s)
            off_road = frame.column(("stands", car, s), 0, 1, money=float(price * days))
            for column in left:
                frame.implied(column, [off_road])
