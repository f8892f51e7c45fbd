"""The dossier of a car as a PDF, for its inspector or a buyer."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any

from onceapart.bench.entries import Entry
from onceapart.bench.release_work import Work
from onceapart.inspection.reading import Readings, readings
from onceapart.inspection.verdicts import INSPECTOR, inspect_car
from onceapart.inspection.wording import place_words
from onceapart.paper.dossier_plots import measurement_plots
from onceapart.paper.dossier_verdicts import history, measurements, verdict_data
from onceapart.paper.dossier_work import WorkWriter
from onceapart.paper.photos import photo_for_paper
from onceapart.paper.typst_run import PaperSize, compile_pdf, shortened
from onceapart.paper.words import day, sentence
from onceapart.trade.placing import layout_in_words
from onceapart.trade.rules import Pack
from onceapart.workshop import Car, Layout

WHAT_IT_IS = (
    "Made from what the people of the workshop noted. Nobody else has checked it. What a rule says of a "
    f"finding is advice: {INSPECTOR}, after looking at the car itself. What is not on this paper was not "
    "looked at."
)


def dossier_pdf(
    work: Work,
    car: str,
    pack: Pack,
    entries: Iterable[Entry] = (),
    *,
    today: dt.date,
    photos: Mapping[str, bytes] | None = None,
    size: PaperSize = PaperSize.A4,
    fonts: Sequence[Path] = (),
) -> bytes:
    """Everything that is known of a car, and what is not.

    Parameters
    ----------
    work : Work
        The workshop with what the library says of it (``release_work.work_of``).
    car : str
        Id of the car.
    pack : Pack
        The rules to judge its findings by.
    entries : iterable of Entry
        The record, in order; what is after ``today`` is left out.
    today : date
        The day it is made for.
    photos : mapping, optional
        File name, as findings and notes have it -> content. What can't be read as a photo is said.
    size : PaperSize
    fonts : sequence of Path
        Folders with fonts for letters that those that come along don't have.

    Returns
    -------
    bytes
        The same for the same data.

    Raises
    ------
    KeyError
        There is no such car.
    """
    writer = _DossierWriter(work, car, pack, tuple(entries), today, photos or {})
    data = writer.data()
    title = f"Dossier of {shortened(writer.car.name, 120)}, {day(today)}"
    return compile_pdf("dossier", title, data, size=size, pictures=writer.pictures, fonts=fonts)


class _DossierWriter:
    def __init__(
        self,
        work: Work,
        car: str,
        pack: Pack,
        entries: tuple[Entry, ...],
        today: dt.date,
        photos: Mapping[str, bytes],
    ) -> None:
        found = next((one for one in work.workshop.cars if one.id == car), None)
        if found is None:
            raise KeyError(car)
        self.work, self.car, self.pack, self.today, self.photos = work, found, pack, today, photos
        self.record = WorkWriter(work, car, entries, today)
        self.workshop = work.workshop.model_copy(update={"today": today})
        self.pictures: dict[str, bytes] = {}

    def data(self) -> dict[str, Any]:
        found = readings(self.workshop, self.pack, car=self.car.id)
        verdict = inspect_car(self.workshop, self.car.id, self.pack, found=found)
        shown = measurements(found.good)
        plots = measurement_plots(found.good, verdict.verdicts)
        for number, one in enumerate(shown):
            one["plot"] = ""
            if one["item"] in plots:
                svg, one["tells"] = plots[one["item"]]
                one["plot"] = f"plot-{number}.svg"
                self.pictures[one["plot"]] = svg.encode()
        record = self.record.data()
        photos = self._photos(found)
        return {
            "car": self.car.name,
            "short": shortened(self.car.name, 36),
            "date": day(self.today),
            "what": WHAT_IT_IS,
            "facts": self._facts(self.car, record["odometer"], found),
            "verdict": verdict_data(verdict),
            "history": history(self.workshop, self.car.id, self.pack, self.today),
            "measurements": shown,
            "work": record,
            "photos": [one for one in photos if one["file"]],
            "unseen": [one["name"] for one in photos if not one["file"]],
            "inspector": sentence(INSPECTOR),
        }

    def _facts(self, car: Car, odometer: str, found: Readings) -> list[list[str]]:
        """What is known of the car for good; a buyer reads it first."""
        latest = max((one for one in found.good if one.odometer_km), key=lambda one: one.date, default=None)
        read = odometer or (f"{latest.odometer_km:.0f} km on {day(latest.date)}" if latest else "")
        facts = [
            ("Workshop", self.workshop.name),
            ("First registered", day(car.registered) if car.registered else ""),
            ("Odometer", read),
            ("Mass", car.mass or ""),
            ("Built with", layout_in_words(car.layout or Layout(), "all") if car.layout else ""),
            *((titled_id(name), text) for name, text in car.facts.items()),
            *(
                (f"Marked: {name.replace('/', ', ').replace('-', ' ')}", text)
                for name, text in car.marks.items()
            ),
        ]
        return [[name, text or "not noted"] for name, text in facts]

    def _photos(self, found: Readings) -> list[dict[str, str]]:
        """Photos that findings and notes name, each once, with what they show."""
        told: dict[str, list[str]] = {}
        for one in self.workshop.findings:
            if one.car == self.car.id and one.photo and one.date <= self.today:
                item = self.pack.item(one.item)
                what = item.title if item else one.item
                where = ", ".join(filter(None, [what, place_words(one.place or "all", item)]))
                told.setdefault(one.photo, []).append(f"{where}, {day(one.date)}")
        for note in self.record.state.notes:
            if note.car == self.car.id and note.photo:
                told.setdefault(note.photo, []).append(f"{note.words}, {day(note.day)}")
        rows = []
        for number, (name, words) in enumerate(told.items()):
            content = photo_for_paper(self.photos[name]) if name in self.photos else None
            file = ""
            if content is not None:
                file = f"photo-{number}.svg"
                self.pictures[file] = content
            rows.append({"name": name, "file": file, "words": "; ".join(words)})
        return rows


def titled_id(name: str) -> str:
    """An id as a label.

    >>> titled_id("steering-wheel")
    'Steering wheel'
    """
    return name.replace("-", " ").capitalize()


__all__ = ["WHAT_IT_IS", "dossier_pdf"]
