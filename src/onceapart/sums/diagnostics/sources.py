"""Where the figures of this family come from, each with how far it was seen."""

from __future__ import annotations

from onceapart.sums.diagnostics.readiness import readiness_rules
from onceapart.sums.registry import Source, Status

BYTE_A = Source(
    "SAE J1979", "mode 01 PID 01, byte A", Status.VERIFIED, "lamp and number of codes, in code masks"
)
BYTES_B_TO_D = Source("SAE J1979", "mode 01 PID 01, bytes B to D", Status.FROM_MEMORY, "monitors")
LAMP = Source("40 CFR 85.2207", "(a) to (c)", Status.VERIFIED, "lamp on with codes, or on but dark: fails")
SUPPORTED = Source("40 CFR 85.2222", "(a) to (d)", Status.VERIFIED, "supported monitors only are judged")
RULES = tuple(
    dict.fromkeys(
        Source(each.document, each.place, Status(each.status), f"monitors that may be unset, {each.rules}")
        for each in readiness_rules()
    )
)
CONTINUOUS = Source(
    "EPA420-R-01-015", "", Status.FROM_MEMORY, "continuous monitors may be left out of the count"
)
CLEARING = Source(
    "Vermont Department of Motor Vehicles",
    "inspection page",
    Status.VERIFIED,
    "readiness starts afresh when codes are cleared or the battery is off",
)
DRIVES = Source("trade", "", Status.COMMON_PRACTICE, "what lets a monitor finish")

CODE_BYTES = Source("SAE J1979 and J2012", "modes 03, 07, 0A", Status.FROM_MEMORY, "codes as two bytes each")
CODE_WORDS = Source("SAE J2012, ISO 15031-6", "", Status.FROM_MEMORY, "what codes mean, in our own words")

CHECK_DIGIT = Source("49 CFR 565.15", "(c), tables III and IV", Status.VERIFIED, "check digit (two copies)")
YEAR_HALF = Source("49 CFR 565.15(b), 565.25(b)", "position 7", Status.VERIFIED, "which thirty years")
YEAR_CODES = Source(
    "49 CFR 565.15", "table of model years", Status.VERIFIED, "as four tables have it, to 2020"
)
YEAR_CODES_LATER = Source("49 CFR 565.15", "table of model years", Status.FROM_MEMORY, "2021 on")
SERIAL = Source("49 CFR 565.15", "(d)", Status.VERIFIED, "last five characters of a car's are figures")
ELSEWHERE = Source(
    "trade", "", Status.FROM_MEMORY, "only vehicles for North America must have a check digit and year"
)
