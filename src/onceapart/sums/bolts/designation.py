"""Read a bolt as people write it: ``M10``, ``M10x1.25 10.9``, ``M8x40 8.8``, ``3/8-16 x 1 1/2 grade 8``."""

from __future__ import annotations

import re
from dataclasses import dataclass

from onceapart.errors import SumError
from onceapart.sums.bolts.strength import Strength, read_class, strength_of
from onceapart.sums.bolts.threads import Thread, known_threads
from onceapart.sums.quantity import parse_quantity, shorten

EXAMPLES = "M10x1.25 10.9, M8x40 8.8 or 3/8-16 UNC x 1 1/2 grade 8"

WIDEST_PITCH_MM = 4.0
"""In ``M8x40`` the number cannot be a pitch, as the coarsest of M5 to M20 is 2.5 mm."""

_CLASS = re.compile(
    r"(?:(?<!x)\s|[,/-]\s?)"
    r"(?P<mark>(?:sae )?(?:grade|gr|class|cl)\.? ?[\d.,]{1,4}|\d{1,2}[.,]\d|a[24] ?-? ?\d{2}|unmarked)"
    r"(?=$|[\s,x])",
    re.IGNORECASE | re.ASCII,
)
_METRIC = re.compile(
    r"m\s?(?P<size>\d{1,2})(?:\s?x\s?(?P<first>\d{1,3}(?:[.,]\d{1,3})?))?"
    r"(?:\s?(?:x\s?)?(?P<second>\d{1,3}(?:[.,]\d{1,2})?)\s?(?:mm)?)?(?:\s?mm)?",
    re.IGNORECASE | re.ASCII,
)
_UNIFIED = re.compile(
    r"(?P<size>\d{1,2}/\d{1,2}|1)\s?(?:in\b|\")?\s?(?:-\s?(?P<pitch>\d{1,2}))?\s?(?P<series>un[cf])?"
    r"(?:\s?x\s?(?P<length>.{1,20}))?",
    re.IGNORECASE | re.ASCII,
)


@dataclass(frozen=True)
class Bolt:
    """A bolt as written; class and length may be missing."""

    thread: Thread
    strength: Strength | None = None
    length_mm: float | None = None

    def __str__(self) -> str:
        length = ""
        if self.length_mm is not None:
            inch = self.thread.system == "unified"
            length = f" x {self.length_mm / 25.4:.4g} in" if inch else f" x {self.length_mm:g} mm"
        return f"{self.thread}{length}{f' {self.strength.name}' if self.strength else ''}"


def parse_bolt(text: str) -> Bolt:
    """Read a bolt, with or without class and length.

    Parameters
    ----------
    text : str
        The designation. A metric number after ``x`` up to 4 is a pitch, a larger one the length in mm; an
        inch length is in inches unless it says mm.

    Raises
    ------
    SumError
        Anything that is not a thread of the table, with what is.

    Examples
    --------
    >>> str(parse_bolt("m10×1,25 10.9")), str(parse_bolt("M8x40-8.8"))
    ('M10x1.25 10.9', 'M8x1.25 x 40 mm 8.8')
    >>> str(parse_bolt("3/8-16 UNC x 1 1/2 grade 8"))
    '3/8-16 UNC x 1.5 in grade 8'
    """
    plain = re.sub(r"\s+", " ", text.replace("×", "x").replace("*", "x").replace("⁄", "/")).strip()
    if len(plain) > 60:
        raise _refusal(text)
    found = _CLASS.search(plain)
    rest = plain if found is None else f"{plain[: found.start()]} {plain[found.end() :].strip(' ,')}".strip()
    if metric := _METRIC.fullmatch(rest):
        thread, length_mm = _metric(metric, text)
    elif unified := _UNIFIED.fullmatch(rest):
        thread, length_mm = _unified(unified, text)
    else:
        raise _refusal(text)
    if length_mm is not None and not 5 <= length_mm <= 300:
        raise SumError(f"{shorten(text)}: length {length_mm:g} mm: must be 5 to 300 mm; check the unit")
    if found is None:
        return Bolt(thread, None, length_mm)
    return Bolt(thread, strength_of(thread, read_class(found["mark"], thread.system)), length_mm)


def parse_bolt_with_class(text: str) -> Bolt:
    """Read a bolt that must name its class."""
    bolt = parse_bolt(text)
    if bolt.strength is None:
        classes = "8.8 or 10.9" if bolt.thread.system == "metric" else "grade 5 or grade 8"
        raise SumError(
            f"{shorten(text)}: class missing; add the mark on the head, such as {classes}, or 'unmarked'"
        )
    return bolt


def parse_bolt_with_length(text: str) -> Bolt:
    """Read a bolt that must give its length."""
    bolt = parse_bolt(text)
    if bolt.length_mm is None:
        example = f"{bolt.thread} x {_LENGTH[bolt.thread.system]}"
        raise SumError(f"{shorten(text)}: length missing; add it, measured under the head: {example}")
    return bolt


def parse_whole_bolt(text: str) -> Bolt:
    """Read a bolt that must give class and length."""
    parse_bolt_with_class(text)
    return parse_bolt_with_length(text)


_LENGTH = {"metric": "50", "unified": "2 in"}


def _metric(found: re.Match[str], text: str) -> tuple[Thread, float | None]:
    threads = [each for each in known_threads() if each.system == "metric" and each.size == found["size"]]
    if not threads:
        raise SumError(f"{shorten(text)}: M{found['size']} is not in the table; it has {_sizes('metric')}")
    first, second = (_decimal(found[key]) for key in ("first", "second"))
    if first is not None and first > WIDEST_PITCH_MM:
        if second is not None:
            raise SumError(f"{shorten(text)}: two lengths; write pitch before length, such as M10x1.25x50")
        return threads[0], first
    if first is None:
        return threads[0], second
    for each in threads:
        if each.pitch_mm == first:
            return each, second
    raise SumError(f"{shorten(text)}: no such pitch; there is {', '.join(map(str, threads))}")


def _unified(found: re.Match[str], text: str) -> tuple[Thread, float | None]:
    threads = [each for each in known_threads() if each.system == "unified" and each.size == found["size"]]
    if not threads:
        raise SumError(f"{shorten(text)}: {found['size']} in is not in the table; it has {_sizes('unified')}")
    choice = " or ".join(map(str, threads))
    if found["pitch"] is None and found["series"] is None:
        raise SumError(f"{shorten(text)}: threads per inch missing; write {choice}")
    series = (found["series"] or "").upper()
    fitting = [
        each
        for each in threads
        if found["pitch"] in {None, each.pitch} and (not series or series == each.series)
    ]
    if not fitting:
        raise SumError(f"{shorten(text)}: no such thread; there is {choice}")
    length = found["length"]
    return fitting[0], None if length is None else parse_quantity(length, "in").value * 25.4


def _decimal(text: str | None) -> float | None:
    return None if text is None else float(text.replace(",", "."))


def _sizes(system: str) -> str:
    prefix = "M" if system == "metric" else ""
    sizes = dict.fromkeys(each.size for each in known_threads() if each.system == system)
    return ", ".join(f"{prefix}{size}" for size in sizes)


def _refusal(text: str) -> SumError:
    return SumError(f"{shorten(text)}: not a bolt we can read; write it like {EXAMPLES}")
