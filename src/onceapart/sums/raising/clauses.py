"""What inspection rules say to a raised car, as far as their clauses were seen."""

from __future__ import annotations

from dataclasses import dataclass

from onceapart.sums.result import Output


@dataclass(frozen=True)
class Changes:
    """What was changed to raise the car."""

    new_spring: bool
    """A spring that stands higher than the maker's."""
    spacer: bool
    tyre: bool
    paired: bool
    """The same on both sides of the axle."""


RULE_COLUMNS = (
    Output(name="rule", label="Rule", unit=None),
    Output(name="grade", label="Verdict", unit=None),
    Output(name="words", label="Why", unit=None),
)


def rule_rows(changes: Changes) -> tuple[tuple[str, str, str], ...]:
    """One row a rule: its name, the verdict word, the reason."""
    return (
        ("49 CFR 570.8(a)", *_federal(changes)),
        ("RCW 46.37.375(5)", *_washington(changes)),
        ("2014/45/EU 5.3.1(d)", *_european(changes)),
    )


def _federal(changes: Changes) -> tuple[str, str]:
    """A model rule of the United States, which states may take over."""
    if changes.new_spring:
        return "major", "springs may not stand above design height"
    if changes.spacer and not changes.paired:
        return "major", "spacers only in pairs, both sides"
    if changes.spacer:
        return "passes", "spacers are let be if fitted as a pair"
    return "passes", "speaks of springs and spacers only"


def _washington(changes: Changes) -> tuple[str, str]:
    if changes.spacer:
        return "major", "no springs extended by spacers"
    return "not checked", "nothing seen about this; ask"


def _european(changes: Changes) -> tuple[str, str]:
    if changes.new_spring or changes.spacer:
        return "not checked", "an unsafe change is major: get approval"
    return "not checked", "see tyre-change for the tyres"
