"""What the two linkage sums share: from two settings to an answer."""

from __future__ import annotations

from dataclasses import dataclass

from onceapart.errors import SumError
from onceapart.sums.present import show_value
from onceapart.sums.raising import limits, motion, shafts, sources
from onceapart.sums.raising.limits import BEYOND, Bound, Found, Limit
from onceapart.sums.raising.linkage_drawing import draw_linkage
from onceapart.sums.raising.linkage_plot import plot_travel
from onceapart.sums.raising.shafts import Driveshaft, TrackRod
from onceapart.sums.raising.travel import Setting, State
from onceapart.sums.result import Output, Result, Table


@dataclass(frozen=True)
class Bounds:
    """The limits given, None where not."""

    joint_deg: float | None
    inner_kind: str
    inner_deg: float | None
    outer_deg: float | None
    plunge_out_mm: float | None
    plunge_in_mm: float | None
    camber_least_deg: float | None
    camber_most_deg: float | None


def shaft_of(inner: complex | None, outer: complex | None, sweep_mm: float) -> Driveshaft | None:
    """The driveshaft, if both its ends are given."""
    if inner is None and outer is None:
        return None
    if inner is None or outer is None:
        raise SumError(
            "shaft-inner, shaft-outer: only one given; give both ends of the driveshaft, or neither"
        )
    if outer.real - inner.real < 50:
        raise SumError(
            f"shaft-outer {outer.real:.0f} mm out: must be at least 50 mm outside the inner joint at "
            f"{inner.real:.0f} mm; measure from the middle of the car"
        )
    return Driveshaft(inner, outer, sweep_mm)


def rod_of(inner: complex | None, outer: complex | None, arm_mm: float, side: str) -> TrackRod | None:
    """The track rod, if both its ends are given."""
    if inner is None and outer is None:
        return None
    if inner is None or outer is None:
        raise SumError("rod-inner, rod-outer: only one given; give both ends of the track rod, or neither")
    if outer.real - inner.real < 50:
        raise SumError(
            f"rod-outer {outer.real:.0f} mm out: must be at least 50 mm outside the inner joint at "
            f"{inner.real:.0f} mm; measure from the middle of the car"
        )
    return TrackRod(inner, outer, arm_mm, side == "behind")


def check_order(lower_pivot: complex, lower_joint: complex, track_mm: float) -> None:
    """Refuse points that lie the wrong way round."""
    if lower_joint.real - lower_pivot.real < 50:
        raise SumError(
            f"lower-joint {lower_joint.real:.0f} mm out: must be at least 50 mm outside the lower pivot at "
            f"{lower_pivot.real:.0f} mm; measure both from the middle of the car"
        )
    if lower_joint.real > track_mm / 2 + 100:
        raise SumError(
            f"lower-joint {lower_joint.real:.0f} mm out: must not lie outside the wheel at "
            f"{track_mm / 2:.0f} mm; measure from the middle of the car, track from tyre to tyre"
        )


def check_upper(upper_pivot: complex, upper_joint: complex, lower_joint: complex) -> None:
    """Refuse an upper arm that lies the wrong way round."""
    if upper_joint.real - upper_pivot.real < 50:
        raise SumError(
            f"upper-joint {upper_joint.real:.0f} mm out: must be at least 50 mm outside the upper pivot at "
            f"{upper_pivot.real:.0f} mm; measure both from the middle of the car"
        )
    if upper_joint.imag - lower_joint.imag < 50:
        raise SumError(
            f"upper-joint {upper_joint.imag:.0f} mm up: must be at least 50 mm above the lower joint at "
            f"{lower_joint.imag:.0f} mm; measure both from the road"
        )


def _limits(bounds: Bounds, *, is_strut: bool) -> list[Limit]:
    joint = Bound(bounds.joint_deg, shafts.BALL_JOINT_LIMIT_DEG)
    inner = Bound(bounds.inner_deg, shafts.INNER_LIMIT_DEG[bounds.inner_kind])
    limits = [Limit("Lower ball joint", lambda state: abs(state.lower_joint_deg), joint)]
    if not is_strut:
        limits.append(Limit("Upper ball joint", lambda state: abs(state.upper_joint_deg), joint))
    return [
        *limits,
        Limit("Inner driveshaft joint", lambda state: state.inner_joint_deg, inner),
        Limit(
            "Outer driveshaft joint at full lock",
            lambda state: state.outer_joint_at_lock_deg,
            Bound(bounds.outer_deg, shafts.FIXED_LIMIT_DEG),
        ),
        Limit(
            "Inner joint drawn out",
            lambda state: None if state.plunge_mm is None else max(0.0, round(state.plunge_mm, 1)),
            Bound(bounds.plunge_out_mm, unit="mm"),
        ),
        Limit(
            "Inner joint pushed in",
            lambda state: None if state.plunge_mm is None else max(0.0, round(-state.plunge_mm, 1)),
            Bound(bounds.plunge_in_mm, unit="mm"),
        ),
    ]


