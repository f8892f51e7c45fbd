"""A walk round a car as findings with blanks, to fill in and put into the workshop file.

A blank that is left is refused by the reader of the file, so that nothing counts as looked at by mistake.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from onceapart.inspection.amounts import COUNTED
from onceapart.inspection.verdicts import CarVerdict
from onceapart.inspection.walking import Leg, Task
from onceapart.inspection.wording import blank_words, place_words

BLANK = "____"
_HEAD = """\
# Findings to fill in: a figure for each {blank}, or what was seen (`sound` if nothing is wrong). A line whose
# blank is left is refused when the file is read, so take out the lines of what you did not look at. Then put
# the rest under `findings:` of the workshop file. Add `odometer: 143200 km` to what wears.
"""


def form_text(walks: Iterable[tuple[CarVerdict, Sequence[Leg]]]) -> str:
    """Findings with blanks, in the order of going round.

    Parameters
    ----------
    walks : iterable of (CarVerdict, sequence of Leg)
        As ``walk_round`` gives them.

    Returns
    -------
    str
        YAML: one finding a line, what may be written behind it.
    """
    lines = [_HEAD.format(blank=BLANK), "findings:\n"]
    for verdict, legs in walks:
        for leg in legs:
            for stop in leg.stops:
                place = place_words(stop.place) or "the car as a whole"
                lines.append(f"  # {verdict.car.id}: {place} ({leg.state.replace('-', ' ')})\n")
                lines += [_line(verdict, task) for task in (*stop.tasks, *stop.wheel_off)]
    return "".join(lines) if len(lines) > 2 else "# There is nothing left to look at.\n"


def _line(verdict: CarVerdict, task: Task) -> str:
    item = task.item
    found = f"value: {BLANK} {item.unit or COUNTED}" if item.is_measured else f"seen: [{BLANK}]"
    place = "" if item.at == "car" else f"place: {task.place}, "
    today = verdict.today.isoformat()
    entry = f"  - {{car: {verdict.car.id}, item: {item.id}, {place}{found}, date: {today}}}"
    words = blank_words(task)
    return f"{entry}    # {words}\n" if words else f"{entry}\n"
