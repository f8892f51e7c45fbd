"""Texts that break papers that are not careful: marks of Typst, any script, and words that no line holds."""

from __future__ import annotations

import datetime as dt
from itertools import cycle, islice

from onceapart.bench.card_model import (
    Card,
    CardJob,
    CardPart,
    CardTool,
    LayOut,
    PartSource,
    Phase,
    Step,
    StepCaution,
    StepFastener,
    StepKind,
    StepMeasurement,
    TorqueBand,
)
from onceapart.workshop import PLACES

MARKS = (
    r"#let x = 1; $x^2$ *bold* _it_ @ref <label> // gone? /* gone? */ \u{41} \n `raw` ~ -- --- ... [a](b) = h"
)
WIDE = "W" * 200
SLASHES = "a/" * 50 + "-" * 60
SCRIPTS = "Größe Ελληνικά Привет мир Հայերեն ქართული"
RIGHT_TO_LEFT = "مرحبا بالعالم 12 שלום"
HOSTILE = (MARKS, WIDE, SLASHES, SCRIPTS, 'it\'s "quoted" 1/2 in & <b>', "= - + 1. /", "a" * 23, "x_" * 90)
"""All of these can be read out of a PDF letter by letter; text from right to left comes out word by word."""


def hostile_card(steps: int, texts: tuple[str, ...] = HOSTILE) -> Card:
    """A card on which every text is one of these, with everything a step can have."""
    words = cycle(texts)
    cars = ("wren", "finch")
    phases = (Phase.WORK, Phase.CHECKS, Phase.ROAD)
    kinds = cycle(StepKind)

    def step(at: int) -> Step:
        part = at * 6 // max(steps, 1)
        return Step(
            id=f"do:wren-job:{'a' * 60}-{at}",
            kind=next(kinds),
            car=cars[part // 3],
            phase=phases[part % 3],
            place=PLACES[at // 3 % len(PLACES)],
            title=next(words),
            words=next(words),
            minutes=at % 7,
            jobs=("wren-job",),
            fasteners=tuple(
                StepFastener(f"f{n}", "front-left", next(words), next(words), next(words), n, n % 2 == 0,
                             True, TorqueBand(80.4, 95.2) if n else None)
                for n in range(at % 3)
            ),
            measurements=tuple(
                StepMeasurement(f"m{n}", next(words), "length", "mm", next(words) if n else None)
                for n in range(at % 2)
            ),
            cautions=(StepCaution("c", next(words), next(words)),) if at % 5 == 0 else (),
        )  # fmt: skip

    return Card(
        workshop=next(words),
        date=dt.date(2026, 3, 7),
        stint="a" * 100,
        minutes_available=300,
        minutes=290,
        jobs=tuple(CardJob(f"job-{n}", cars[n % 2], next(words), PLACES[n], 30) for n in range(6)),
        lay_out=LayOut(
            tools=(CardTool("t", next(words), "hire"), CardTool("u", next(words), "")),
            hand_tools=tuple(islice(words, 8)),
            drives=tuple(islice(words, 8)),
            parts=tuple(
                CardPart("wren/" + "p" * 95, next(words), 2,
                         (PartSource(1, True), PartSource(1, False, "o", next(words))))
                for _ in range(4)
            ),
            new_fasteners=dict.fromkeys(texts, 2),
            consumables=texts,
        ),
        steps=tuple(step(at) for at in range(steps)),
        cautions=tuple(StepCaution(f"top-{n}", next(words), next(words)) for n in range(3)),
        found_off=("wren/" + "o" * 95,),
        left_off=("wren/" + "l" * 95,),
        open_stopgaps=texts,
        car_names={"wren": WIDE, "finch": MARKS},
    )  # fmt: skip
