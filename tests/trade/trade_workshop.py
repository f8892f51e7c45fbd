"""A small workshop to apply recipes to."""

from __future__ import annotations

from typing import Any

from onceapart.trade import Library
from onceapart.workshop import Car, Job, Layout, Tool, Workshop


def make_workshop(*jobs: dict[str, Any], layout: Layout | None = None, **sections: Any) -> Workshop:
    """A workshop with one car, `wren`, every special tool in hand, and jobs numbered in order."""
    given = {
        "name": "Quay Lane",
        "currency": "EUR",
        "hour_worth": 1200,
        "cars": (Car(id="wren", name="The Wren", layout=layout),),
        "tools": tuple(Tool(id=tool, have=True) for tool in Library().tools),
        "jobs": tuple(
            Job.model_validate({"id": f"job-{number}", "car": "wren", "need": "upkeep", **job})
            for number, job in enumerate(jobs)
        ),
    }
    return Workshop.model_validate({**given, **sections})
