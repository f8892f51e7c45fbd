"""What the change of tyre size asks for."""

from __future__ import annotations

import re
from typing import NamedTuple

from onceapart.errors import SumError
from onceapart.sums.inputs import ChoiceInput, QuantityInput, TextInput
from onceapart.sums.quantity import shorten
from onceapart.sums.tyres.designation import parse_tyre
from onceapart.sums.tyres.load import load_kg, speed_kmh
from onceapart.sums.tyres.speedometer_sum import OVER_READING, READINGS


class Needed(NamedTuple):
    """Least load index and speed symbol the car needs."""

    load_index: int | None
    speed_symbol: str | None

    def __str__(self) -> str:
        return f"{self.load_index}{self.speed_symbol}"


def parse_needed(text: str) -> Needed:
    """Read a load index with its speed symbol: ``82H``."""
    found = re.fullmatch(r"(\d{2,3}) ?(\(Y\)|[A-Z])", text.strip().upper())
    if found is None:
        raise SumError(f"{shorten(text)}: not a load index and speed symbol; write it like 82H")
    load_kg(int(found[1]))
    speed_kmh(found[2])
    return Needed(int(found[1]), found[2])


def _gap(name: str, label: str, example: str, help_text: str) -> QuantityInput:
    return QuantityInput(
        name=name, label=label, unit="mm", low=0, high=400, optional=True, example=example, help=help_text
    )


def _tyre(name: str, label: str, example: str) -> TextInput:
    return TextInput(
        name=name,
        label=label,
        parse=parse_tyre,
        what="tyre size, best with load index and speed symbol",
        example=example,
        help="On the sidewall.",
    )


def _rim(name: str, label: str, help_text: str) -> QuantityInput:
    return QuantityInput(
        name=name, label=label, unit="in", low=3, high=14, optional=True, example="5.5 in", help=help_text
    )


def _offset(name: str, label: str) -> QuantityInput:
    return QuantityInput(
        name=name,
        label=label,
        unit="mm",
        low=-100,
        high=100,
        optional=True,
        example="35 mm",
        help="ET on the wheel; only needed if the wheels change.",
    )


INPUTS = (
    _tyre("fitted", "Tyre on the car", "185/60 R14 82H"),
    _tyre("wanted", "Tyre wanted", "195/60 R14 86H"),
    ChoiceInput(
        name="where",
        label="Goes on",
        choices={"all": "all wheels", "front": "both front", "rear": "both rear", "one": "one wheel"},
        default="all",
        example="front",
    ),
    ChoiceInput(
        name="listed",
        label="Size is in the car's papers",
        choices={"yes": "it is", "no": "it is not", "unknown": "not looked up yet"},
        default="unknown",
        example="yes",
        help="Registration papers, certificate of conformity, door pillar or handbook.",
    ),
    TextInput(
        name="needed",
        label="Load index and speed symbol needed",
        parse=parse_needed,
        what="load index and speed symbol",
        optional=True,
        example="82H",
        help="From the car's papers; those of the tyre on the car if not given.",
    ),
    QuantityInput(
        name="axle-load",
        label="Permitted axle load",
        unit="kg",
        low=100,
        high=3000,
        optional=True,
        example="850 kg",
        help="On the maker's plate: the heavier axle of those that get the tyre.",
    ),
    QuantityInput(
        name="top-speed",
        label="Top speed of the car",
        unit="km/h",
        low=25,
        high=350,
        optional=True,
        example="175 km/h",
    ),
    _rim("fitted-rim", "Rim width now", "Stamped on the rim: 6Jx14 is 6 in wide."),
    _rim("wanted-rim", "Rim width then", "As now if not given."),
    _offset("fitted-offset", "Offset of the wheel now"),
    _offset("wanted-offset", "Offset of the wheel then"),
    QuantityInput(
        name="tread",
        label="Tread left on the car's tyre",
        unit="mm",
        low=0,
        high=12,
        optional=True,
        example="3 mm",
        help="Narrows down how large it is now.",
    ),
    QuantityInput(
        name="tape",
        label="Tape around the car's tyre",
        unit="mm",
        low=900,
        high=3500,
        optional=True,
        example="1825 mm",
        help="Around the middle of the tread, wheel off the ground; better than its size.",
    ),
    QuantityInput(
        name="wanted-tape",
        label="Tape around the new tyre",
        unit="mm",
        low=900,
        high=3500,
        optional=True,
        example="1850 mm",
        help="At the shop; without it the tolerance of its size is reckoned with, which is from memory.",
    ),
    _gap(
        "gap-over",
        "Gap over the tread",
        "95 mm",
        "To the nearest part above, car on its wheels, straight ahead.",
    ),
    QuantityInput(
        name="bump",
        label="Travel to the bump stop",
        unit="mm",
        low=0,
        high=300,
        default="80 mm",
        example="70 mm",
        help="How far the wheel comes up from where the gap was measured, with the stop pressed.",
    ),
    _gap("gap-inside", "Gap inside", "22 mm", "From the inner sidewall to strut, spring or arm."),
    _gap(
        "gap-outside",
        "Gap outside",
        "25 mm",
        "From the outer sidewall to the edge of the wing, as it passes it.",
    ),
    _gap("gap-lock", "Gap at full lock", "30 mm", "Least gap anywhere, both locks tried."),
    QuantityInput(
        name="margin",
        label="Gap that should stay",
        unit="mm",
        low=0,
        high=50,
        default="10 mm",
        example="10 mm",
        help="Our judgement, for flexing and stones.",
    ),
    READINGS,
    OVER_READING,
    QuantityInput(
        name="ground-clearance",
        label="Clearance under the car now",
        unit="mm",
        low=20,
        high=600,
        optional=True,
        example="130 mm",
    ),
    QuantityInput(
        name="engine-speed",
        label="Engine speed at some speed now",
        unit="rpm",
        low=300,
        high=12000,
        optional=True,
        example="3000 rpm",
    ),
    QuantityInput(
        name="final-drive",
        label="Final drive ratio",
        unit="",
        low=1,
        high=10,
        optional=True,
        example="4.1",
    ),
)
