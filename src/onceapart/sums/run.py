"""Answer a sum from typed text: the one way in for the command line and the pages."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from onceapart.errors import SumError
from onceapart.sums.quantity import shorten
from onceapart.sums.registry import Sum, find_sum
from onceapart.sums.result import Band, Reading, Result


@dataclass(frozen=True)
class InputProblem:
    """One input that could not be used."""

    name: str
    label: str
    message: str
    """Value, rule and way out."""

    def __str__(self) -> str:
        return f"{self.name}: {self.message}"


class SumInputsError(SumError):
    """Inputs that cannot be used, all of them at once."""

    def __init__(self, sum_name: str, problems: tuple[InputProblem, ...]) -> None:
        self.sum_name = sum_name
        self.problems = problems
        super().__init__(sum_name, problems)

    def __str__(self) -> str:
        return "\n".join([f"{self.sum_name}: {len(self.problems)} problem(s)", *map(str, self.problems)])


def run_sum(name: str, typed: Mapping[str, str]) -> Result:
    """Answer a sum.

    Parameters
    ----------
    name : str
        Name of the sum, as ``registry.all_sums`` lists them.
    typed : mapping of str to str
        Input name -> what was typed, with its unit. Blank counts as not given.

    Returns
    -------
    Result
        The answer, with ``readings`` saying how each input was understood.

    Raises
    ------
    SumInputsError
        Inputs that cannot be read or are out of range, and names that are no input: all at once.
    SumError
        No such sum, or inputs that are each fine but do not go together.
    """
    asked = find_sum(name)
    readings = read_inputs(asked, typed)
    arguments: dict[str, Any] = {
        each.python_name: reading.value for each, reading in zip(asked.inputs, readings, strict=True)
    }
    result = asked.answer(**arguments)
    _check_answer(asked, result)
    return replace(result, readings=readings)


def run_example(each: Sum) -> Result:
    """Answer a sum's own example."""
    return run_sum(each.name, each.example)


def read_inputs(asked: Sum, typed: Mapping[str, str]) -> tuple[Reading, ...]:
    """Read every input of a sum, or raise one error with all that is wrong."""
    known = {each.name for each in asked.inputs}
    problems = [
        InputProblem(shorten(name), "", f"no such input; {asked.name} takes {', '.join(sorted(known))}")
        for name in typed
        if name not in known
    ]
    readings = []
    for each in asked.inputs:
        try:
            readings.append(each.read(typed.get(each.name)))
        except SumError as error:
            problems.append(InputProblem(each.name, each.label, str(error)))
    if problems:
        raise SumInputsError(asked.name, tuple(problems))
    return tuple(readings)


def _check_answer(asked: Sum, result: Result) -> None:
    """A sum keeps to what its registry entry promises, and never passes off nan or infinity as an answer."""
    promised = {output.name for output in asked.outputs}
    if set(result.values) != promised:
        raise AssertionError(f"{asked.name} answered {sorted(result.values)}, promised {sorted(promised)}")
    if result.verdict and result.verdict not in asked.verdicts:
        raise AssertionError(f"{asked.name} gave the verdict {result.verdict!r}, not one of {asked.verdicts}")
    for name, value in result.values.items():
        figures = (value.low, value.typical, value.high) if isinstance(value, Band) else (value,)
        if any(isinstance(figure, float) and not math.isfinite(figure) for figure in figures):
            raise SumError(
                f"{name}: these inputs have no finite answer; check them for a figure out of place"
            )
