"""What comes off to get where: the access of a car as a drawing, with the jobs at the ends of its lines.

Each thing that comes off is a box, below and to the right of what has to be off before it; a thick edge
says that several jobs share it. Jobs are balloons with numbers, as parts have on a drawing.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field

from onceapart.planning.workload import Workload
from onceapart.site.pages.jobs.listing import JobLine, taken_off_first, users_of
from onceapart.site.pages.jobs.names import Names
from onceapart.trade.jobs import place_and_name
from onceapart.workshop import PLACES

WIDTH, STEP, LEFT = 350, 16, 2
LINE, PAD, GAP = 19, 7, 10
"""Height of a line of words, room around words in a box, and room between boxes. [units of the picture]"""
BALLOON = 13
WIDE, NARROW = 8.4, 7.4
"""Width of a letter, about, in big and in small words; so that nothing runs out of its box."""


@dataclass(frozen=True)
class Words:
    """A line of words at a point."""

    x: float
    y: float
    text: str


@dataclass(frozen=True)
class Box:
    """One thing that comes off."""

    x: float
    y: float
    width: float
    height: float
    title: tuple[Words, ...]
    small: tuple[Words, ...]
    minutes: Words
    is_shared: bool
    is_off: bool


@dataclass(frozen=True)
class JobMark:
    """A job at the end of a line."""

    number: int
    x: float
    y: float
    title: tuple[Words, ...]
    url: str
    is_planned: bool


@dataclass(frozen=True)
class AccessPicture:
    """Where everything is drawn, in units of the picture; ``tree`` says the same in words."""

    width: float
    height: float
    boxes: tuple[Box, ...]
    jobs: tuple[JobMark, ...]
    lines: tuple[str, ...]
    """Paths from a thing to what comes off after it."""
    planned_lines: tuple[str, ...]
    """Paths to jobs that are in the plan."""
    tree: tuple[Told, ...]
    numbers: Mapping[str, int] = field(default_factory=dict)
    """Job -> its number."""


@dataclass(frozen=True)
class Told:
    """The same as a box, in words."""

    title: str
    minutes: int
    users: int
    """Jobs that need it off."""
    also: tuple[str, ...]
    jobs: tuple[str, ...]
    inner: tuple[Told, ...]
    is_off: bool = False


def access_picture(
    workload: Workload, lines: Sequence[JobLine], names: Names, off: Collection[str] = ()
) -> AccessPicture | None:
    """The picture of what comes off for some jobs; None where nothing does.

    Parameters
    ----------
    workload : Workload
    lines : sequence of JobLine
        Jobs of one car that are not done, in the order in which they are numbered.
    names : Names
    off : collection of str, optional
        What is off now.
    """
    opened = {one.job.id: workload.opened_for([one.job.id]) for one in lines}
    if not any(opened.values()):
        return None
    return _Drawing(workload, lines, names, off, users_of(opened)).drawn()


class _Drawing:
    def __init__(
        self,
        workload: Workload,
        lines: Sequence[JobLine],
        names: Names,
        off: Collection[str],
        users: Mapping[str, tuple[str, ...]],
    ) -> None:
        self.workload = workload
        self.names = names
        self.off = off
        self.users = users
        self.number = {one.job.id: at for at, one in enumerate(lines, start=1)}
        self.line = {one.job.id: one for one in lines}
        self.ends: dict[str, list[str]] = {}
        for one in lines:
            ends = [name for name in one.job.access if not self._is_under_another(name, one.job.access)]
            for name in ends:
                self.ends.setdefault(name, []).append(one.job.id)
        self.inner: dict[str, list[str]] = {}
        for name in self._in_order():
            self.inner.setdefault(self._held_by(name), []).append(name)
        self.boxes: list[Box] = []
        self.marks: list[JobMark] = []
        self.paths: list[str] = []
        self.planned: list[str] = []
        self.y = float(LEFT)

    def _is_under_another(self, name: str, access: Collection[str]) -> bool:
        """Whether a job names it only because of something further in that it names too."""
        return any(other != name and name in self._chain(other) for other in access)

    def _chain(self, name: str) -> tuple[str, ...]:
        return taken_off_first(self.workload, [name])

    def _in_order(self) -> list[str]:
        def rank(name: str) -> tuple[int, int, str]:
            place = place_and_name(self.names.workshop, name)[0]
            order = ("front", *PLACES[:2], "rear", *PLACES[2:])
            return order.index(place), len(self._chain(name)), name

        return sorted(self.users, key=rank)

    def _held_by(self, name: str) -> str:
        """The last thing that comes off before it; "" if it is the first."""
        under = self.workload.access_by_id[name].under
        return max(under, key=lambda one: (len(self._chain(one)), one), default="")

    def drawn(self) -> AccessPicture:
        tree = tuple(self._draw(name, 0, None) for name in self.inner.get("", []))
        return AccessPicture(
            WIDTH,
            self.y,
            tuple(self.boxes),
            tuple(self.marks),
            tuple(self.paths),
            tuple(self.planned),
            tree,
            self.number,
        )

    def _draw(self, name: str, depth: int, trunk: tuple[float, float] | None) -> Told:
        """Draw a thing and all that comes off after it; ``trunk`` is where its line begins."""
        access = self.workload.access_by_id[name]
        users = self.users[name]
        title = self.names.access(name)
        x = LEFT + depth * STEP
        width = WIDTH - LEFT - x
        minutes = f"{access.minutes} min"
        room = width - 2 * PAD
        said = wrapped(title, (room - WIDE * len(minutes) - PAD) / WIDE)
        held_by = self._held_by(name)
        told = self._chain(held_by) if held_by else ()
        also = tuple(self.names.access(one) for one in access.under if one not in told)
        notes = wrapped(_shared(len(users), name in self.off), room / NARROW)
        if also:
            notes += wrapped(f"off before it, too: {'; '.join(also)}", room / NARROW)
        height = 2 * PAD + LINE * (len(said) + len(notes)) - 2
        top = self.y
        lines = [Words(x + PAD, top + PAD + 13 + LINE * at, text) for at, text in enumerate([*said, *notes])]
        self.boxes.append(
            Box(
                x=x,
                y=top,
                width=width,
                height=height,
                title=tuple(lines[: len(said)]),
                small=tuple(lines[len(said) :]),
                minutes=Words(x + width - PAD, top + PAD + 13, minutes),
                is_shared=len(users) > 1,
                is_off=name in self.off,
            )
        )
        if trunk is not None:
            self.paths.append(f"M{trunk[0]:g} {trunk[1]:g}V{top + PAD + 8:g}H{x:g}")
        self.y = top + height + GAP
        start = (x + STEP / 2, top + height)
        jobs = tuple(self._mark(job, x + STEP, start) for job in self.ends.get(name, []))
        inner = tuple(self._draw(one, depth + 1, start) for one in self.inner.get(name, []))
        return Told(title, access.minutes, len(users), also, jobs, inner, name in self.off)

    def _mark(self, job: str, x: float, start: tuple[float, float]) -> str:
        line = self.line[job]
        text = line.title + (
            f", {line.stint.date:%a} {line.stint.date.day} {line.stint.date:%b}" if line.stint else ""
        )
        left = x + 2 * BALLOON + PAD
        said = wrapped(text, (WIDTH - LEFT - left) / NARROW)
        height = max(2 * BALLOON, LINE * len(said))
        middle = self.y + height / 2
        first = middle - LINE * (len(said) - 1) / 2 + 5
        words = tuple(Words(left, first + LINE * at, one) for at, one in enumerate(said))
        number = self.number[job]
        self.marks.append(JobMark(number, x + BALLOON, middle, words, job, line.stint is not None))
        path = f"M{start[0]:g} {start[1]:g}V{middle:g}H{x:g}"
        (self.planned if line.stint else self.paths).append(path)
        self.y += height + GAP
        return f"{number}: {text}"


def _shared(users: int, is_off: bool) -> str:
    words = f"{users} jobs share it" if users > 1 else "one job"
    return f"off now; {words}" if is_off else words


def wrapped(text: str, letters: float) -> list[str]:
    """Text in lines of at most so many letters; a word that is longer is cut.

    >>> wrapped("Lower ball joint, front left", 17)
    ['Lower ball joint,', 'front left']
    """
    most = max(8, int(letters))
    lines = [""]
    for word in text.split():
        while len(word) > most:
            lines.append(word[: most - 1] + "-")
            word = word[most - 1 :]
        if lines[-1] and len(lines[-1]) + 1 + len(word) > most:
            lines.append(word)
        else:
            lines[-1] = f"{lines[-1]} {word}".strip()
    return [line for line in lines if line]
