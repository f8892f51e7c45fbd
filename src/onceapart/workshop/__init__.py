"""The workshop: its data model, its places and money, and its file."""

from onceapart.workshop.model import (
    RECIPE_KEYS,
    Access,
    Aftercare,
    Car,
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

__all__ = [
    "CORNERS",
    "MAX_MONEY",
    "PLACES",
    "RECIPE_KEYS",
    "Access",
    "Aftercare",
    "Car",
    "Inspection",
    "Job",
    "Layout",
    "Need",
    "Offer",
    "Seller",
    "Stint",
    "Tool",
    "Workshop",
    "axle_of",
    "corners_of",
    "format_money",
    "other_side",
    "parse_money",
    "side_of",
]
