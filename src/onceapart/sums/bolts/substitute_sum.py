"""Substitute bolt: will the one found in the bin do?"""

from __future__ import annotations

from onceapart.errors import SumError
from onceapart.sums.bolts import engagement, lengths, sources, strength, substitute, tightening
from onceapart.sums.bolts.asks import INTO, MEASURED_THREAD, NUT, NUT_CLASS, THREADED, WASHER
from onceapart.sums.bolts.designation import Bolt, parse_whole_bolt
from onceapart.sums.bolts.engagement import least_nut_class
from onceapart.sums.bolts.hardware import hardware_of, lengths_sold_mm
from onceapart.sums.bolts.joint import CRITICAL, ORDINARY, Fitted, Joint, metal_strength_mpa, place
from onceapart.sums.bolts.substitute import AS_GOOD, NOT_USABLE, STOPGAP, Grade, Substitution
from onceapart.sums.bolts.substitute_drawing import draw_substitute
from onceapart.sums.inputs import ChoiceInput, QuantityInput, RowsInput, TextInput
from onceapart.sums.present import show_value
from onceapart.sums.registry import Source, Status, Sum
from onceapart.sums.result import Output, Result

USUAL_NUT_FACTOR = 0.20
"""Shigley and Mischke, 5th ed., ch. 8, after Bowman: K where nothing is known (seen)."""


def substitute_answer(
    original: Bolt,
    found: Bolt,
    grip_mm: float,
    holds: str,
    into: str,
    washers: int,
    washer_thickness_mm: float | None,
    original_threaded: str,
    found_threaded: str,
    thread_mm: float | None,
    nut: str,
    nut_class: str | None,
    hole_mm: float | None,
    hole_depth_mm: float | None,
    shear_mm: tuple[float, ...] | None,
    loss_mm: float,
    torque_nm: float | None,
) -> Result:
    """Judge a found bolt, say why, what it would take, and draw it."""
    goes_with = hardware_of(original.thread)
    first = Fitted(original, original_threaded == "full")
    second = Fitted(found, found_threaded == "full", thread_mm, loss_mm)
    if nut_class is None and original.thread.system == "metric":
        nut_class = least_nut_class(first.strength.name)
    joint = Joint(
        thread=original.thread,
        holds=holds,
        grip_mm=grip_mm,
        washers=washers,
        washer_mm=goes_with.washer_thickness_mm if washer_thickness_mm is None else washer_thickness_mm,
        into=into,
        nut=nut,
        nut_class=nut_class,
        hole_mm=goes_with.hole_normal_mm if hole_mm is None else hole_mm,
        hole_depth_mm=hole_depth_mm,
        shear_planes_mm=tuple(sorted(shear_mm or ())),
    )
    _refuse_what_cannot_be(first, joint)
    outcome = substitute.judge(first, second, joint)
    torque = most_torque_nm(first, second, joint, outcome, torque_nm)
    usable = outcome.verdict != NOT_USABLE
    added = outcome.washers_needed
    return Result(
        values={
            "washers_to_add": added,
            "thread_to_cut": outcome.thread_to_cut_mm or None,
            "engaged": outcome.found.engaged_mm,
            "engagement_needed": outcome.needed_mm,
            "protrusion": outcome.found.past_mm if joint.has_nut and outcome.found.jam_mm <= 0 else None,
            "capacity_share": 100 * outcome.capacity_share,
            "shear_share": None if outcome.shear_share is None else 100 * outcome.shear_share,
            "most_torque": torque if usable else None,
            "lengths": lengths_that_fit(second, joint),
        },
        verdict=outcome.verdict,
        reasons=_reasons(outcome),
        warnings=tuple(_warnings(first, second, joint, outcome, torque)),
        drawing=draw_substitute(first, second, joint, outcome),
    )


def _refuse_what_cannot_be(original: Fitted, joint: Joint) -> None:
    if original.bolt.thread.diameter_mm > joint.hole_mm:
        raise SumError(
            f"hole {joint.hole_mm:g} mm: the original, {original.bolt}, does not go through it; measure again"
        )
    deepest = joint.grip_mm + joint.washers * joint.washer_mm
    beyond = [plane for plane in joint.shear_planes_mm if plane >= deepest]
    if beyond:
        rule = f"must be less than the {deepest:.3g} mm between head and nut"
        raise SumError(f"shear {beyond[0]:g} mm: {rule}; measure from under the head")


