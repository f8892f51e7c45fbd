"""One tyre in place of another: everything that follows, before it is put in words."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from onceapart.sums.result import Band
from onceapart.sums.tyres import arch, rims
from onceapart.sums.tyres.designation import Tyre
from onceapart.sums.tyres.ratios import size_ratio


@dataclass(frozen=True)
class Wheel:
    """A tyre on its rim."""

    tyre: Tyre
    rim_in: float | None
    """Rim width, if given."""
    offset_mm: float

    @cached_property
    def width_mm(self) -> Band:
        """Width on its rim, or on the usual one, mm."""
        usual = rims.usual_rim_in(self.tyre.section_mm, self.tyre.series_percent)
        return self.tyre.width_mm(usual if self.rim_in is None else self.rim_in)


@dataclass(frozen=True)
class Room:
    """Gaps measured on the car as it is, mm; None where not measured."""

    over_mm: float | None
    bump_mm: float
    inside_mm: float | None
    outside_mm: float | None
    lock_mm: float | None
    margin_mm: float


@dataclass(frozen=True)
class Change:
    """The wheel on the car and the wheel wanted."""

    fitted: Wheel
    wanted: Wheel
    tread_mm: float | None
    measured_mm: float | None
    """Diameter of the fitted tyre, if measured."""
    wanted_measured_mm: float | None = None
    """Diameter of the new tyre, if measured; then the regulation's envelope is not needed."""

    @cached_property
    def fitted_diameter_mm(self) -> Band:
        """Diameter of the tyre on the car, as well as it is known, mm."""
        return arch.fitted_diameter_mm(self.fitted.tyre.diameter_mm, self.tread_mm, self.measured_mm)

    @cached_property
    def wanted_diameter_mm(self) -> Band:
        """Diameter of the new tyre, mm."""
        if self.wanted_measured_mm is not None:
            return Band(*[self.wanted_measured_mm] * 3)
        return self.wanted.tyre.diameter_mm

    @cached_property
    def ratio(self) -> float:
        """New over old diameter, as expected."""
        return size_ratio(self.fitted_diameter_mm.typical, self.wanted_diameter_mm.typical)

    @cached_property
    def most_ratio(self) -> float:
        """New over old diameter, the new one at the top of its tolerance."""
        return size_ratio(self.fitted_diameter_mm.typical, self.wanted_diameter_mm.high)

    @cached_property
    def gain_mm(self) -> Band:
        """Gain in radius, which is also gain in clearance under the car, mm."""
        return arch.radius_gain_mm(self.fitted_diameter_mm, self.wanted_diameter_mm)

    def gaps(self, room: Room) -> dict[str, Band]:
        """The gaps that would be left where one was measured, by place."""
        both = (self.fitted.width_mm, self.wanted.width_mm, self.fitted.offset_mm, self.wanted.offset_mm)
        found = {}
        if room.over_mm is not None:
            found["Gap over the tread"] = arch.tread_gap_mm(room.over_mm, self.gain_mm, room.bump_mm)
        if room.inside_mm is not None:
            found["Gap inside"] = arch.side_gap_mm(room.inside_mm, *both, inwards=True)
        if room.outside_mm is not None:
            found["Gap outside"] = arch.side_gap_mm(room.outside_mm, *both, inwards=False)
        if room.lock_mm is not None:
            radii = (self.fitted_diameter_mm.scaled(0.5), self.wanted_diameter_mm.scaled(0.5))
            found["Gap at full lock"] = arch.lock_gap_mm(room.lock_mm, radii[0], radii[1], *both)
        return found