def _camber_limits(bounds: Bounds, before: Setting, after: Setting) -> list[Found]:
    """Camber counts where the car stands, not through the travel."""
    now, then = before.at_ride, after.at_ride
    found = []
    if bounds.camber_most_deg is not None:
        limit = Limit("Camber", lambda state: state.camber_deg, Bound(bounds.camber_most_deg))
        found.append(Found(limit, then.camber_deg, then, now.camber_deg))
    if bounds.camber_least_deg is not None:
        # Turned round, so that the least becomes a most.
        limit = Limit("Camber inwards", lambda state: -state.camber_deg, Bound(-bounds.camber_least_deg))
        found.append(Found(limit, -then.camber_deg, then, -now.camber_deg))
    return found


def linkage_result(before: Setting, after: Setting, bounds: Bounds, *, is_strut: bool) -> Result:
    """The answer from the two settings."""
    now, then = before.at_ride, after.at_ride
    through = limits.find(_limits(bounds, is_strut=is_strut), before, after)
    in_travel = [each.describe(limits.place_of(each.at, after)) for each in through]
    camber = _camber_limits(bounds, before, after)
    words = [*in_travel, *(each.describe("after raising") for each in camber)]
    if after.shaft is None:
        words.append("Driveshaft not given, so not looked at.")
    found = [*through, *camber]
    return Result(
        values={
            "lift": -motion.road_mm(after.corner, after.ride),
            "droop_left": after.droop_mm,
            "bump_left": after.bump_mm,
            **_pair("camber", now.camber_deg, then.camber_deg),
            **_pair("track", now.track_mm, then.track_mm),
            **_pair("roll_centre", _finite(now.roll_centre_mm), _finite(then.roll_centre_mm)),
            **_pair("swing_arm", _finite(_swing(now)), _finite(_swing(then))),
            **_pair("camber_gain", *(10 * _camber_gain(each) for each in (now, then))),
            **_pair("arm", *(motion.lower_arm_deg(each.pose) for each in (now, then))),
            "toe": then.toe_in_deg,
            **_pair("shaft", now.inner_joint_deg, then.inner_joint_deg),
            **_pair("lock", now.outer_joint_at_lock_deg, then.outer_joint_at_lock_deg),
            "plunge": then.plunge_mm,
        },
        verdict=limits.verdict(each.grade for each in found),
        reasons=tuple(words),
        warnings=tuple(_warnings(before, after, found)),
        tables=(
            *_tables("Before", before, is_strut=is_strut),
            *_tables("After", after, is_strut=is_strut),
        ),
        drawing=draw_linkage(before, after),
        plot=lambda: plot_travel(
            before, after, [each.limit for each in through if each.limit.bound.unit == "°"], is_strut=is_strut
        ),
    )


def _pair(name: str, before: float | None, after: float | None) -> dict[str, float | None]:
    return {f"{name}_before": before, f"{name}_after": after}


def _finite(value: float) -> float | None:
    """Nothing to say where lines are parallel, or nearly so: a hundred metres is as good as endless."""
    return value if abs(value) < 1e5 else None


def _swing(state: State) -> float:
    return motion.swing_arm_mm(state.corner, state.pose)


def _camber_gain(state: State) -> float:
    return motion.camber_gain_deg_per_mm(state.corner, state.pose)


def _warnings(before: Setting, after: Setting, found: list[Found]) -> list[str]:
    warnings = []
    beyond = [each for each in found if each.grade == BEYOND]
    if beyond:
        names = ", ".join(each.limit.words[0].lower() + each.limit.words[1:] for each in beyond)
        warnings.append(f"Do not drive it like this: past its limit are {names}.")
    if any(each.limit.bound.grade(each.before) == BEYOND for each in beyond):
        warnings.append("One was past its limit before raising already: check coordinates, travel and limit.")
    if any(each.limit.bound.given is None for each in found):
        warnings.append(
            "Limits not given are usual figures, in part from memory: they can condemn, not clear."
        )
    then = after.at_ride
    if then.inner_joint_deg is not None and then.inner_joint_deg > shafts.CONTINUOUS_LIMIT_DEG:
        angle = show_value(then.inner_joint_deg, "°")
        warnings.append(
            f"The driveshaft runs at {angle} straight ahead: "
            "more than about 8° wears joints out early (from memory)."
        )
    least = min(15.0, 0.3 * before.droop_mm)
    if after.droop_mm < least:
        warnings.append(
            f"Only {after.droop_mm:.0f} mm of droop left: the wheel will hang on its damper "
            "and lift over bumps."
        )
    toes = [state.toe_in_deg for state in after.samples if state.toe_in_deg is not None]
    if then.toe_in_deg is not None and toes:
        swing = max(toes) - min(toes)
        warnings.append(
            f"Toe of one wheel moves by {show_value(swing, '°', 2)} through the travel; "
            "set the toe again after raising."
        )
    else:
        warnings.append("Toe changes as well: give the track rod to see it, and have it set after raising.")
    return warnings


