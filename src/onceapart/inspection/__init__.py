"""From what was found on a car to what an inspection would say, what is not known yet, and what to do."""

from onceapart.inspection.checking import Checked, check_findings
from onceapart.inspection.form import form_text
from onceapart.inspection.judging import Verdict
from onceapart.inspection.plain import inspection_to_json, proposals_to_json, walk_to_json
from onceapart.inspection.proposing import Proposal, Proposals, propose
from onceapart.inspection.reading import Doubt, Flag, Reading, Readings, readings
from onceapart.inspection.verdicts import INSPECTOR, CarVerdict, ItemVerdict, Outcome, inspect_car
from onceapart.inspection.walking import Leg, Stop, Task, walk_round
from onceapart.inspection.wear import Projection

__all__ = [
    "INSPECTOR",
    "CarVerdict",
    "Checked",
    "Doubt",
    "Flag",
    "ItemVerdict",
    "Leg",
    "Outcome",
    "Projection",
    "Proposal",
    "Proposals",
    "Reading",
    "Readings",
    "Stop",
    "Task",
    "Verdict",
    "check_findings",
    "form_text",
    "inspect_car",
    "inspection_to_json",
    "proposals_to_json",
    "propose",
    "readings",
    "walk_round",
    "walk_to_json",
]
