"""What an inspection would say to a change of tyres, by clauses seen in copies.

The clauses are those of Directive 2014/45/EU Annex I, 49 CFR part 570 and the German StVZO. What they leave
open is our judgement, and said to be.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum

from onceapart.sums.result import Band
from onceapart.sums.tyres import load, rims
from onceapart.sums.tyres.designation import Tyre


class Grade(IntEnum):
    """How bad, in the words of an inspection."""

    PASSES = 0
    MINOR = 1
    NOT_CHECKED = 2
    MAJOR = 3
    DANGEROUS = 4

    @property
    def words(self) -> str:
        """The verdict word."""
        return self.name.lower().replace("_", " ")


VERDICTS = tuple(grade.words for grade in Grade)
EU_TYRES = "2014/45/EU Annex I 5.2.3"
EU_WHEELS = "2014/45/EU Annex I 5.2.2"
US_TYRES = "49 CFR 570.9(b)"
GERMAN_MIX = "StVZO § 36(6)"
R39 = "UN R39 5.3"
OURS = "our judgement"


@dataclass(frozen=True)
class Check:
    """One aspect that was looked at."""

    aspect: str
    grade: Grade
    words: str
    clause: str = ""

    def __str__(self) -> str:
        clause = f" [{self.clause}]" if self.clause else ""
        return f"{self.aspect} ({self.grade.words}): {self.words}{clause}"


def check_size(fitted: Tyre, wanted: Tyre, listed: str) -> Check:
    """Is the size one the car may have?"""
    clause = f"{EU_TYRES}(a)"
    if listed == "yes":
        return Check("Size", Grade.PASSES, f"{wanted.size} is in the car's papers.", clause)
    if listed == "no":
        return Check(
            "Size", Grade.MAJOR, f"{wanted.size} is not in the car's papers: have it approved first.", clause
        )
    if fitted.size == wanted.size:
        return Check("Size", Grade.PASSES, "as fitted, if what is fitted is right.", clause)
    words = f"look in the papers or on the door pillar whether {wanted.size} is allowed."
    return Check("Size", Grade.NOT_CHECKED, words, clause)


def check_load(
    wanted: Tyre,
    needed_index: int | None,
    axle_load_kg: float | None,
    top_speed_kmh: float | None,
    *,
    is_given: bool,
) -> Check:
    """Does it carry the car? ``is_given``: the index needed is from the papers, not from the tyre on it."""
    clause = f"{EU_TYRES}(a)"
    if wanted.load_index is None:
        return Check("Load", Grade.NOT_CHECKED, "load index of the new tyre not given.", clause)
    carried = load.load_kg(wanted.load_index)
    at_speed = ""
    if top_speed_kmh is not None and wanted.speed_symbol is not None:
        # Above the symbol's speed the speed check speaks.
        speed = min(top_speed_kmh, load.speed_kmh(wanted.speed_symbol))
        carried_there = load.load_at_speed_kg(wanted.load_index, wanted.speed_symbol, speed)
        if carried_there < carried:
            at_speed = f" at {speed:.0f} km/h"
        carried = carried_there
    if axle_load_kg is not None and 2 * carried < axle_load_kg:
        words = f"two carry {2 * carried:.0f} kg{at_speed}, the axle may weigh {axle_load_kg:.0f} kg."
        return Check("Load", Grade.DANGEROUS, words, clause)
    if needed_index is None:
        if axle_load_kg is not None:
            words = (
                f"two carry {2 * carried:.0f} kg{at_speed} for {axle_load_kg:.0f} kg; index needed unknown."
            )
            return Check("Load", Grade.NOT_CHECKED, words, clause)
        return Check("Load", Grade.NOT_CHECKED, "load index that the car needs not given.", clause)
    own = f"{wanted.load_index} ({load.load_kg(wanted.load_index):.0f} kg)"
    if wanted.load_index < needed_index:
        words = f"{own} is below the {needed_index} {_whose(is_given)}."
        return Check("Load", Grade.MAJOR, words, clause)
    return Check("Load", Grade.PASSES, f"{own} is at least the {needed_index} {_whose(is_given)}.", clause)


def _whose(is_given: bool) -> str:
    return "needed" if is_given else "of the tyre on the car, if that is right"


def check_speed(
    wanted: Tyre, needed_symbol: str | None, top_speed_kmh: float | None, *, is_given: bool
) -> Check:
    """Is it made for the speed?"""
    clause = f"{EU_TYRES}(a)"
    if wanted.speed_symbol is None:
        return Check("Speed", Grade.NOT_CHECKED, "speed symbol of the new tyre not given.", clause)
    speed = load.speed_kmh(wanted.speed_symbol)
    if top_speed_kmh is not None and speed < top_speed_kmh:
        words = f"made for {speed:.0f} km/h, the car does {top_speed_kmh:.0f} km/h."
        return Check("Speed", Grade.DANGEROUS, words, clause)
    if needed_symbol is None:
        return Check("Speed", Grade.NOT_CHECKED, "speed symbol that the car needs not given.", clause)
    if speed < load.speed_kmh(needed_symbol):
        words = f"{wanted.speed_symbol} ({speed:.0f} km/h) is below the {needed_symbol} {_whose(is_given)}."
        return Check("Speed", Grade.MAJOR, words, clause)
    words = f"{wanted.speed_symbol} ({speed:.0f} km/h) is at least the {needed_symbol} {_whose(is_given)}."
    return Check("Speed", Grade.PASSES, words, clause)


def check_mixing(fitted: Tyre, wanted: Tyre, where: str) -> Check:
    """Do the tyres of an axle, and of the car, go together?"""
    if where == "one" and fitted.size != wanted.size:
        words = "sizes would differ on one axle."
        return Check("Same on the axle", Grade.MAJOR, words, f"{EU_TYRES}(b), {US_TYRES}")
    if where != "all" and fitted.construction != wanted.construction:
        words = f"{fitted.construction} and {wanted.construction} tyres would be mixed on the car."
        return Check("Same on the axle", Grade.MAJOR, words, f"{EU_TYRES}(c), {GERMAN_MIX}")
    words = "size and construction the same on each axle."
    return Check("Same on the axle", Grade.PASSES, words, f"{EU_TYRES}(b), {US_TYRES}")


def check_rim(wanted: Tyre, rim_in: float | None) -> Check:
    """Does the tyre suit the rim?"""
    clause = f"{EU_WHEELS}(d)"
    suits = rims.best_rim_range(wanted)
    if rim_in is None:
        return Check("Rim", Grade.NOT_CHECKED, f"width not given; suits rims {suits}.", clause)
    allowed = suits.allows(rim_in)
    if allowed is None:
        words = f"{rim_in:g} in is not covered by the {suits.source}: ask a tyre fitter."
        return Check("Rim", Grade.NOT_CHECKED, words, clause)
    words = f"{rim_in:g} in for a range of {suits}, {suits.source}."
    return Check("Rim", Grade.PASSES if allowed else Grade.MAJOR, words, clause)


def check_gap(place: str, gap: Band, margin_mm: float) -> Check:
    """Does it clear?"""
    clause = f"{EU_TYRES}(a), (f)"
    if gap.typical <= 0:
        words = f"touches, {-gap.typical:.1f} mm too large."
        return Check(place, Grade.DANGEROUS, words, clause)
    if gap.low <= 0:
        words = f"{gap.typical:.1f} mm expected, but the largest of its size touches: fit one and look."
        return Check(place, Grade.NOT_CHECKED, words, clause)
    if gap.low < margin_mm:
        words = f"{gap.low:.1f} mm at worst, less than the {margin_mm:g} mm asked for: fit one and look."
        return Check(place, Grade.NOT_CHECKED, words, OURS)
    return Check(place, Grade.PASSES, f"{gap.low:.1f} mm at worst.", clause)


def check_speedometer(lowest_error_kmh: float, *, is_allowed: bool, is_measured: bool) -> Check:
    """Does the speedometer stay within its limits?"""
    given = "" if is_measured else " if it is as assumed"
    if not is_allowed:
        way = "shows less than the true speed" if lowest_error_kmh < 0 else "shows too much"
        words = f"{way}{given}: have it adjusted. An approval rule; inspections rarely measure it."
        return Check("Speedometer", Grade.MAJOR, words, f"{R39}, grade: {OURS}")
    if not is_measured:
        words = "within its limits if it is as assumed: take readings."
        return Check("Speedometer", Grade.NOT_CHECKED, words, R39)
    return Check("Speedometer", Grade.PASSES, "within its limits at every reading.", R39)


def worst(checks: list[Check]) -> Grade:
    """The worst grade found."""
    return max(check.grade for check in checks)
