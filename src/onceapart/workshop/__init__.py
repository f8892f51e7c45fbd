"""The workshop: its data model, its places and money, and its file."""

from onceapart.workshop.check import SOUND, LineOf, check_references, check_workshop
from onceapart.workshop.files import replace_file
from onceapart.workshop.insert import Entry, add_entries, with_entries
from onceapart.workshop.model import (
    RECIPE_KEYS,
    Access,
    Aftercare,
    Car,
    Finding,
    Inspection,
    Job,
    Layout,
    Need,
    Offer,
    Seller,
    Stint,
    Tool,
    Workshop,
)
from onceapart.workshop.money import MAX_MONEY, format_money, parse_money
from onceapart.workshop.places import CORNERS, PLACES, axle_of, corners_of, other_side, side_of
from onceapart.workshop.reading import (
    FORMAT,
    ParsedWorkshop,
    parse_with_lines,
    parse_workshop,
    read_with_lines,
    read_workshop,
)
from onceapart.workshop.writing import write_workshop

__all__ = [
    "CORNERS",
    "FORMAT",
    "MAX_MONEY",
    "PLACES",
    "RECIPE_KEYS",
    "SOUND",
    "Access",
    "Aftercare",
    "Car",
    "Entry",
    "Finding",
    "Inspection",
    "Job",
    "Layout",
    "LineOf",
    "Need",
    "Offer",
    "ParsedWorkshop",
    "Seller",
    "Stint",
    "Tool",
    "Workshop",
    "add_entries",
    "axle_of",
    "check_references",
    "check_workshop",
    "corners_of",
    "format_money",
    "other_side",
    "parse_money",
    "parse_with_lines",
    "parse_workshop",
    "read_with_lines",
    "read_workshop",
    "replace_file",
    "side_of",
    "with_entries",
    "write_workshop",
]
