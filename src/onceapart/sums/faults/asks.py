"""What the fault-finding sum asks for: causes, checks, access and findings as typed rows."""

from __future__ import annotations

from onceapart.errors import SumError
from onceapart.sums.inputs import ChoiceInput, QuantityInput, RowsInput, TextInput
from onceapart.sums.quantity import shorten


class Names(tuple[str, ...]):
    """Several names, as typed between commas."""

    def __str__(self) -> str:
        return ", ".join(self)


def parse_name(text: str) -> str:
    """One name, its spaces made single."""
    name = " ".join(text.split())
    if "," in name:
        raise SumError(f"{shorten(text)}: a name has no comma; give one name here")
    return name


def parse_names(text: str) -> Names:
    """Names between commas.

    >>> str(parse_names("drop link ,  ball joint"))
    'drop link, ball joint'
    """
    names = [" ".join(part.split()) for part in text.split(",")]
    if not all(names):
        raise SumError(f"{shorten(text)}: a name is missing beside a comma; write them like link, joint")
    return Names(names)


def name_input(name: str, label: str, example: str, *, optional: bool = False) -> TextInput:
    """A column for one name."""
    return TextInput(
        name=name,
        label=label,
        parse=parse_name,
        what="a name",
        example=example,
        longest=60,
        optional=optional,
    )


def names_input(name: str, label: str, example: str, *, optional: bool = False) -> TextInput:
    """A column for names between commas."""
    return TextInput(
        name=name,
        label=label,
        parse=parse_names,
        what="names between commas",
        example=example,
        longest=400,
        optional=optional,
    )


CAUSES = RowsInput(
    name="causes",
    label="Possible causes",
    example="drop link: 40 %; ball joint: 25 %",
    help="One a row: cause : how likely. Only the proportions count.",
    most=30,
    columns=(
        name_input("cause", "Cause", "drop link"),
        QuantityInput(name="likely", label="How likely", unit="%", low=0, high=100, example="40 %"),
    ),
)
CHECKS = RowsInput(
    name="checks",
    label="Checks",
    example="shake the link: drop link: 4 min: 0: front up",
    help="One a row: check : causes it shows : minutes : price : access it needs : share of cases it sees.",
    most=30,
    columns=(
        name_input("check", "Check", "shake the link"),
        names_input("finds", "Causes it shows", "drop link"),
        QuantityInput(name="minutes", label="Time", unit="min", low=0, high=3000, example="4 min"),
        QuantityInput(
            name="price", label="Price", unit="money", low=0, high=100_000, default="0", example="15"
        ),
        names_input("access", "Access it needs", "front up", optional=True),
        QuantityInput(
            name="sees",
            label="Share of cases it sees",
            unit="%",
            low=1,
            high=100,
            default="100 %",
            example="80 %",
        ),
    ),
)
ACCESS = RowsInput(
    name="access",
    label="Access",
    example="front up: 12 min; wheel off: 6 min: front up",
    help="One a row: access : minutes off and on again : what has to be open before.",
    most=20,
    optional=True,
    columns=(
        name_input("name", "Access", "wheel off"),
        QuantityInput(name="minutes", label="Time", unit="min", low=0, high=3000, example="6 min"),
        names_input("under", "Open before", "front up", optional=True),
    ),
)
DONE = RowsInput(
    name="done",
    label="Checks made so far",
    example="shake the link: clear",
    help="One a row: check : clear or found : the cause seen, if it can tell several apart.",
    most=30,
    optional=True,
    columns=(
        name_input("check", "Check", "shake the link"),
        ChoiceInput(
            name="result",
            label="Result",
            choices={"clear": "nothing seen", "found": "one of its causes is it"},
            example="clear",
        ),
        name_input("cause", "Cause seen", "drop link", optional=True),
    ),
)
