"""A form and an answer out of a sum's entry in the registry, and out of nothing else."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from onceapart.errors import SumError
from onceapart.site.pages.forms import Field
from onceapart.sums.inputs import ChoiceInput, Input, RowsInput, YesNoInput
from onceapart.sums.present import System, as_plain, shown_lines, shown_rows
from onceapart.sums.registry import Sum
from onceapart.sums.run import SumInputsError, run_sum

SHOWN_AT_ONCE = 6
"""Choices, with an empty one, up to which all are shown; of more one is picked from a list."""
MAX_TYPED = 20_000
"""Letters of one input at most."""


@dataclass(frozen=True)
class SumField(Field):
    """A field of a sum's form; a sum says in one sentence what is wrong with an input."""

    error: str = ""
    placeholder: str = ""

    @property
    def describedby(self) -> str:
        ids = [f"{self.id}-hint"] if self.hint else []
        return " ".join([*ids, f"{self.id}-error"] if self.error else ids)


@dataclass(frozen=True)
class Answer:
    """An answer as a page shows it."""

    verdict: str
    lines: list[Any]
    reasons: tuple[str, ...]
    warnings: tuple[str, ...]
    tables: list[Any]
    taken: list[str]
    """What was taken for granted."""
    has_drawing: bool
    has_plot: bool
    plain: dict[str, Any]


@dataclass(frozen=True)
class SumForm:
    """A sum's fields with what was typed, and the answer if there is one."""

    asked: Sum
    fields: list[SumField]
    answer: Answer | None = None
    error: str = ""
    """What is wrong and belongs to no field."""

    @property
    def has_problems(self) -> bool:
        return bool(self.error) or any(one.error for one in self.fields)


def typed_of(asked: Sum, given: Mapping[str, Any]) -> dict[str, str]:
    """What was typed for each input, by its name in the form."""
    names = {each.name: SumField(each.name, "").name for each in asked.inputs}
    return {name: str(given.get(key, ""))[:MAX_TYPED] for name, key in names.items()}


def sum_form(asked: Sum, typed: Mapping[str, str], system: System, *, is_sent: bool) -> SumForm:
    """The form of a sum, answered if it was sent.

    Parameters
    ----------
    asked : Sum
    typed : mapping
        Input name -> typed text.
    system : {"metric", "imperial"}
        Units to show the answer in.
    is_sent : bool
        False for a form that is only opened: nothing is worked out and nothing is wrong yet.
    """
    if not is_sent:
        return SumForm(asked, [_field(each, typed, "") for each in asked.inputs])
    try:
        result = run_sum(asked.name, typed)
    except SumInputsError as error:
        wrong = {problem.name: problem.message for problem in error.problems}
        fields = [_field(each, typed, wrong.get(each.name, "")) for each in asked.inputs]
        return SumForm(asked, fields)
    except SumError as error:
        return SumForm(asked, [_field(each, typed, "") for each in asked.inputs], error=str(error))
    answer = Answer(
        verdict=result.verdict,
        lines=list(shown_lines(asked.outputs, result, system)),
        reasons=result.reasons,
        warnings=result.warnings,
        tables=shown_rows(result, system),
        taken=[f"{one.label}: {one.words} ({one.note})" for one in result.readings if one.note],
        has_drawing=bool(result.drawing),
        has_plot=result.plot is not None,
        plain=as_plain(asked.outputs, result),
    )
    return SumForm(asked, [_field(each, typed, "") for each in asked.inputs], answer)


def _field(each: Input, typed: Mapping[str, str], error: str) -> SumField:
    hint = " ".join(filter(None, [each.help and f"{each.help.rstrip('.')}.", _range(each)]))
    choices: list[tuple[str, str]] = []
    if isinstance(each, ChoiceInput):
        # What a word means is only said where it is more than the word.
        choices = [(word, f"{word}: {means}" if means else word) for word, means in each.choices.items()]
    elif isinstance(each, YesNoInput):
        choices = [("yes", "yes"), ("no", "no")]
    if choices and each.default is None:
        choices.insert(0, ("", "not known" if each.optional else "choose one"))
        if not each.optional and len(choices) <= SHOWN_AT_ONCE:
            del choices[0]
    return SumField(
        key=each.name,
        label=each.label,
        kind="choice" if choices else "long" if isinstance(each, RowsInput) else "text",
        hint=hint,
        choices=choices,
        wanted=each.default is None and not each.optional,
        typed=typed.get(each.name, "") or (each.default or "" if choices else ""),
        error=error,
        placeholder="" if choices else each.example,
    )


def _range(each: Input) -> str:
    if isinstance(each, ChoiceInput | YesNoInput):
        return ""
    said = f"{each.accepts[:1].upper()}{each.accepts[1:]}."
    if each.default is not None:
        return f"{said} Left empty: {each.default}."
    return f"{said} May be left empty." if each.optional else said
