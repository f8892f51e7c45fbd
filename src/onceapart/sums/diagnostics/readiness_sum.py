"""Readiness: would the monitors be accepted, and what clearing the codes would do."""

from __future__ import annotations

from onceapart.sums.diagnostics import readiness, sources
from onceapart.sums.diagnostics.readiness import CarStatus, Monitor, ReadinessRule
from onceapart.sums.diagnostics.replies import Reply, parse_reply
from onceapart.sums.inputs import ChoiceInput, QuantityInput, RowsInput, TextInput, YesNoInput
from onceapart.sums.registry import Sum
from onceapart.sums.result import Output, Result, Table


def readiness_answer(
    replies: tuple[Reply, ...], model_year: int, rules: str, allowed: int | None, lamp_works: bool | None
) -> Result:
    """Would the monitors be accepted, and what would clearing the codes do?"""
    status = readiness.combine_statuses([readiness.decode_status(each) for each in replies])
    rule = readiness.find_rule(rules, model_year, compression=status.compression)
    if allowed is not None:
        rule = ReadinessRule("own", "any", model_year, model_year, allowed, "", "as given", "", "own figure")
    verdict, reasons = readiness.judge_readiness(status, rule, lamp_works=lamp_works)
    after = readiness.cleared(status)
    after_verdict, _ = readiness.judge_readiness(after, rule)
    if rule is not None:
        reasons.append(_clearing(status, after, after_verdict, rule))
    return Result(
        values={
            "lamp": status.lamp_on,
            "codes": float(status.codes),
            "ignition": "compression (diesel)" if status.compression else "spark (petrol, gas)",
            "supported": float(len(status.monitors)),
            "not_ready": float(len(status.not_ready)),
            "waiting_for": _names(status.not_ready),
            "allowed": None if rule is None else float(rule.allowed),
            "if_cleared": float(len(after.not_ready)),
            "verdict_if_cleared": after_verdict,
        },
        verdict=verdict,
        reasons=tuple(reasons),
        warnings=tuple(_warnings(status, rule, verdict, lamp_works)),
        tables=(_monitors_table(status),),
    )


def _names(monitors: tuple[Monitor, ...]) -> str | None:
    return ", ".join(each.name for each in monitors) or None


def _clearing(status: CarStatus, after: CarStatus, verdict: str, rule: ReadinessRule) -> str:
    back = f"Clearing the codes now would set back {len(after.not_ready)} monitors"
    if verdict == readiness.ACCEPTED:
        return f"{back}, which is within the {rule.allowed} allowed; a fault still there comes back."
    if not status.codes and not status.lamp_on:
        return f"{back}, so the car would be rejected: before the test, neither clear nor unhook the battery."
    return (
        f"{back}, so instead of failing the car would be rejected; by the time they finish, a fault still "
        "there has put the lamp on again. Cure it, clear, drive until ready, then go."
    )


def _warnings(
    status: CarStatus, rule: ReadinessRule | None, verdict: str, lamp_works: bool | None
) -> list[str]:
    found = []
    once = status.once_a_drive
    if once and not any(each.is_complete for each in once) and not status.codes:
        found.append("No monitor has finished: codes were cleared or the battery was off lately.")
    if lamp_works is False and not status.lamp_on:
        found.append("The lamp stays dark when the ignition is turned on: mend it before the inspection.")
    if status.codes and not status.lamp_on:
        found.append("Codes are stored though the lamp is off: read them, they may light it again.")
    if rule is not None and verdict == readiness.REJECTED:
        late = tuple(each for each in status.not_ready if not each.is_continuous)
        if rule.takes(late):
            found.append(
                "Some places leave continuous monitors out of the count; there it would be accepted."
            )
    if not status.monitors:
        found.append("No monitor is supported: is this the reply of the engine's control unit?")
    return found


def _monitors_table(status: CarStatus) -> Table:
    columns = (
        Output(name="monitor", label="Monitor", unit=None),
        Output(name="state", label="State", unit=None),
        Output(name="wants", label="What lets it finish (common practice)", unit=None),
    )
    ordered = sorted(status.monitors, key=lambda each: each.is_complete)
    rows = tuple((each.name, "ready" if each.is_complete else "not ready", each.wants) for each in ordered)
    return Table("Monitors of this car", columns, rows)


READINESS = Sum(
    name="diagnostic-readiness",
    title="Readiness of the monitors",
    question="Would an inspection accept the car's monitors as they are, and what if I clear the codes?",
    inputs=(
        RowsInput(
            name="replies",
            label="Reply to mode 01 PID 01",
            example="41 01 00 07 65 05",
            help="As the reader shows it, from 41 on; one row for each control unit that answers.",
            most=8,
            columns=(
                TextInput(
                    name="reply",
                    label="Reply",
                    parse=parse_reply,
                    what="bytes in hex",
                    example="41 01 00 07 65 05",
                ),
            ),
        ),
        QuantityInput(
            name="model-year",
            label="Model year",
            unit="",
            low=1970,
            high=2100,
            whole=True,
            example="1999",
            help="Position 10 of the identification number tells it; it is not the year of building.",
        ),
        ChoiceInput(
            name="rules",
            label="Rules",
            choices={
                "us-epa": "most US states with such a test",
                "us-california": "California (from memory)",
            },
            default="us-epa",
            example="us-epa",
        ),
        QuantityInput(
            name="allowed",
            label="Monitors that may be unset, if known",
            unit="",
            low=0,
            high=11,
            whole=True,
            optional=True,
            example="1",
            help="Goes before the rules here: ask the test station.",
        ),
        YesNoInput(
            name="lamp-works",
            label="Lamp lights when the ignition is turned on",
            example="yes",
            optional=True,
        ),
    ),
    outputs=(
        Output(name="lamp", label="Lamp commanded on", unit=None),
        Output(name="codes", label="Codes stored", unit=""),
        Output(name="ignition", label="Ignition", unit=None),
        Output(name="supported", label="Monitors the car has", unit=""),
        Output(name="not_ready", label="Not ready", unit=""),
        Output(name="waiting_for", label="Waiting for", unit=None),
        Output(name="allowed", label="May be unset", unit=""),
        Output(name="if_cleared", label="Not ready if codes were cleared now", unit=""),
        Output(name="verdict_if_cleared", label="It would then be", unit=None),
    ),
    sources=(
        sources.BYTE_A,
        sources.BYTES_B_TO_D,
        sources.LAMP,
        sources.SUPPORTED,
        *sources.RULES,
        sources.CONTINUOUS,
        sources.CLEARING,
        sources.DRIVES,
    ),
    example={"replies": "41 01 83 07 65 04", "model-year": "1999"},
    cautions=(
        "A lamp that flashes while driving means misfire that can overheat the catalyst: ease off and stop.",
        "Drive for the monitors on the open road and within the law; do not read a screen while driving.",
        "An inspector decides; rules differ from state to state.",
    ),
    verdicts=readiness.VERDICTS,
    answer=readiness_answer,
)
