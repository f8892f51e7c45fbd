"""What is wrong with the findings, facts and marks of a workshop file, by the rule packs of its cars."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass, replace

from onceapart.errors import Problem
from onceapart.inspection.derived import mass_kg
from onceapart.inspection.known import KnownCar
from onceapart.inspection.reading import readings
from onceapart.trade.rules import Pack
from onceapart.workshop import ParsedWorkshop


@dataclass(frozen=True)
class Checked:
    """Problems that are simply wrong, and those that are odd beside other findings or the calendar."""

    wrong: tuple[Problem, ...]
    odd: tuple[Problem, ...]


def check_findings(
    parsed: ParsedWorkshop, pack_of: Callable[[str], Pack | None], today: dt.date | None = None
) -> Checked:
    """Check findings, facts, marks and masses, each with its line.

    Parameters
    ----------
    parsed : ParsedWorkshop
    pack_of : callable
        The rule pack of a car by its id; None if that is not there.
    today : date, optional
        Where the workshop has no ``today``.

    Returns
    -------
    Checked
        Wrong: unknown items and words, wrong units, impossible values, places that do not fit. Odd: dates
        in the future, odometers that run backward, names of facts that look like a slip.
    """
    wrong: list[Problem] = []
    odd: list[Problem] = []
    for index, car in enumerate(parsed.workshop.cars):
        pack = pack_of(car.id)
        if pack is None:
            continue
        known = KnownCar(car, pack)
        at = f"cars[{index}]"
        wrong += [_placed(parsed, f"{at}.{one.where}", one) for one in known.problems]
        odd += [_placed(parsed, f"{at}.{one.where}", one) for one in known.slips]
        if car.mass is not None and mass_kg(car) is None:
            rule, way_out = "a mass of a car is 100 to 10000 kg, with its unit", "write it as in 980 kg"
            where = f"{at}.mass"
            wrong.append(Problem(parsed.line_of(where), where, car.mass, rule, way_out))
        for flag in readings(parsed.workshop, pack, car=car.id, today=today).flagged:
            where = f"findings[{flag.index}].{flag.key}"
            problem = Problem(parsed.line_of(where), where, flag.value, flag.rule, flag.way_out)
            (wrong if flag.doubt.is_error else odd).append(problem)
    return Checked(tuple(wrong), tuple(odd))


def _placed(parsed: ParsedWorkshop, where: str, problem: Problem) -> Problem:
    return replace(problem, where=where, line=parsed.line_of(where))
