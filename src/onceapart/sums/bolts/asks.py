"""Inputs that several bolt sums ask for."""

from __future__ import annotations

from onceapart.sums.bolts import engagement
from onceapart.sums.bolts.designation import parse_bolt, parse_bolt_with_class, parse_bolt_with_length
from onceapart.sums.inputs import ChoiceInput, QuantityInput, TextInput

ANY_BOLT = TextInput(
    name="bolt",
    label="Bolt",
    parse=parse_bolt,
    what="thread, with or without class and length",
    example="M10x1.25 10.9",
    help="The class is marked on the head; inch grades show as radial lines.",
)
CLASSED_BOLT = TextInput(
    name="bolt",
    label="Bolt",
    parse=parse_bolt_with_class,
    what="thread and class",
    example="M10x1.25 10.9",
    help="Marked on the head (8.8, 10.9); grade 5 has three lines, grade 8 six; without a mark 'unmarked'.",
)
BOLT_WITH_LENGTH = TextInput(
    name="bolt",
    label="Bolt",
    parse=parse_bolt_with_length,
    what="thread and length under the head",
    example="M10x60",
)
THREADED = ChoiceInput(
    name="threaded",
    label="Threaded",
    choices={"part": "with a plain shank (ISO 4014)", "full": "to the head (ISO 4017)"},
    default="part",
    example="part",
)
MEASURED_THREAD = QuantityInput(
    name="thread",
    label="Length of full thread, measured",
    unit="mm",
    low=1,
    high=300,
    optional=True,
    example="26 mm",
    help="From the end of the bolt; goes before the standard's figure.",
)
NUT = ChoiceInput(
    name="nut",
    label="Nut",
    choices={"standard": "about 0.8 d high", "high": "about 0.9 d", "thin": "lock nut, about 0.5 d"},
    default="standard",
    example="standard",
)
NUT_CLASS = ChoiceInput(
    name="nut-class",
    label="Class of the nut",
    choices={name: f"goes with bolts up to {name}.x" for name in engagement.NUT_CLASSES},
    optional=True,
    example="8",
    help="Marked on its face; taken to match the bolt if not given.",
)
WASHER = QuantityInput(
    name="washer-thickness",
    label="Thickness of one washer",
    unit="mm",
    low=0.2,
    high=20,
    optional=True,
    example="2 mm",
    help="The plain washer of the size if not given.",
)
METALS = {
    "tapped-steel": "hole tapped in mild steel",
    "tapped-iron": "hole tapped in grey cast iron",
    "tapped-aluminium": "hole tapped in cast aluminium",
}
INTO = ChoiceInput(
    name="into",
    label="Screwed into",
    choices={"nut": "a nut", **METALS},
    default="nut",
    example="tapped-aluminium",
)
