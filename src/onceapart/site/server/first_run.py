"""The demo as it is loaded where there is no workshop yet: its dates moved to the present."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterator

from onceapart.demo import demo_text, read_demo

_DATE = re.compile(r"\b20\d\d-\d\d-\d\d\b")
_SECTION = re.compile(r"([a-z_]+):")
LEAD = dt.timedelta(days=2)
"""Between today and the first stint, so that something can be ordered before it."""
WEEK = dt.timedelta(days=7)


def demo_for(today: dt.date) -> str:
    """Text of the demo's workshop file, as if it had been written this week.

    Days of the week stay: stints, inspections and last days move by whole weeks until the first stint is
    to come, findings by whole weeks until all are past. ``today`` is left out, so that it is the real one.
    """
    demo = read_demo().workshop
    to_come = _weeks(today + LEAD - min(stint.date for stint in demo.stints), up=True)
    past = (
        _weeks(today - max(finding.date for finding in demo.findings), up=False) if demo.findings else to_come
    )
    return "".join(_moved(demo_text(), to_come, past))


def _weeks(time: dt.timedelta, *, up: bool) -> dt.timedelta:
    """The next whole weeks, up or down."""
    return WEEK * (-(-time.days // 7) if up else time.days // 7)


def _moved(text: str, to_come: dt.timedelta, past: dt.timedelta) -> Iterator[str]:
    section = ""
    for line in text.splitlines(keepends=True):
        found = _SECTION.match(line)
        section = found[1] if found else section
        if section == "today" and found:
            continue
        code, hash_, comment = line.partition(" #")
        if "registered:" in code:  # a car does not get younger
            yield line
            continue
        yield _later(code, past if section == "findings" else to_come) + hash_ + comment


def _later(text: str, time: dt.timedelta) -> str:
    return _DATE.sub(lambda found: str(dt.date.fromisoformat(found[0]) + time), text)
