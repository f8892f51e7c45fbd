"""An entry in one line, as a person reads it."""

from __future__ import annotations

from collections.abc import Mapping

from onceapart.bench.entries import (
    Arrived,
    CheckAnswered,
    Corrected,
    Entry,
    MeasuredValue,
    Noted,
    Ordered,
    RecordMended,
    ReleaseAsked,
    ReleaseGranted,
    ReleaseWithdrawn,
    SnagClosed,
    SnagOpened,
    Started,
    StopgapClosed,
    StopgapFitted,
    StopgapSigned,
    Stopped,
    Ticked,
    Tightened,
    Unticked,
    WayChosen,
)


def entry_words(entry: Entry, numbers: Mapping[str, int] | None = None) -> str:
    """Kind of an entry and what it says.

    Parameters
    ----------
    entry : Entry
    numbers : mapping, optional
        Entry id -> number, to name the entries that one goes back to.
    """
    return f"{entry.kind}: {_rest(entry, numbers or {})}".rstrip(": ")


def _rest(entry: Entry, numbers: Mapping[str, int]) -> str:
    def to(entry_id: str) -> str:
        return f"entry {numbers[entry_id]}" if entry_id in numbers else f"entry {entry_id}"

    match entry:
        case Ticked() | Unticked():
            return entry.step
        case MeasuredValue():
            return f"{entry.step} {entry.value}"
        case Tightened():
            return f"{entry.fastener} {entry.torque}"
        case Started() | Stopped():
            return " ".join(filter(None, [entry.job, f"stint {entry.stint}" if entry.stint else ""]))
        case Noted():
            return _one_line(entry.words)
        case Ordered():
            what = entry.offer or ", ".join(f"{n} {part}" for part, n in entry.parts.items()) or entry.tool
            times = f"{entry.units} " if entry.units > 1 else ""
            return f"{times}{what}, comes {entry.arrives}"
        case Arrived():
            state = "" if entry.state == "right" else f", {entry.state}"
            return f"{entry.pieces} of {entry.part}{state}"
        case SnagOpened():
            danger = " (dangerous)" if entry.dangerous else ""
            return f"{entry.snag} on {entry.car}{danger}, {_one_line(entry.words)}"
        case WayChosen():
            return f"{to(entry.snag)}, {entry.way}"
        case SnagClosed():
            return f"{to(entry.snag)}, {_one_line(entry.how)}"
        case StopgapFitted():
            return f"{entry.what}, {entry.where} of {entry.car} ({entry.system})"
        case StopgapSigned():
            return f"{to(entry.stopgap)}, by {entry.signed_by}"
        case StopgapClosed():
            return f"{to(entry.stopgap)}, by {entry.by}"
        case CheckAnswered():
            return " ".join(
                filter(None, [entry.check, entry.answer, entry.value, _one_line(entry.words or "")])
            )
        case ReleaseAsked():
            return f"{entry.car}, {len(entry.checks)} checks"
        case ReleaseGranted():
            return entry.car
        case ReleaseWithdrawn():
            return f"{entry.car}, {_one_line(entry.why)}"
        case Corrected():
            return f"{to(entry.entry)} does not count, {_one_line(entry.why)}"
        case RecordMended():
            lines = ", ".join(map(str, entry.lines))
            return f"damage in line {lines}, kept as {entry.kept_as}"


def _one_line(words: str) -> str:
    return " / ".join(words.split("\n"))
