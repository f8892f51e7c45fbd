"""What the two laws say of what is seen: classes and clauses typed from the texts, not from the packs.

Annex I of Directive 2014/45/EU: the ladders of the 2014 print as quoted row by row, and of the UK manual and
the French list (order of 18 June 1991, Annex I) where the clause says so. 49 CFR Part 570 subpart A: read
section by section in a CFR copy; it only passes or fails, and a fail is shown as major.
"""

from __future__ import annotations

import pytest
from cases import EU, US, finding, inspected

from onceapart.inspection.judging import Verdict

# clause, item, place, word, class
ANNEX_I = [
    ("1.1.1(b)", "brake-pedal", None, "pivot-play", "major"),
    ("1.1.2(b)", "brake-pedal", None, "slow-return", "minor"),
    ("1.1.2(b)", "brake-pedal", None, "sticks", "major"),
    ("1.1.2(c)", "brake-pedal", None, "pad-worn", "major"),
    ("1.1.6(b)", "handbrake-lever", None, "pivot-worn", "minor"),
    ("1.1.6(b)", "handbrake-lever", None, "pivot-worn-badly", "major"),
    ("1.1.6(d)", "handbrake-lever", None, "broken", "major"),
    ("1.1.10(a)", "brake-servo", None, "weak", "major"),
    ("1.1.10(a)", "brake-servo", None, "dead", "dangerous"),
    ("1.1.10(b)", "master-cylinder", None, "weak", "major"),
    ("1.1.10(b)", "master-cylinder", None, "leaking", "dangerous"),
    ("1.1.10(d)", "brake-fluid-level", None, "below-min", "minor"),
    ("1.1.10(d)", "brake-fluid-level", None, "well-below", "major"),
    ("1.1.10(d)", "brake-fluid-level", None, "none-seen", "dangerous"),
    ("1.1.11(a)", "brake-pipe", "rear", "about-to-fail", "dangerous"),
    ("1.1.11(b)", "brake-pipe", "front", "leaking", "dangerous"),
    ("1.1.11(d)", "brake-pipe", "front", "clip-off", "minor"),
    ("1.1.11(d)", "brake-pipe", "front", "chafing", "major"),
    ("1.1.11(c)", "brake-pipe", "rear-left", "rusted-thin", "major"),
    ("1.1.12(b)", "brake-hose", "front-left", "twisted", "minor"),
    ("1.1.12(b)", "brake-hose", "front-left", "chafed", "major"),
    ("1.1.12(c)", "brake-hose", "front-left", "leaking", "dangerous"),
    ("1.1.12(d)", "brake-hose", "front-left", "bulging", "major"),
    ("1.1.12(d)", "brake-hose", "front-left", "cord-shows", "dangerous"),
    ("1.1.12(e)", "brake-hose", "front-left", "porous", "major"),
    ("1.1.13(a)", "pads", "front-right", "at-mark", "major"),
    ("1.1.13(a)", "pads", "front-right", "mark-gone", "dangerous"),
    ("1.1.13(b)", "pads", "front-right", "oily", "major"),
    ("1.1.13(b)", "pads", "front-right", "oily-badly", "dangerous"),
    ("1.1.13(c)", "pads", "front-right", "missing", "dangerous"),
    ("1.1.14(a)", "discs", "front-left", "worn", "major"),
    ("1.1.14(a)", "discs", "front-left", "cracked", "dangerous"),
    ("1.1.14(d)", "back-plate", "rear-left", "loose", "major"),
    ("1.1.16(b)", "caliper", "front-left", "leaking", "major"),
    ("1.1.16(d)", "caliper", "front-left", "rusted", "major"),
    ("1.1.16(f)", "caliper", "front-left", "boot-hurt", "minor"),
    ("1.1.16(f)", "caliper", "front-left", "boot-gone", "major"),
    ("1.2.1(a)", "brake-action", "rear-left", "weak", "major"),
    ("1.2.1(a)", "brake-action", "rear-left", "none", "dangerous"),
    ("1.2.1(f)", "brake-action", "rear-left", "binds", "major"),
    ("1.6(b)", "abs-lamp", None, "lit", "major"),
    ("1.8", "brake-fluid-state", None, "dirty", "major"),
    ("2.1.1(e)", "steering-gear", None, "damp", "minor"),
    ("2.1.1(e)", "steering-gear", None, "drips", "major"),
    ("2.1.3(b)", "tie-rod-end", "front-left", "play", "major"),
    ("2.1.3(b)", "tie-rod-end", "front-left", "coming-apart", "dangerous"),
    ("2.1.3(g)", "tie-rod-end", "front-left", "boot-hurt", "minor"),
    ("2.1.3(g)", "tie-rod-end", "front-left", "boot-gone", "major"),
    ("2.1.5(b)", "power-steering-fluid", None, "below-min", "minor"),
    ("2.2.1(a)", "steering-wheel", None, "loose", "major"),
    ("4.3.1(a)", "stop-lamp", "rear-left", "part-out", "minor"),
    ("4.3.1(a)", "stop-lamp", "rear-left", "out", "major"),
    ("4.3.1(a)", "stop-lamps", None, "none", "dangerous"),
    ("4.11", "wiring", None, "loose", "minor"),
    ("5.1.3(a)", "wheel-bearing", "rear-left", "play", "major"),
    ("5.1.3(b)", "wheel-bearing", "rear-left", "hot", "dangerous"),
    ("5.2.1(a)", "wheel-nuts", "front-left", "one-off", "major"),
    ("5.2.1(a)", "wheel-nuts", "front-left", "several-off", "dangerous"),
    ("5.2.2(a)", "wheel", "front-left", "cracked", "dangerous"),
    ("5.2.3(b)", "tyre-match", "rear", "sizes-differ", "major"),
    ("5.2.3(d)", "tyre", "front-left", "cut", "major"),
    ("5.2.3(d)", "tyre", "front-left", "cord", "dangerous"),
    ("5.2.3(e)", "tyre", "front-left", "indicator", "major"),
    ("5.2.3(f)", "tyre", "front-left", "rubs-liner", "minor"),
    ("5.3.1(b)", "spring", "front-right", "broken", "major"),
    ("5.3.1(d)", "spring", "front-right", "altered-badly", "dangerous"),
    ("5.3.2(a)", "damper", "rear-left", "mount-loose", "minor"),
    ("5.3.2(b)", "damper", "rear-left", "leaking", "major"),
    ("5.3.4(a)", "ball-joint", "front-left", "play", "major"),
    ("5.3.4(b)", "ball-joint", "front-left", "boot-hurt", "minor"),
    ("6.1.2(a)", "exhaust", "rear", "leaking", "major"),
    ("6.1.3(c)", "fuel-lines", None, "chafed", "minor"),
    ("6.1.7(g)", "cv-boot", "front-left", "hurt", "minor"),
    ("6.1.7(g)", "cv-boot", "front-left", "torn", "major"),
]
PART_570 = [
    ("570.5(a)", "brake-warning-lamp", None, "dead"),
    ("570.5(b)", "brake-pedal-hold", None, "sinks"),
    ("570.5(e)", "brake-hose", "front-left", "cracked"),
    ("570.5(e)", "brake-hose", "front-left", "flattened"),
    ("570.5(g)", "pads", "front-left", "lifting"),
    ("570.5(g)", "shoes", "rear-left", "cracked"),
    ("570.5(h)", "caliper", "front-left", "cracked"),
    ("570.6(a)", "servo-hose", None, "hissing"),
    ("570.6(a)", "brake-servo", None, "dead"),
    ("570.7(c)", "steering-turn", None, "jams"),
    ("570.7(e)", "power-steering-belt", None, "slips"),
    ("570.8(a)", "ball-joint", "front-left", "boot-gone"),
    ("570.8(a)", "spring", "front-left", "broken"),
    ("570.8(a)", "spring", "front-left", "too-long"),
    ("570.8(a)", "spring", "front-left", "spacer-single"),
    ("570.8(a)", "drop-link", "front", "off"),
    ("570.8(b)", "damper", "rear-left", "leaking"),
    ("570.9(b)", "tyre-match", "front", "builds-differ"),
    ("570.9(c)", "tyre", "front-left", "bulge"),
    ("570.9(d)", "tyre", "front-left", "cord"),
    ("570.10(a)", "wheel", "front-left", "welded"),
    ("570.10(c)", "wheel-nuts", "front-left", "one-off"),
]


