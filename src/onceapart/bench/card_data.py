"""A card as other programs read it: ``format: onceapart-card/1``, plain JSON data."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from onceapart.bench.card_model import Card, Step, StepFastener

FORMAT = "onceapart-card/1"


def card_to_json(card: Card) -> dict[str, Any]:
    """The card as data for ``json.dumps``; steps in working order. [minutes, N·m, dates as text]"""
    names = card.car_names or {}
    return {
        "format": FORMAT,
        "workshop": card.workshop,
        "stint": {"date": card.date.isoformat(), "id": card.stint, "minutes": card.minutes_available},
        "minutes": card.minutes,
        "walks": card.walks,
        "shortest": card.is_shortest,
        "open_stopgaps": list(card.open_stopgaps),
        "cars": [{"id": car, "name": names.get(car, car)} for car in card.cars],
        "jobs": [asdict(job) for job in card.jobs],
        "found_off": list(card.found_off),
        "left_off": list(card.left_off),
        "cautions": [asdict(caution) for caution in card.cautions],
        "lay_out": {
            "tools": [asdict(tool) for tool in card.lay_out.tools],
            "hand_tools": list(card.lay_out.hand_tools),
            "drives": list(card.lay_out.drives),
            "parts": [
                {
                    "id": part.id,
                    "title": part.title,
                    "pieces": part.pieces,
                    "from": [
                        {"pieces": one.pieces, "shelf": one.is_shelf, "offer": one.offer, "words": one.words}
                        for one in part.sources
                    ],
                }
                for part in card.lay_out.parts
            ],
            "new_fasteners": dict(card.lay_out.new_fasteners or {}),
            "consumables": list(card.lay_out.consumables),
        },
        "steps": [_step(step) for step in card.steps],
    }


def _step(step: Step) -> dict[str, Any]:
    return {
        "id": step.id,
        "kind": str(step.kind),
        "car": step.car,
        "place": step.place,
        "phase": str(step.phase),
        "title": step.title,
        "words": step.words,
        "minutes": step.minutes,
        "jobs": list(step.jobs),
        "needs": list(step.needs),
        "fasteners": [_fastener(one) for one in step.fasteners],
        "measurements": [asdict(one) for one in step.measurements],
        "cautions": [asdict(one) for one in step.cautions],
    }


def _fastener(one: StepFastener) -> dict[str, Any]:
    band = one.band and {"low": round(one.band.low_nm, 1), "high": round(one.band.high_nm, 1)}
    return {
        "id": one.id,
        "place": one.place,
        "what": one.what,
        "thread": one.thread,
        "drive": one.drive,
        "count": one.count,
        "renew": one.renew,
        "torque": "to fill in from the car's manual" if one.is_tightened else None,
        "cross_check_nm": band,
    }
