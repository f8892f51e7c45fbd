"""Change of tyres: one size against another."""

from __future__ import annotations

import math

from onceapart.errors import SumError
from onceapart.sums.registry import Sum
from onceapart.sums.result import Band, Output, Result, Table
from onceapart.sums.tyres import checks, dimensions, load, sources
from onceapart.sums.tyres.change import Change, Room, Wheel
from onceapart.sums.tyres.change_drawing import draw_change
from onceapart.sums.tyres.change_inputs import INPUTS, Needed
from onceapart.sums.tyres.designation import Tyre
from onceapart.sums.tyres.ratios import (
    effective_final_drive,
    engine_speed_rpm,
    reading_error_percent,
    true_speed_kmh,
)
from onceapart.sums.tyres.speedometer import SpeedReading, largest_ratio, most_shown_kmh, smallest_ratio
from onceapart.sums.tyres.speedometer_sum import READING_COLUMNS, readings_of


def change_answer(
    fitted: Tyre,
    wanted: Tyre,
    where: str,
    listed: str,
    needed: Needed | None,
    axle_load_kg: float | None,
    top_speed_kmh: float | None,
    fitted_rim_in: float | None,
    wanted_rim_in: float | None,
    fitted_offset_mm: float | None,
    wanted_offset_mm: float | None,
    tread_mm: float | None,
    tape_mm: float | None,
    wanted_tape_mm: float | None,
    gap_over_mm: float | None,
    bump_mm: float,
    gap_inside_mm: float | None,
    gap_outside_mm: float | None,
    gap_lock_mm: float | None,
    margin_mm: float,
    readings: tuple[tuple[float, float], ...] | None,
    over_reading_percent: float,
    ground_clearance_mm: float | None,
    engine_speed_rpm: float | None,
    final_drive: float | None,
) -> Result:
    """Everything that another size changes, and what an inspection would say."""
    if (fitted_offset_mm is None) != (wanted_offset_mm is None):
        raise SumError(
            "fitted-offset, wanted-offset: only one given; give both, or neither if the wheels stay"
        )
    # Tyres of another rim diameter need other wheels, whose width only the user knows.
    same_wheels = fitted.rim_code == wanted.rim_code
    new_rim = fitted_rim_in if wanted_rim_in is None and same_wheels else wanted_rim_in
    change = Change(
        Wheel(fitted, fitted_rim_in, fitted_offset_mm or 0.0),
        Wheel(wanted, new_rim, wanted_offset_mm or 0.0),
        tread_mm,
        _measured_mm("tape", tape_mm, fitted),
        _measured_mm("wanted-tape", wanted_tape_mm, wanted),
    )
    room = Room(gap_over_mm, bump_mm, gap_inside_mm, gap_outside_mm, gap_lock_mm, margin_mm)
    known = readings_of(readings, over_reading_percent)
    gaps = change.gaps(room)
    found = _checks(change, where, listed, needed, axle_load_kg, top_speed_kmh, known, bool(readings))
    found += [checks.check_gap(place, gap, margin_mm) for place, gap in gaps.items()]
    missing = _gaps_missing(change, room)
    if missing:
        found.append(checks.Check("Room", checks.Grade.NOT_CHECKED, missing, checks.EU_TYRES + "(a), (f)"))
    found.sort(key=lambda check: -check.grade)
    ratio = change.ratio
    # With readings the error is their average; it only serves the one figure "at 100 shown".
    error = sum(100 * (each.shown_kmh / each.true_kmh - 1) for each in known) / len(known)
    gain = change.gain_mm
    return Result(
        values={
            "ratio": 100 * (ratio - 1),
            "diameter_change": change.wanted_diameter_mm.typical - change.fitted_diameter_mm.typical,
            "clearance_gain": gain,
            "ground_clearance": None if ground_clearance_mm is None else _plus(ground_clearance_mm, gain),
            "true_at_100": true_speed_kmh(100, ratio, error),
            "reading_change": reading_error_percent(ratio),
            "odometer": 100 * ratio,
            "engine_speed": None if engine_speed_rpm is None else _engine(engine_speed_rpm, ratio),
            "final_drive": None if final_drive is None else effective_final_drive(final_drive, ratio),
            "pull": 100 * (1 / ratio - 1),
            "room_by_speedometer": 100 * (largest_ratio(known) - 1),
            "least_gap": min((gap.low for gap in gaps.values()), default=None),
        },
        verdict=checks.worst(found).words,
        reasons=tuple(str(check) for check in found),
        warnings=tuple(_warnings(change, where, known, room, has_offsets=wanted_offset_mm is not None)),
        tables=(_size_table(change), _speed_table(known, ratio), *_gap_table(gaps)),
        drawing=draw_change(change, room, ground_clearance_mm),
    )