_WHEEL = (
    Output(name="place", label="Place", unit=None),
    Output(name="travel", label="From ride", unit="mm"),
    Output(name="camber", label="Camber", unit="°"),
    Output(name="track", label="Track", unit="mm", digits=4),
    Output(name="roll_centre", label="Roll centre", unit="mm"),
    Output(name="toe", label="Toe-in, a wheel", unit="°", digits=2),
)


def _joint_columns(*, is_strut: bool) -> tuple[Output, ...]:
    return (
        Output(name="travel", label="From ride", unit="mm"),
        Output(name="lower_joint", label="Lower joint", unit="°"),
        Output(name="upper_joint", label="Top mount" if is_strut else "Upper joint", unit="°"),
        Output(name="inner", label="Inner shaft", unit="°"),
        Output(name="outer", label="Outer", unit="°"),
        Output(name="lock", label="Outer at lock", unit="°"),
        Output(name="plunge", label="Drawn out", unit="mm", digits=2),
    )


def _tables(words: str, setting: Setting, *, is_strut: bool) -> tuple[Table, Table]:
    states = setting.through(3, 3)
    places = ["full droop", "", "", "standing", "", "", "full bump"]
    ride = setting.at_ride.travel_mm
    # What rounding leaves of a nought would show as -0.0000000001.
    from_ride = [round(state.travel_mm - ride, 3) + 0.0 for state in states]
    wheel = tuple(
        (place, travel, state.camber_deg, state.track_mm, _finite(state.roll_centre_mm), state.toe_in_deg)
        for place, travel, state in zip(places, from_ride, states, strict=True)
    )
    joints = tuple(
        (
            travel,
            round(state.lower_joint_deg, 6) + 0.0,
            round(state.upper_joint_deg, 6) + 0.0,
            state.inner_joint_deg,
            state.outer_joint_deg,
            state.outer_joint_at_lock_deg,
            None if state.plunge_mm is None else round(state.plunge_mm, 6) + 0.0,
        )
        for travel, state in zip(from_ride, states, strict=True)
    )
    return (
        Table(f"{words}: wheel", _WHEEL, wheel),
        Table(f"{words}: joints", _joint_columns(is_strut=is_strut), joints),
    )


def _both(name: str, label: str, unit: str | None, digits: int = 3) -> tuple[Output, Output]:
    return (
        Output(name=f"{name}_before", label=f"{label}, before", unit=unit, digits=digits),
        Output(name=f"{name}_after", label=f"{label}, after", unit=unit, digits=digits),
    )


OUTPUTS = (
    Output(name="lift", label="The body rises by", unit="mm"),
    Output(name="droop_left", label="Droop left", unit="mm"),
    Output(name="bump_left", label="Bump then", unit="mm"),
    *_both("camber", "Camber", "°"),
    *_both("track", "Track", "mm", 5),
    *_both("roll_centre", "Roll centre above the road", "mm"),
    *_both("swing_arm", "Swing arm", "mm"),
    *_both("camber_gain", "Camber for 10 mm of bump", "°", 2),
    *_both("arm", "Lower arm from level", "°"),
    Output(name="toe", label="Toe-in of a wheel brought by raising", unit="°", digits=2),
    *_both("shaft", "Driveshaft from level", "°"),
    *_both("lock", "Outer joint at full lock", "°"),
    Output(name="plunge", label="Inner joint drawn out, standing", unit="mm", digits=2),
)
SOURCES = (
    sources.LINKAGE,
    sources.CENTRES,
    sources.STRUT_CENTRE,
    sources.SHAFT,
    sources.TRACK_ROD,
    sources.FIXED_JOINT,
    sources.TRIPOD,
    sources.BALL,
    sources.BALL_JOINT,
    sources.JUDGEMENT,
)
CAUTIONS = (sources.SPRING_KILLS, sources.LIMITS, sources.APPROVAL, sources.ALIGN, sources.FRONT_VIEW)
