"""Steps of a card as the page shows them: one at a time, large; and all of them as a list by place."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Any

from onceapart.bench.card_model import CardPart, Phase, Step, StepKind
from onceapart.bench.card_work import RAISE, place_words, spoken, titled
from onceapart.bench.entries import new_id
from onceapart.bench.state_steps import KnownStep
from onceapart.paper.job_card_steps import StepWriter
from onceapart.site.pages.bench.cards import Progress
from onceapart.sums.units import UNITS

PHASES = {Phase.CHECKS: "Release checks", Phase.ROAD: "On the road, after the release"}
FOUND = {"": "NOT IN HAND", "have": "", "hire": "hired", "buy": "bought with this plan"}


@dataclass(frozen=True)
class Blank:
    """Something to fill in at a step: a value measured, or a torque set."""

    name: str
    """In the form that is sent."""
    what: str
    unit: str
    """Taken where none is typed."""
    label: str
    """The unit as one reads it."""
    hint: str
    values: tuple[str, ...]
    """What is in the record already, the last one last."""
    fastener: str = ""
    """For a torque: on what."""
    typed: str = ""
    error: str = ""


@dataclass(frozen=True)
class ShownStep:
    """One step, ready to be shown."""

    number: int
    step: Step
    once: str
    """Id for what its form sends, so that it counts once however often it is sent."""
    car: str
    place: str
    title: str
    words: str
    cautions: tuple[tuple[str, str], ...]
    fasteners: tuple[str, ...]
    blanks: tuple[Blank, ...]
    is_done: bool
    first: tuple[tuple[int, str], ...]
    """Steps that come before it and are not done: number and title."""
    answer: str = ""
    """The last answer to a check."""

    @property
    def is_check(self) -> bool:
        return self.step.kind is StepKind.CHECK

    @property
    def check(self) -> str:
        return self.step.id.partition(":")[2]

    @property
    def is_on_the_road(self) -> bool:
        return self.step.phase is Phase.ROAD


@dataclass(frozen=True)
class Group:
    """Steps in a row at one place."""

    heading: str
    place: str
    steps: tuple[ShownStep, ...]

    @property
    def done(self) -> int:
        return sum(1 for one in self.steps if one.is_done)


def shown_steps(progress: Progress, units: str, typed: dict[str, str], errors: dict[str, str], of: str) -> \
        tuple[ShownStep, ...]:  # fmt: skip
    """All steps of a card.

    Parameters
    ----------
    progress : Progress
    units : {"metric", "imperial"}
        Unit that is taken where none is typed.
    typed, errors : dict
        What was typed into the blanks of one step and what is wrong with it, by the blank's name.
    of : str
        Id of that step.
    """
    card = progress.card
    writer = StepWriter(set())
    numbers = {step.id: number for number, step in enumerate(card.steps, start=1)}
    titles = {step.id: step.title or step.words for step in card.steps}
    names = card.car_names or {}
    found = []
    for number, step in enumerate(card.steps, start=1):
        told = writer.written(step, number, None)
        mine = step.id == of
        open_needs = [
            (numbers[one], titles[one]) for one in step.needs if one in numbers and one not in progress.done
        ]
        answer = progress.answer(step) if step.kind is StepKind.CHECK else None
        found.append(
            ShownStep(
                number=number,
                step=step,
                once=new_id(),
                car=names.get(step.car, step.car),
                place=titled(place_words(step.place)) or "The car",
                title=step.title if step.kind is not StepKind.MEASURE else "Measure",
                words=told["words"],
                cautions=tuple((one["title"], one["words"]) for one in told["cautions"]),
                fasteners=tuple(told["fasteners"]),
                blanks=tuple(_blanks(progress, step, told, units, typed if mine else {},
                                     errors if mine else {})),
                is_done=step.id in progress.done,
                first=tuple(open_needs),
                answer="" if answer is None else _answer_words(answer),
            )
        )  # fmt: skip
    return tuple(found)


def _blanks(
    progress: Progress,
    step: Step,
    told: dict[str, Any],
    units: str,
    typed: dict[str, str],
    errors: dict[str, str],
) -> Iterator[Blank]:
    values = tuple(one.value for one in progress.state.measured.get(step.id, ()))
    for blank, words in zip(step.measurements, told["measures"], strict=True):
        unit = _unit(blank.unit, units)
        yield Blank("value", titled(words["what"]), unit, _label(unit), words["limit"], values,
                    typed=typed.get("value", ""), error=errors.get("value", ""))  # fmt: skip
    tightened = [one for one in step.fasteners if one.is_tightened]
    for at, (one, words) in enumerate(zip(tightened, told["torques"], strict=True)):
        name, unit = f"torque-{at}", _unit("N·m", units)
        hint = ". ".join(filter(None, [titled(words["with"]), titled(words["band"])]))
        set_before = tuple(
            each.torque
            for each in progress.state.torques.get(one.id, ())
            if each.stint in (progress.stint, None) and each.number > progress.since
        )
        yield Blank(name, titled(words["what"]), unit, f"{_label(unit)} (manual)", hint, set_before, one.id,
                    typed.get(name, ""), errors.get(name, ""))  # fmt: skip


def _unit(unit: str, units: str) -> str:
    known = UNITS.get(unit)
    return known.imperial if known is not None and units == "imperial" and known.imperial else unit


def _label(unit: str) -> str:
    known = UNITS.get(unit)
    return known.label if known else unit


def _answer_words(answer: Any) -> str:
    said = [answer.value or "", answer.words or "", f"by {answer.who}" if answer.who else ""]
    return ", ".join([answer.answer, *filter(None, said)])


def groups_of(steps: Sequence[ShownStep]) -> tuple[Group, ...]:
    """Steps in a row by car, phase and place."""
    found = []
    cars = {one.step.car for one in steps}
    for (_, phase, place), inside in groupby(steps, key=lambda s: (s.step.car, s.step.phase, s.place)):
        here = tuple(inside)
        words = [here[0].car] if len(cars) > 1 else []
        found.append(Group(", ".join([*words, *filter(None, [PHASES.get(phase, "")])]), place, here))
    return tuple(found)


KIND_WORDS = {
    "loosen": "crack it loose",
    "off": "take it off",
    "on": "put it on again",
    "tighten": "tighten it",
}


def words_of_step(step: KnownStep) -> str:
    """A step in words, when no card is at hand.

    >>> words_of_step(KnownStep("off:wren/rear-left/drum", "wren", "off"))
    'Drum, rear left: take it off'
    """
    kind, _, what = step.id.partition(":")
    if kind not in KIND_WORDS or step.job is not None:
        return titled(step.words)
    return f"{titled(thing_words(what, step.car))}: {KIND_WORDS[kind]}"


def thing_words(full_id: str, car: str) -> str:
    """Something that comes off, in words.

    >>> thing_words("wren/rear-left/drum", "wren"), thing_words("wren/front/on-stands", "wren")
    ('drum, rear left', 'car on stands, front')
    """
    place, _, name = full_id.removeprefix(f"{car}/").rpartition("/")
    where = f", {spoken(place)}" if place else ""
    return f"{'car on stands' if name == RAISE else spoken(name)}{where}"


def part_words(part: CardPart) -> tuple[str, str]:
    """A part to lay out, and where it is from."""
    froms = []
    for one in part.sources:
        many = f"{one.pieces} " if len(part.sources) > 1 else ""
        where = "the shelf" if one.is_shelf else one.words or one.offer
        froms.append(f"{many}from {where}" if where else f"{many}NOT IN HAND")
    title = part.title if part.pieces == 1 else f"{part.pieces} × {part.title}"
    return title, ", ".join(froms)