_engine = engine_speed_rpm


def _plus(base: float, gain: Band) -> Band:
    return Band(base + gain.low, base + gain.typical, base + gain.high)


def _measured_mm(name: str, tape_mm: float | None, tyre: Tyre) -> float | None:
    """Diameter by the tape; one that belongs to another size, or was read wrong, is refused."""
    if tape_mm is None:
        return None
    least = tyre.diameter_mm.low - 2 * dimensions.NEW_TREAD_MM - 5
    most = tyre.diameter_mm.high + 5
    measured = tape_mm / math.pi
    if not least <= measured <= most:
        raise SumError(
            f"{name} {tape_mm:.0f} mm: must be {math.pi * least:.0f} to {math.pi * most:.0f} mm for a "
            f"{tyre.size}; measure around the middle of the tread, off the ground"
        )
    return measured


def _checks(
    change: Change,
    where: str,
    listed: str,
    given: Needed | None,
    axle_load_kg: float | None,
    top_speed_kmh: float | None,
    known: tuple[SpeedReading, ...],
    is_measured: bool,
) -> list[checks.Check]:
    fitted, wanted = change.fitted.tyre, change.wanted.tyre
    is_given = given is not None
    needed = given or Needed(fitted.load_index, fitted.speed_symbol)
    return [
        checks.check_size(fitted, wanted, listed),
        checks.check_load(wanted, needed.load_index, axle_load_kg, top_speed_kmh, is_given=is_given),
        checks.check_speed(wanted, needed.speed_symbol, top_speed_kmh, is_given=is_given),
        checks.check_mixing(fitted, wanted, where),
        checks.check_rim(wanted, change.wanted.rim_in),
        checks.check_speedometer(
            min(each.error_with(change.ratio) for each in known),
            is_allowed=all(each.is_allowed_with(change.ratio) for each in known),
            is_measured=is_measured,
        ),
    ]


def _gaps_missing(change: Change, room: Room) -> str:
    """Which gaps would have to be measured, in words; a tyre of the same size asks for none."""
    if (
        change.fitted.tyre.size == change.wanted.tyre.size
        and change.fitted.offset_mm == change.wanted.offset_mm
    ):
        return ""
    places = {
        "over the tread": room.over_mm,
        "inside": room.inside_mm,
        "outside": room.outside_mm,
        "at full lock": room.lock_mm,
    }
    missing = [place for place, gap in places.items() if gap is None]
    return f"gap {', '.join(missing)} not given." if missing else ""


def _warnings(
    change: Change, where: str, known: tuple[SpeedReading, ...], room: Room, *, has_offsets: bool
) -> list[str]:
    warnings = []
    if change.fitted.tyre.rim_code != change.wanted.tyre.rim_code and not has_offsets:
        warnings.append(
            "Another rim diameter means other wheels: give both offsets, "
            "and look whether they clear the brakes."
        )
    if change.ratio > 1 and change.most_ratio > largest_ratio(known) >= change.ratio:
        warnings.append(
            "A new tyre at the top of its tolerance makes the speedometer show too little: read it again."
        )
    if smallest_ratio(known) > largest_ratio(known):
        warnings.append("No tyre sets this speedometer right: have it repaired or adjusted.")
    if where != "all" and abs(change.ratio - 1) > 0.005:
        warnings.append(
            "Front and rear would turn at different speeds: never on a car with all wheels driven, "
            "and ask about anti-lock brakes."
        )
    if abs(change.ratio - 1) > 0.03:
        warnings.append("More than 3% from the old diameter, which the trade advises against (not a law).")
    if change.wanted.tyre.prefix == "P" and change.fitted.tyre.prefix != "P":
        warnings.append("On a light truck or utility a P size carries a tenth less (from memory).")
    if room.over_mm is not None and room.bump_mm == 0:
        warnings.append("No bump travel: the wheel comes up in every hole, so measure it.")
    if any(gap is not None for gap in (room.over_mm, room.inside_mm, room.outside_mm, room.lock_mm)):
        warnings.append(
            "Rim protectors (8 mm), snow chains and body lean are not in the gaps: turn lock to lock and "
            "press each corner to its stop with the first tyre fitted."
        )
    return warnings


