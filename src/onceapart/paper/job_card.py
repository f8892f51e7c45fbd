"""The job card of a stint as a PDF, to tick and fill in at the car."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby
from pathlib import Path
from typing import Any

from onceapart.bench.card_model import Card, CardPart, Phase, Step
from onceapart.bench.card_work import place_words, titled
from onceapart.paper.drawings import Drawing
from onceapart.paper.job_card_steps import StepWriter
from onceapart.paper.links import StepAddress, qr_svg
from onceapart.paper.typst_run import PaperSize, compile_pdf, shortened
from onceapart.paper.words import SAFETY, count, day, hours

NOT_RELEASED = (
    "The car is not released until every check has its answer and no dangerous snag is open. A makeshift "
    "repair of brakes, steering or suspension is not fit to drive on."
)
MOST_CODES = 120
"""A card with more steps has one QR code for each place gone to, not one for each step."""
_PHASES = {Phase.CHECKS: "Release checks", Phase.ROAD: "On the road, after release"}


def job_card_pdf(
    card: Card,
    *,
    size: PaperSize = PaperSize.A4,
    address: StepAddress | None = None,
    drawings: Sequence[Drawing] = (),
    fonts: Sequence[Path] = (),
) -> bytes:
    """A job card on paper.

    Parameters
    ----------
    card : Card
        As ``bench.card.job_card`` makes it; its ``open_stopgaps`` stand on top.
    size : PaperSize
    address : callable, optional
        Card and step -> the step's address on the site (``links.steps_on``); then there are QR codes.
    drawings : sequence of Drawing
        To be shown at the end.
    fonts : sequence of Path
        Folders with fonts for letters that those that come along don't have.

    Returns
    -------
    bytes
        The same for the same card.
    """
    pictures: dict[str, bytes] = {}
    data = _CardWriter(card, address, pictures).data()
    for number, drawing in enumerate(drawings):
        pictures[f"drawing-{number}.svg"] = drawing.svg.encode()
    data["drawings"] = [
        {"title": one.title, "file": f"drawing-{number}.svg", "tells": one.tells or one.title}
        for number, one in enumerate(drawings)
    ]
    title = f"Job card for {data['date']}, {card.workshop}"
    return compile_pdf("job-card", title, data, size=size, pictures=pictures, fonts=fonts)


class _CardWriter:
    """A card as the template takes it: words only, everything numbered."""

    def __init__(self, card: Card, address: StepAddress | None, pictures: dict[str, bytes]) -> None:
        self.card, self.address, self.pictures = card, address, pictures
        self.names = card.car_names or {}

    def data(self) -> dict[str, Any]:
        """All that stands on the card."""
        card = self.card
        date = day(card.date) + (f", {card.stint}" if card.stint else "")
        groups = list(self._groups())
        return {
            "workshop": card.workshop,
            "date": date,
            "short": shortened(", ".join(self.names.get(car, car) for car in card.cars), 36),
            "short_date": shortened(date, 28),
            "time": f"{hours(card.minutes)} of {hours(card.minutes_available)}",
            "steps": count(len(card.steps), "step"),
            "stopgaps": list(card.open_stopgaps),
            "cars": [self._car(car, groups) for car in card.cars],
            "found_off": list(card.found_off),
            "left_off": list(card.left_off),
            "cautions": [{"title": one.title, "words": one.text} for one in card.cautions],
            "lay_out": self._lay_out(),
            "groups": groups,
            "closing": [NOT_RELEASED, SAFETY],
        }

    def _car(self, car: str, groups: Sequence[dict[str, Any]]) -> dict[str, Any]:
        name = self.names.get(car, car)
        stops: dict[str, list[int]] = {}
        for group in groups:
            if group["car"] == car:
                stops.setdefault(group["place"], []).append(group["stop"])
        order = ", ".join(f"{group['stop']} {group['title']}" for group in groups if group["car"] == car)
        return {
            "name": name,
            "jobs": [
                {"title": f"{job.title} {place_words(job.place)}".strip(), "minutes": hours(job.minutes)}
                for job in self.card.jobs
                if job.car == car
            ],
            "stops": stops,
            "tells": f"{shortened(name)} from above, with the places in working order: {order}",
        }

    def _groups(self) -> list[dict[str, Any]]:
        """Steps at one place in a row, each group with the number of the stop."""
        found: list[dict[str, Any]] = []
        writer = StepWriter({one.id for one in self.card.cautions})
        with_each = len(self.card.steps) <= MOST_CODES
        number = stop = 0
        before: Step | None = None
        for (car, phase, place), here in groupby(self.card.steps, key=lambda s: (s.car, s.phase, s.place)):
            if before is None or before.car != car:
                stop = 0
            stop += 1
            steps: list[dict[str, Any]] = []
            for step in here:
                number += 1
                code = self._code(step, number) if with_each or not steps else ""
                steps.append(writer.written(step, number, before) | {"code": code})
                before = step
            found.append(
                {
                    "car": car,
                    "car_name": self.names.get(car, car),
                    "car_short": shortened(self.names.get(car, car), 36),
                    "phase": _PHASES.get(phase, ""),
                    "place": place,
                    "stop": stop,
                    "title": titled(place_words(place)) or "The car",
                    "steps": steps,
                }
            )
        return found

    def _code(self, step: Step, number: int) -> str:
        """Name of the picture with the step's QR code; none without a site."""
        svg = qr_svg(self.address(self.card, step)) if self.address else None
        if svg is None:
            return ""
        self.pictures[f"step-{number}.svg"] = svg
        return f"step-{number}.svg"

    def _lay_out(self) -> dict[str, Any]:
        lay_out = self.card.lay_out
        ways = {"hire": "hired", "buy": "bought with this plan", "": "NOT IN HAND"}
        return {
            "parts": [_part(part) for part in lay_out.parts],
            "tools": [
                {"title": tool.title, "from": ways.get(tool.from_where, "")} for tool in lay_out.tools
            ],
            "rows": [
                {"label": label, "items": items}
                for label, items in (
                    ("Hand tools", list(lay_out.hand_tools)),
                    ("Sockets, spanners, keys", list(lay_out.drives)),
                    ("New fasteners", [
                        what if n == 1 else f"{n} × {what}"
                        for what, n in (lay_out.new_fasteners or {}).items()
                    ]),
                    ("Besides", list(lay_out.consumables)),
                )
                if items
            ],
        }  # fmt: skip


def _part(part: CardPart) -> dict[str, Any]:
    froms = []
    for one in part.sources:
        many = f"{one.pieces} " if len(part.sources) > 1 else ""
        if one.is_shelf or one.offer:
            froms.append(f"{many}from {'the shelf' if one.is_shelf else one.words or one.offer}")
        else:
            froms.append(f"{many}NOT IN HAND")
    return {
        "title": part.title if part.pieces == 1 else f"{part.pieces} × {part.title}",
        "id": part.id,
        "from": ", ".join(froms),
    }