def most_torque_nm(
    original: Fitted, found: Fitted, joint: Joint, outcome: Substitution, manual_nm: float | None
) -> float:
    r"""Torque not to go past with the found bolt.

    Parameters
    ----------
    original, found : Fitted
        The two bolts.
    joint : Joint
        Where they go.
    outcome : Substitution
        What was found out.
    manual_nm : float or None
        Torque the manual gives for the original. [N·m]

    Returns
    -------
    float
        Torque; the manual's, cut down as the found bolt is weaker, thinner or holds in less thread, or
        reckoned with K = 0.20. [N·m]

    Notes
    -----
    At equal K torque goes with preload times diameter, so the manual's is scaled by both; it is never raised.
    A reckoned preload stays below three quarters of the proof load and of what strips the thread engaged.

    Examples
    --------
    >>> from onceapart.sums.bolts.designation import parse_bolt
    >>> from onceapart.sums.bolts.substitute import judge
    >>> strong, weak = (Fitted(parse_bolt(f"M10x50 {mark}")) for mark in ("10.9", "8.8"))
    >>> joint = Joint(strong.bolt.thread, "bracket", 30, 1, 2, "nut", "standard", "10", 11, None, ())
    >>> round(most_torque_nm(strong, weak, joint, judge(strong, weak, joint), 70))
    49

    References
    ----------
    .. [1] Shigley's Mechanical Engineering Design, ch. 8 (T = K F d, preload 0.75 of proof).
    """
    thinner = found.bolt.thread.diameter_mm / original.bolt.thread.diameter_mm
    strips = [
        engagement.stripping_load_n(
            each.bolt.thread,
            placed.engaged_mm,
            each.strength.tensile_mpa,
            metal_strength_mpa(each, joint),
        )
        for each, placed in ((original, outcome.original), (found, outcome.found))
    ]
    if manual_nm is not None:
        holds = strips[1] / strips[0] if strips[0] > 0 else 1.0
        return manual_nm * min(1.0, outcome.capacity_share, holds) * min(1.0, thinner)
    proofs = (
        strength.proof_load_n(each.stress_area_mm2, each.strength.proof_mpa) for each in (original, found)
    )
    preload = tightening.preload_n(min(*proofs, strips[1]))
    return tightening.torque_nm(USUAL_NUT_FACTOR, preload, found.bolt.thread.diameter_mm)


def lengths_that_fit(found: Fitted, joint: Joint) -> str | None:
    """Lengths of the found bolt's thread that would clamp this joint without more washers, in words."""
    if not joint.has_nut:
        return None
    words = []
    for kind, full in (("with a shank", False), ("threaded to the head", True)):
        fitting = []
        for length in lengths_sold_mm(found.bolt.thread, is_fully_threaded=full):
            if length <= 2 * found.bolt.thread.diameter_mm and not full:
                continue
            bolt = Bolt(found.bolt.thread, found.bolt.strength, length)
            if length <= found.bolt.thread.diameter_mm:
                continue
            placed = place(Fitted(bolt, full), joint)
            pitch = found.bolt.thread.pitch_mm
            if placed.jam_mm <= 0 and 1 <= placed.past_mm / pitch <= lengths.MOST_PROTRUSION_PITCHES:
                fitting.append(f"{length:g}")
        if fitting:
            words.append(f"{' '.join(fitting)} mm {kind}")
    return "; ".join(words) or None


def _reasons(outcome: Substitution) -> tuple[str, ...]:
    """The checks in words, the worst first."""
    names = {
        Grade.SAME: "same",
        Grade.NO_WORSE: "other, no worse",
        Grade.WORSE: "worse",
        Grade.FAILS: "fails",
    }
    ranked = sorted(outcome.checks, key=lambda check: -check.grade)
    return tuple(f"{check.aspect.capitalize()} ({names[check.grade]}): {check.words}" for check in ranked)


def _warnings(
    original: Fitted, found: Fitted, joint: Joint, outcome: Substitution, torque: float
) -> list[str]:
    warnings = []
    before = outcome.original
    fits = before.jam_mm <= 0 and before.bottom_mm <= 0 and (before.past_mm >= 0 or not joint.has_nut)
    if not fits or substitute.is_shallow(before, original, joint):
        warnings.append("By these figures the original did not fit either: check grip, washers and length.")
    if outcome.thread_to_cut_mm and substitute.cutting_words(found, joint) is None:
        warnings.append("Do not cut thread on it: the length is given for comparison only.")
    if outcome.verdict == NOT_USABLE:
        if joint.is_critical:
            warnings.append(f"Do not drive: a failure of this bolt in the {joint.holds} can kill.")
        return warnings
    if outcome.verdict == STOPGAP:
        warnings += _limits(original, joint, outcome, torque)
    if found.strength.name.startswith("A") and found.strength.name != original.strength.name:
        warnings.append(
            "Stainless seizes on stainless and eats aluminium and plain steel beside it: paste it."
        )
    if joint.is_critical:
        warnings.append(
            "The manual's part number goes before this sum, even where the sum finds nothing against it."
        )
    return warnings


def _limits(original: Fitted, joint: Joint, outcome: Substitution, torque: float) -> list[str]:
    """What a stopgap may and may not do."""
    limits = [f"Enter it as a snag that stays open until {original.bolt} is in its place."]
    if joint.is_critical:
        limits.append(
            f"Do not drive on it until a second person who knows the {joint.holds}, best a licensed "
            "mechanic, has looked and signed for it; then only to where it can be put right."
        )
    added = outcome.found.added_washers
    if added:
        side = "nut" if joint.has_nut else "head"
        limits.append(f"Put {added} more hardened washer{'s' if added > 1 else ''} under the {side}.")
    most = show_value(torque, "N·m")
    limits.append(f"Tighten it to {most} at most, and to the manual's torque if that is less.")
    limits.append("Look whether it is tight after 50 km, and each time the car is up.")
    if outcome.capacity_share < 1:
        limits.append(f"Load the joint to no more than {outcome.capacity_share:.0%} of what it was made for.")
    return limits


