"""Rule packs: what to look at on a car, and what an inspection would say of it, as checked data."""

from onceapart.trade.rules.curing import places_of_cure, places_of_item
from onceapart.trade.rules.limits import MARKED, Amount, Limit
from onceapart.trade.rules.loading import load_pack, load_pack_file, pack_ids
from onceapart.trade.rules.schema import (
    CLASSES,
    SOUND,
    STAGES,
    Class,
    Cure,
    Fact,
    FactTest,
    Item,
    Pack,
    Registered,
    Rule,
    RuleWhen,
    Source,
    Stage,
)

__all__ = [
    "CLASSES",
    "MARKED",
    "SOUND",
    "STAGES",
    "Amount",
    "Class",
    "Cure",
    "Fact",
    "FactTest",
    "Item",
    "Limit",
    "Pack",
    "Registered",
    "Rule",
    "RuleWhen",
    "Source",
    "Stage",
    "load_pack",
    "load_pack_file",
    "pack_ids",
    "places_of_cure",
    "places_of_item",
]