def _size_table(change: Change) -> Table:
    rows = []
    for words, wheel, diameter in (
        ("now", change.fitted, change.fitted_diameter_mm),
        ("new", change.wanted, change.wanted_diameter_mm),
    ):
        tyre = wheel.tyre
        carries = None if tyre.load_index is None else load.load_kg(tyre.load_index)
        speed = None if tyre.speed_symbol is None else load.speed_kmh(tyre.speed_symbol)
        rolling = dimensions.rolling_circumference_mm(diameter.typical)
        rows.append(
            (
                f"{words} {tyre.size}",
                diameter.typical,
                tyre.height_mm,
                wheel.width_mm.typical,
                rolling,
                carries,
                speed,
            )
        )
    columns = (
        Output(name="tyre", label="Tyre", unit=None),
        Output(name="diameter", label="Across", unit="mm", digits=4),
        Output(name="sidewall", label="Section height", unit="mm"),
        Output(name="width", label="Width", unit="mm"),
        Output(name="rolling", label="Rolls", unit="mm", digits=4),
        Output(name="carries", label="Carries", unit="kg", digits=4),
        Output(name="speed", label="Made for", unit="km/h"),
    )
    return Table("Sizes", columns, tuple(rows))


def _speed_table(known: tuple[SpeedReading, ...], ratio: float) -> Table:
    columns = (
        *READING_COLUMNS,
        Output(name="true_new", label="True on the new", unit="km/h", digits=4),
        Output(name="most", label="May show", unit="km/h", digits=4),
        Output(name="allowed", label="Allowed", unit=None),
    )
    rows = tuple(
        (
            each.true_kmh,
            each.shown_kmh,
            each.true_with(ratio),
            most_shown_kmh(each.true_with(ratio)),
            each.is_allowed_with(ratio),
        )
        for each in known
    )
    return Table("Speedometer", columns, rows)


def _gap_table(gaps: dict[str, Band]) -> list[Table]:
    if not gaps:
        return []
    columns = (
        Output(name="place", label="Place", unit=None),
        Output(name="worst", label="At worst", unit="mm"),
        Output(name="expected", label="As expected", unit="mm"),
    )
    return [Table("Gaps left", columns, tuple((place, gap.low, gap.typical) for place, gap in gaps.items()))]


CHANGE = Sum(
    name="tyre-change",
    title="Change of tyre size",
    question="What happens if this size goes on instead of that one?",
    inputs=INPUTS,
    outputs=(
        Output(name="ratio", label="Larger by (below nought: smaller)", unit="%"),
        Output(name="diameter_change", label="Change in diameter", unit="mm"),
        Output(name="clearance_gain", label="Gain in clearance under the car", unit="mm"),
        Output(name="ground_clearance", label="Clearance under the car then", unit="mm"),
        Output(name="true_at_100", label="True speed at 100 km/h shown", unit="km/h", digits=4),
        Output(
            name="reading_change",
            label="Speedometer reads higher by (below nought: lower)",
            unit="%",
            digits=2,
        ),
        Output(name="odometer", label="True distance for 100 km shown", unit="km", digits=4),
        Output(name="engine_speed", label="Engine speed at the same speed", unit="rpm"),
        Output(name="final_drive", label="As if the final drive were", unit=""),
        Output(name="pull", label="Change in pull at the wheels", unit="%", digits=2),
        Output(name="room_by_speedometer", label="Larger at most, by the speedometer", unit="%", digits=2),
        Output(name="least_gap", label="Least gap, at worst", unit="mm"),
    ),
    sources=(
        sources.DIAMETER,
        sources.ENVELOPE,
        sources.SECTION,
        sources.THEORETICAL_RIM,
        sources.LOAD,
        sources.SPEED,
        sources.SPEED_REST,
        sources.LOAD_AT_SPEED,
        sources.LOAD_AT_SPEED_Y,
        sources.RIM_CHART,
        sources.RIM_LIST,
        sources.R39,
        sources.ERROR,
        sources.ROLLING,
        sources.TREAD,
        sources.GEOMETRY,
        sources.EU,
        sources.US,
        sources.GERMAN,
        sources.MARGIN,
        sources.LIGHT_TRUCK,
    ),
    example={
        "fitted": "185/60 R14 82H",
        "wanted": "195/60 R14 86H",
        "listed": "yes",
        "fitted-rim": "5 1/2 in",
        "tread": "3 mm",
        "gap-over": "95 mm",
        "bump": "70 mm",
        "gap-inside": "22 mm",
        "gap-outside": "25 mm",
        "gap-lock": "30 mm",
        "readings": "50 km/h: 53 km/h; 90 km/h: 95 km/h; 110 km/h: 116 km/h",
        "ground-clearance": "130 mm",
        "engine-speed": "3000 rpm",
        "final-drive": "4.1",
    },
    cautions=(sources.APPROVAL, sources.FITTING, sources.SIDEWALL),
    verdicts=checks.VERDICTS,
    answer=change_answer,
)
