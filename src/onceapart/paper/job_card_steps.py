"""One step of a job card in words: what to do, blanks, cautions."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from onceapart.bench.card_model import Step, StepCaution, StepFastener, StepKind
from onceapart.bench.card_work import titled
from onceapart.paper.words import listed

_MAKESHIFT = "no-makeshift-"
_UNITS = {"degC": "°C", "degF": "°F", "deg": "°"}


class StepWriter:
    """Writes steps; ``on_top`` are the cautions that stand at the top of the card already."""

    def __init__(self, on_top: set[str]) -> None:
        self.on_top = on_top

    def written(self, step: Step, number: int, before: Step | None) -> dict[str, Any]:
        """A step as the template takes it; ``before`` is the one above it on the card."""
        is_measure = step.kind is StepKind.MEASURE
        return {
            "number": number,
            "id": step.id,
            "title": "" if is_measure or _goes_on(step, before) else step.title,
            "words": "" if is_measure and step.measurements else step.words,
            "minutes": f"{step.minutes} min" if step.minutes else "",
            "cautions": list(self._cautions(step.cautions)),
            "measures": [
                {
                    "what": titled(one.what),
                    "unit": _UNITS.get(one.unit, one.unit),
                    "limit": f"limit: {one.limit}" if one.limit else "",
                }
                for one in step.measurements
            ],
            "torques": [
                {"what": _what(one), "with": ", ".join(_with(step, one)), "band": _band(one)}
                for one in step.fasteners
                if one.is_tightened
            ],
            "fasteners": [
                f"{_what(one)}: {one.drive}"
                for one in step.fasteners
                if not one.is_tightened and step.kind is StepKind.OFF
            ],
        }

    def _cautions(self, cautions: Sequence[StepCaution]) -> Iterator[dict[str, str]]:
        """What stands at the top is only called to mind; that no makeshift will do is said once for all."""
        brought = [one.title for one in cautions if one.id in self.on_top]
        if brought:
            yield {"title": ", ".join(brought), "words": "see the top of the card."}
        rest = [one for one in cautions if one.id not in self.on_top]
        makeshift = [one for one in rest if one.id.startswith(_MAKESHIFT)]
        for one in rest:
            if one not in makeshift or len(makeshift) == 1:
                yield {"title": one.title, "words": one.text}
        if len(makeshift) > 1:
            systems = listed([one.id.removeprefix(_MAKESHIFT) for one in makeshift])
            yield {
                "title": f"No makeshift in {systems}",
                "words": "such a part or repair is not fit to drive on. If the right part is not there, the "
                "car stays.",
            }


def _goes_on(step: Step, before: Step | None) -> bool:
    """Whether a step goes on with the job of the one above it, so that it needs no title."""
    return (
        step.kind is StepKind.DO
        and before is not None
        and before.kind in (StepKind.DO, StepKind.MEASURE)
        and (before.jobs, before.place, before.car) == (step.jobs, step.place, step.car)
    )


def _what(one: StepFastener) -> str:
    many = f"{one.count} " if one.count > 1 else ""
    return f"{many}{'new ' if one.renew and one.is_tightened else ''}{one.what}"


def _with(step: Step, one: StepFastener) -> list[str]:
    return [one.thread, *([one.drive] if step.kind is StepKind.DO else [])]


def _band(one: StepFastener) -> str:
    if one.band is None:
        return ""
    return f"cross-check only: {one.band.low_nm:.0f} to {one.band.high_nm:.0f} Nm; the car's manual decides"
