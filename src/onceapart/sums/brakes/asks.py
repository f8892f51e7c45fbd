"""Inputs that several brake sums ask for."""

from __future__ import annotations

from onceapart.sums.inputs import ChoiceInput, QuantityInput, RowsInput
from onceapart.sums.result import Output, Table

PISTONS = RowsInput(
    name="pistons",
    label="Pistons of one caliper",
    columns=(
        QuantityInput(name="diameter", label="Diameter", unit="mm", low=10, high=120, example="54 mm"),
        QuantityInput(
            name="count", label="How many", unit="", low=1, high=8, whole=True, default="1", example="2"
        ),
    ),
    most=8,
    example="38 mm: 2; 42 mm: 2",
    help="All of them, both sides: diameter, then how many. Measure what the boot leaves bare.",
)
CALIPER = ChoiceInput(
    name="caliper",
    label="Caliper",
    choices={
        "floating": "slides; pistons on one side only",
        "fixed": "bolted fast; pistons on both sides",
    },
    default="floating",
    example="floating",
)
MASS = QuantityInput(
    name="mass",
    label="Mass of the car as driven",
    unit="kg",
    low=300,
    high=5000,
    example="1280 kg",
    help="Kerb mass from the papers, and the people and load in it.",
)
FRONT_SHARE = QuantityInput(
    name="front-share",
    label="Front axle's share of the braking",
    unit="%",
    low=30,
    high=100,
    default="75 %",
    example="70 %",
    help="Rollers show it; 70 to 80 % is usual at a hard stop.",
)
DISCS = QuantityInput(
    name="discs", label="Discs on that axle", unit="", low=1, high=4, whole=True, default="2", example="2"
)
DISC_MASS = QuantityInput(
    name="disc-mass",
    label="Mass of one disc",
    unit="kg",
    low=1,
    high=25,
    optional=True,
    example="6.5 kg",
    help="Weigh it, or take it from the parts list; otherwise give the iron's thickness.",
)
DISC_IRON = QuantityInput(
    name="iron",
    label="Iron in the disc's thickness",
    unit="mm",
    low=3,
    high=50,
    optional=True,
    example="14 mm",
    help="Solid disc: its thickness. Vented: both cheeks together, without the gap between them.",
)
FACE_OUTER = QuantityInput(
    name="face-outer",
    label="Outside diameter of the rubbed face",
    unit="mm",
    low=100,
    high=450,
    example="280 mm",
    help="Where a full pad reaches.",
)
FACE_INNER = QuantityInput(
    name="face-inner",
    label="Inside diameter of the rubbed face",
    unit="mm",
    low=50,
    high=400,
    example="180 mm",
)
AMBIENT = QuantityInput(
    name="ambient", label="Temperature outside", unit="°C", low=-40, high=55, default="20 °C", example="20 °C"
)


def rules_table(rows: tuple[tuple[str, str, str, bool | None, str], ...]) -> Table:
    """A table of what rules ask beside what was found; the inspector, not this table, decides."""
    return Table(
        "What rules ask (the inspector decides)",
        (
            Output(name="rule", label="Rule", unit=None),
            Output(name="asks", label="Asks", unit=None),
            Output(name="found", label="Found", unit=None),
            Output(name="met", label="Met", unit=None),
            Output(name="status", label="Status of the figure", unit=None),
        ),
        rows,
    )