def test_the_table_is_long_enough() -> None:
    assert len({*ANNEX_I}) >= 60
    assert len(ANNEX_I) + len(PART_570) >= 90


@pytest.mark.parametrize(("clause", "item", "place", "word", "klass"), ANNEX_I)
def test_annex_i(clause: str, item: str, place: str | None, word: str, klass: str) -> None:
    (found,) = inspected([finding(item, place, (word,))], EU).verdicts
    assert found.verdict == klass
    assert clause in [rule.clause for rule in found.rules if rule.class_ == klass]


@pytest.mark.parametrize(("clause", "item", "place", "word"), PART_570)
def test_part_570(clause: str, item: str, place: str | None, word: str) -> None:
    (found,) = inspected([finding(item, place, (word,))], US).verdicts
    assert found.verdict is Verdict.MAJOR
    assert clause in [rule.clause for rule in found.rules]


@pytest.mark.parametrize(
    ("pack", "item", "place", "word"),
    [
        (US, "spring", "front-left", "spacer-pair"),  # 570.8(a): tolerated in pairs
        (US, "ball-joint", "front-left", "boot-hurt"),  # only seals that are cut
        (EU, "damper", "rear-left", "misted"),
    ],
)
def test_what_a_law_lets_pass(pack: str, item: str, place: str, word: str) -> None:
    (found,) = inspected([finding(item, place, (word,))], pack).verdicts
    assert found.verdict is Verdict.PASSES
    assert found.readings[0].words == (word,), "and it is still told"


def test_washington_fails_the_spacers_that_the_model_lets_pass() -> None:
    """RCW 46.37.375(5): springs not extended by spacers (state code seen)."""
    spacers = [finding("spring", "front", ("spacer-pair",))]
    assert {one.verdict for one in inspected(spacers, US).verdicts} == {"passes"}
    assert {one.verdict for one in inspected(spacers, "us-570-washington").verdicts} == {"major"}


@pytest.mark.parametrize("item", ["handbrake-lever", "exhaust", "headlamp", "windscreen"])
def test_the_model_without_a_section_says_nothing(item: str) -> None:
    """49 CFR 570 subpart A has no parking-brake, lamp, exhaust or glazing section."""
    places = {"headlamp": "front-left", "exhaust": "rear"}
    found = inspected([finding(item, places.get(item))], US)
    assert not found.verdicts
    assert [one.item.id for one in found.unruled] == [item]
