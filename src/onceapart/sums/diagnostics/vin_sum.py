"""The vehicle identification number: check digit and model year."""

from __future__ import annotations

from onceapart.sums.diagnostics import sources, vin
from onceapart.sums.diagnostics.vin import Vin, parse_vin
from onceapart.sums.inputs import ChoiceInput, TextInput, YesNoInput
from onceapart.sums.registry import Sum
from onceapart.sums.result import Output, Result

AGREES = "check digit agrees"
NOT_DEMANDED = "check digit not demanded"
WRONG = "check digit wrong"


def vin_answer(number: Vin, market: str, light: bool) -> Result:
    """Does the check digit agree, and which model year is it?"""
    expected, shown = vin.check_digit(number), number[8]
    agrees = expected == shown
    built_there = number[0] in "12345"
    american = market == "north-america" or (market == "unknown" and (built_there or agrees))
    years = vin.model_years(number, north_american=american, light=light)
    total = vin.weighted_sum(number)
    reasons = [f"Sum {total} = {total // 11} × 11 + {total % 11}, so position 9 should be {expected}."]
    warnings = []
    if agrees:
        verdict = AGREES
        reasons.append("That does not prove the number: one wrong one in eleven agrees by chance.")
    elif american:
        verdict = WRONG
        reasons.append("Read the plate again, character by character.")
        others = vin.likely_misreadings(number)
        if others:
            reasons.append(f"It would agree as {', '.join(others[:4])}: compare with the plate.")
    else:
        verdict = NOT_DEMANDED
        reasons.append("Only vehicles for North America must have one, so this is no error.")
    if american and market == "unknown":
        why = "its first character says built in North America" if built_there else "the check digit agrees"
        reasons.append(f"Taken as made for North America, as {why}.")
    reasons.append(years.why)
    last = 5 if light else 4
    if american and not number[-last:].isdigit():
        warnings.append(f"The last {last} characters should be figures (49 CFR 565.15(d)): check them.")
    if number[2] == "9":
        reasons.append("Third character 9: a maker of few vehicles.")
    return Result(
        values={
            "shown": shown,
            "expected": expected,
            "model_year": None if years.likely is None else str(years.likely),
            "other_year": None if years.other is None else str(years.other),
            "serial": number[11:],
        },
        verdict=verdict,
        reasons=tuple(reasons),
        warnings=tuple(warnings),
    )


VIN = Sum(
    name="diagnostic-vin",
    title="Identification number",
    question="Is this vehicle identification number right, and which model year is it?",
    inputs=(
        TextInput(
            name="vin",
            label="Identification number",
            parse=parse_vin,
            what="17 characters",
            example="1J9RP1A36A1644345",
            help="On the plate under the windscreen, in the door frame, and in the papers.",
            argument="number",
        ),
        ChoiceInput(
            name="market",
            label="Made for",
            choices={
                "north-america": "the United States, Canada or Mexico",
                "elsewhere": "anywhere else",
                "unknown": "by the number itself",
            },
            default="unknown",
            example="elsewhere",
        ),
        YesNoInput(
            name="light",
            label="A car, or a van up to 10,000 lb",
            example="yes",
            default="yes",
        ),
    ),
    outputs=(
        Output(name="shown", label="Check digit shown", unit=None),
        Output(name="expected", label="Check digit reckoned", unit=None),
        Output(name="model_year", label="Model year", unit=None),
        Output(name="other_year", label="Thirty years off it would be", unit=None),
        Output(name="serial", label="Serial number", unit=None),
    ),
    sources=(
        sources.CHECK_DIGIT,
        sources.YEAR_HALF,
        sources.YEAR_CODES,
        sources.YEAR_CODES_LATER,
        sources.SERIAL,
        sources.ELSEWHERE,
    ),
    example={"vin": "1J9RP1A36A1644345"},
    can_hurt=False,
    verdicts=(AGREES, NOT_DEMANDED, WRONG),
    answer=vin_answer,
)
