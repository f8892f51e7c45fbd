"""Rows of the linear program about tools (hired, bought or had) and set-ups that span blocks."""

from __future__ import annotations

from collections.abc import Mapping

from onceapart.planning.solve.fits import Fit
from onceapart.planning.solve.frame import Frame
from onceapart.planning.solve.program import INF

Had = list[list[list[int]]]
"""By tool and stint: the columns by which the tool is there."""


def add_tools(frame: Frame) -> Had:
    """What needs a tool is done in stints for which it is hired, or after it was bought."""
    return [_add_tool(frame, at) for at in range(len(frame.reduced.tools))]


def _add_tool(frame: Frame, at: int) -> list[list[int]]:
    tool, times = frame.reduced.tools[at], frame.times
    used = {s for job in tool.jobs for s in frame.stints if (job, s) in frame.link}
    if any(at in stand.tools for stand in frame.reduced.stands):
        used = set(frame.stints)
    hired: dict[int, int] = {}
    if tool.hire is not None:
        for stint in frame.stints:
            if stint in used:
                hired[stint] = frame.column(("hire", at, stint), 0, times[stint], money=tool.hire)
    if len(hired) > 1:
        often = frame.column(("hires", at), 0, sum(times[s] for s in hired))
        frame.program.add_row(0.0, 0.0, [*((c, 1.0) for c in hired.values()), (often, -1.0)])
    own = None if tool.buy is None else frame.column(("own", at), 0, 1, money=tool.buy)
    for b, block in enumerate(frame.blocks.blocks):
        if any(t == at for t, _ in block.tools):
            frame.tool_rows[b, at] = [
                frame.program.add_row(-INF, 0.0, _stints_with(frame, s, hired, own)) for s in frame.stints
            ]
    _add_tool_fits(frame, at, hired, own)
    return [[c for c in (hired.get(s), own) if c is not None] for s in frame.stints]


def _stints_with(
    frame: Frame, slot: int, hired: Mapping[int, int], own: int | None
) -> list[tuple[int, float]]:
    """Terms of a slot's stints in which a tool is there, on the smaller side of a row."""
    both = ((hired.get(slot), 1.0), (own, frame.times[slot]))
    return [(column, -stints) for column, stints in both if column is not None]


def _add_tool_fits(frame: Frame, tool: int, hired: Mapping[int, int], own: int | None) -> None:
    """Where stints are put together: those that a tool is there for must have room for what needs it."""
    for s, slot in enumerate(frame.slots.slots):
        if len(slot.stints) > 1:
            there = _stints_with(frame, s, hired, own)
            for parts, edge in ((0, 1), (1, 0)):
                fit = Fit(s, slot.room, parts, edge, tool)
                frame.fit_rows[fit] = frame.program.add_row(-INF, 0.0, there)


def add_setups(frame: Frame) -> None:
    """Set-ups that span blocks take a stint's minutes once; those that may stand have rows of their own."""
    standing = {stand.setup for stand in frame.reduced.stands}
    for at in frame.blocks.spanning:
        if at in standing:
            continue
        setup = frame.reduced.setups[at]
        columns = [
            frame.column(("setup", at, s), 0, frame.times[s], money=setup.price, minutes=setup.minutes)
            for s in frame.stints
        ]
        for s, column in enumerate(columns):
            frame.program.highs.changeCoeff(frame.room_rows[s], column, float(setup.minutes))
        for b, block in enumerate(frame.blocks.blocks):
            if any(i == at for i, _ in block.shared):
                frame.shared_rows[b, at] = [frame.program.add_row(-INF, 0.0, [(c, -1.0)]) for c in columns]