def _whole_bolt(name: str, label: str, example: str, help_text: str) -> TextInput:
    return TextInput(
        name=name,
        label=label,
        parse=parse_whole_bolt,
        what="thread, length under the head, and class",
        example=example,
        help=help_text,
    )


def _threaded(name: str, label: str) -> ChoiceInput:
    return ChoiceInput(name=name, label=label, choices=THREADED.choices, default="part", example="part")


SUBSTITUTE = Sum(
    name="bolt-substitute",
    title="Substitute bolt",
    question="Will the bolt found in the bin do in place of the original?",
    inputs=(
        _whole_bolt("original", "Original bolt", "M10x50 8.8", "As the manual or the old bolt has it."),
        _whole_bolt(
            "found", "Bolt found", "M10x60 8.8", "Class from the mark on the head; 'unmarked' if none."
        ),
        QuantityInput(
            name="grip",
            label="Clamped parts",
            unit="mm",
            low=0.5,
            high=250,
            example="32 mm",
            help="Thickness of the parts between head and nut (or hole), without washers.",
        ),
        ChoiceInput(
            name="holds",
            label="It holds",
            choices={**CRITICAL, **ORDINARY},
            example="bracket",
            help="What hangs on it.",
        ),
        INTO,
        QuantityInput(
            name="washers",
            label="Washers as fitted now",
            unit="",
            low=0,
            high=6,
            whole=True,
            default="1",
            example="1",
        ),
        WASHER,
        _threaded("original-threaded", "The original is threaded"),
        _threaded("found-threaded", "The found one is threaded"),
        MEASURED_THREAD,
        NUT,
        NUT_CLASS,
        QuantityInput(
            name="hole",
            label="Hole through the parts",
            unit="mm",
            low=4,
            high=40,
            optional=True,
            example="11 mm",
            help="The normal clearance hole of the original if not given.",
        ),
        QuantityInput(
            name="hole-depth",
            label="Full thread in the tapped hole",
            unit="mm",
            low=2,
            high=150,
            optional=True,
            example="20 mm",
        ),
        RowsInput(
            name="shear",
            label="Planes of shear",
            columns=(
                QuantityInput(
                    name="at", label="From under the head", unit="mm", low=0.1, high=250, example="12 mm"
                ),
            ),
            most=6,
            optional=True,
            example="12 mm; 26 mm",
            help="Where the parts can slide on each other.",
        ),
        QuantityInput(
            name="loss",
            label="Steel rusted off each side of the found one",
            unit="mm",
            low=0,
            high=5,
            default="0 mm",
            example="0.2 mm",
        ),
        QuantityInput(
            name="torque",
            label="Torque the manual gives for the original",
            unit="N·m",
            low=0.5,
            high=1000,
            optional=True,
            example="45 N·m",
        ),
    ),
    outputs=(
        Output(name="washers_to_add", label="Washers that would take up the length", unit=""),
        Output(name="thread_to_cut", label="Or thread to be cut instead", unit="mm"),
        Output(name="engaged", label="Thread engaged", unit="mm"),
        Output(name="engagement_needed", label="Thread engagement needed", unit="mm"),
        Output(name="protrusion", label="Shows past the nut", unit="mm"),
        Output(name="capacity_share", label="Strength over the original's", unit="%"),
        Output(name="shear_share", label="Shear over the original's", unit="%"),
        Output(name="most_torque", label="Torque not to go past", unit="N·m"),
        Output(name="lengths", label="Lengths that would fit as they are", unit=None),
    ),
    sources=(
        sources.THREAD_LENGTH,
        sources.SHANK,
        sources.INCH_THREAD_LENGTH,
        sources.PROTRUSION,
        sources.STRIPPING,
        sources.STRIPPING_HOLE,
        sources.TOLERANCES,
        sources.NUT_CLASS,
        sources.HOLE_METALS,
        sources.SHEAR,
        sources.TORQUE,
        sources.HEADS_AND_NUTS,
        sources.WASHER_NOMINAL,
        sources.HOLES,
        sources.INCH_HARDWARE,
        sources.RUST_GEOMETRY,
        sources.RUST_LIMIT,
        Source(
            "our judgement", "", Status.COMMON_PRACTICE, "grades, 60% least strength, 3 more washers at most"
        ),
        *sources.STRENGTHS,
    ),
    example={
        "original": "M10x50 10.9",
        "found": "M10x60 8.8",
        "grip": "30 mm",
        "holds": "bracket",
        "shear": "15 mm",
        "torque": "60 Nm",
    },
    cautions=(sources.SAFETY_PARTS, sources.CROSS_CHECK, sources.RENEW),
    verdicts=(AS_GOOD, STOPGAP, NOT_USABLE),
    answer=substitute_answer,
)
