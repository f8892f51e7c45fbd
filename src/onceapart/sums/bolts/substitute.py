"""Will the bolt found in the bin do? One small check an aspect, each graded and said in words."""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum

from onceapart.sums.bolts import corrosion, engagement, lengths, strength
from onceapart.sums.bolts.hardware import hardware_of
from onceapart.sums.bolts.joint import Fitted, Joint, Placed, metal_strength_mpa, needed_mm, place

AS_GOOD = "as good"
STOPGAP = "stopgap"
NOT_USABLE = "not usable"

LEAST_SHARE = 0.60
"""Share of the original's strength below which a weaker bolt is no stopgap either: our judgement, no
source."""
MOST_ADDED_WASHERS = 3
TIDY_ADDED_WASHERS = 2
"""Washers added beyond which the stack is a stopgap, and beyond which it will not do: common practice, no
source."""
HARDEST_TO_CUT_MPA = 850
"""A hand die cuts class 8.8 with trouble, and no harder: common practice, no source."""
MOST_CUT_DIAMETERS = 2.0
"""Diameters of thread worth cutting by hand: our judgement."""
LOOKALIKE_MM = 0.6
"""Diameters this close are taken for one another by eye: our judgement."""


class Grade(IntEnum):
    """How the found bolt compares in one aspect."""

    SAME = 0
    NO_WORSE = 1
    """Other than the original, but not weaker."""
    WORSE = 2
    FAILS = 3


@dataclass(frozen=True)
class Check:
    """One aspect compared."""

    aspect: str
    grade: Grade
    words: str


@dataclass(frozen=True)
class Substitution:
    """What was found out about the found bolt."""

    verdict: str
    checks: tuple[Check, ...]
    original: Placed
    found: Placed
    """With the washers that take up the length, if they can; else as it first meets the nut."""
    thread_to_cut_mm: float
    """Thread that would have to be cut towards the head instead of adding washers."""
    washers_needed: int
    """Washers that would take up the length, however many that is."""
    capacity_share: float
    """Proof or ultimate load over the original's, the lesser."""
    shear_share: float | None
    needed_mm: float
    """Engagement at which the found bolt breaks before a thread strips."""


def judge(original: Fitted, found: Fitted, joint: Joint) -> Substitution:
    """Compare a found bolt with the original in its joint.

    In a joint where a failure can kill, only a bolt the same in every aspect is as good; one that is other
    but not weaker is a stopgap, and one that is weaker in anything is not usable.
    """
    before = place(original, joint)
    least = washers_needed(found, joint)
    placed = place(found, joint, least if least <= MOST_ADDED_WASHERS else 0)
    share = capacity_share(original, found)
    shear_share = least_shear_share(original, found, joint)
    checks = [
        thread_check(original, found, joint),
        hole_check(original, found, joint),
        class_check(original, found, share),
        rust_check(found),
        length_check(found, joint, placed, least),
        end_check(found, joint, before, placed),
        engagement_check(original, found, joint, before, placed),
        shear_check(original, found, joint, shear_share),
    ]
    kept = tuple(check for check in checks if check is not None)
    return Substitution(
        verdict=verdict_of(kept, is_critical=joint.is_critical),
        checks=kept,
        original=before,
        found=placed,
        thread_to_cut_mm=thread_to_cut_mm(found, joint),
        washers_needed=least,
        capacity_share=share,
        shear_share=shear_share,
        needed_mm=needed_mm(found, joint),
    )


def verdict_of(checks: tuple[Check, ...], *, is_critical: bool) -> str:
    """The verdict the worst check leads to."""
    worst = max(check.grade for check in checks)
    if is_critical:
        return (AS_GOOD, STOPGAP, NOT_USABLE, NOT_USABLE)[worst]
    return (AS_GOOD, AS_GOOD, STOPGAP, NOT_USABLE)[worst]


def washers_needed(found: Fitted, joint: Joint) -> int:
    r"""Washers to add so that the found bolt clamps before its thread or the hole ends.

    Parameters
    ----------
    found : Fitted
        The bolt.
    joint : Joint
        The joint.

    Returns
    -------
    int
        Least number of washers to add. [-]

    Examples
    --------
    >>> from onceapart.sums.bolts.designation import parse_bolt
    >>> bolt = parse_bolt("M10x60 8.8")
    >>> joint = Joint(bolt.thread, "bracket", 26, 1, 2, "nut", "standard", "8", 11, None, ())
    >>> washers_needed(Fitted(bolt), joint)
    3

    References
    ----------
    .. [1] Geometry; thread length of ISO 4014.
    """
    bare = place(found, joint)
    return max(
        lengths.washers_to_take_up(bare.jam_mm, joint.washer_mm),
        lengths.washers_to_take_up(bare.bottom_mm, joint.washer_mm),
    )


def thread_to_cut_mm(found: Fitted, joint: Joint) -> float:
    r"""Thread to cut towards the head so that the found bolt clamps without washers.

    Parameters
    ----------
    found : Fitted
        The bolt.
    joint : Joint
        The joint.

    Returns
    -------
    float
        Length of thread to cut; nought if it clamps as it is. [mm]

    Notes
    -----
    What the nut lacks, and one pitch more, since the last turn a die cuts is not full.

    Examples
    --------
    >>> from onceapart.sums.bolts.designation import parse_bolt
    >>> bolt = parse_bolt("M10x60 8.8")
    >>> joint = Joint(bolt.thread, "bracket", 26, 1, 2, "nut", "standard", "8", 11, None, ())
    >>> thread_to_cut_mm(Fitted(bolt), joint)
    7.5

    References
    ----------
    .. [1] Geometry; thread length of ISO 4014.
    """
    jam = place(found, joint).jam_mm
    return jam + found.bolt.thread.pitch_mm if jam > 0 else 0.0


def capacity_share(original: Fitted, found: Fitted) -> float:
    r"""Strength of the found bolt over the original's.

    Parameters
    ----------
    original, found : Fitted
        The two bolts, the found one with its rust.

    Returns
    -------
    float
        The lesser of the shares of proof and of ultimate load. [-]

    Examples
    --------
    >>> from onceapart.sums.bolts.designation import parse_bolt
    >>> strong, weak = (Fitted(parse_bolt(f"M10x50 {mark}")) for mark in ("10.9", "8.8"))
    >>> round(capacity_share(strong, weak), 2)
    0.7

    References
    ----------
    .. [1] ISO 898-1:2013, Table 3; SAE J429.
    """
    areas = original.bolt.thread.stress_area_mm2, found.stress_area_mm2
    proofs = original.strength.proof_mpa, found.strength.proof_mpa
    ultimates = original.strength.tensile_mpa, found.strength.tensile_mpa
    return min(
        strength.proof_load_n(areas[1], proofs[1]) / strength.proof_load_n(areas[0], proofs[0]),
        strength.ultimate_load_n(areas[1], ultimates[1]) / strength.ultimate_load_n(areas[0], ultimates[0]),
    )


def least_shear_share(original: Fitted, found: Fitted, joint: Joint) -> float | None:
    """Load that shears the found bolt over the original's, in the plane where it is least; None without a
    plane."""
    shares = [
        found.shear_load_at_n(plane) / original.shear_load_at_n(plane) for plane in joint.shear_planes_mm
    ]
    return min(shares) if shares else None


def thread_check(original: Fitted, found: Fitted, joint: Joint) -> Check:
    """Does it screw in?"""
    ours, theirs = found.bolt.thread, original.bolt.thread
    if ours == theirs:
        return Check("thread", Grade.SAME, f"Same thread, {theirs}.")
    if joint.has_nut:
        return Check("thread", Grade.NO_WORSE, f"Thread {ours}, not {theirs}: it needs a nut of its own.")
    words = f"{ours} does not screw into a hole tapped {theirs}."
    if abs(ours.diameter_mm - theirs.diameter_mm) <= LOOKALIKE_MM:
        words += " It looks alike and may start by hand: forcing it strips the hole."
    return Check("thread", Grade.FAILS, words)


def hole_check(original: Fitted, found: Fitted, joint: Joint) -> Check:
    """Does it go through the parts, without slop?"""
    ours, theirs = found.bolt.thread.diameter_mm, original.bolt.thread.diameter_mm
    hole = joint.hole_mm
    if ours > hole:
        return Check("hole", Grade.FAILS, f"At {ours:.3g} mm it does not go through the {hole:.3g} mm hole.")
    if abs(ours - theirs) < 0.01:
        return Check("hole", Grade.SAME, f"Same diameter in the {hole:.3g} mm hole.")
    slop = f"{ours:.3g} mm in a {hole:.3g} mm hole, where the original has {theirs:.3g} mm"
    if hole > hardware_of(found.bolt.thread).hole_loose_mm:
        return Check("hole", Grade.WORSE, f"Sloppy: {slop}. Put a thick washer on each side.")
    return Check("hole", Grade.NO_WORSE, f"Fits the hole: {slop}.")


def class_check(original: Fitted, found: Fitted, share: float) -> Check:
    """Is it strong enough?"""
    ours, theirs = found.strength.name, original.strength.name
    pair = f"{strength.class_words(ours)} for {strength.class_words(theirs)}"
    pair = pair[0].upper() + pair[1:]
    same_thread = found.bolt.thread == original.bolt.thread
    if ours == theirs == "unmarked" and same_thread:
        return Check("class", Grade.NO_WORSE, "Neither is marked, so nobody knows that they are equal.")
    if ours == theirs and same_thread:
        return Check("class", Grade.SAME, f"Same class, {theirs}.")
    if share >= 1:
        words = f"{pair}: at least as strong."
        if found.strength.tensile_mpa > original.strength.tensile_mpa and same_thread:
            words += " Harder gains nothing at the original's torque, and stands notches and rust less well."
        return Check("class", Grade.NO_WORSE, words)
    taken = ", taken as the weakest" if ours == "unmarked" else ""
    grade = Grade.WORSE if share >= LEAST_SHARE else Grade.FAILS
    return Check("class", grade, f"{pair}{taken}: only {share:.0%} of the strength.")


def rust_check(found: Fitted) -> Check | None:
    """Is it rusted?"""
    if not found.loss_mm:
        return None
    left = found.stress_area_mm2 / found.bolt.thread.stress_area_mm2
    if left < corrosion.REPLACE_BELOW:
        return Check("rust", Grade.FAILS, f"Rust has left only {left:.0%} of its area.")
    return Check("rust", Grade.WORSE, f"Rust has left {left:.0%} of its area.")


def length_check(found: Fitted, joint: Joint, placed: Placed, least: int) -> Check:
    """Does it clamp before its thread, or the hole, ends?"""
    target = "nut" if joint.has_nut else "hole"
    if least == 0:
        return Check("length", Grade.SAME, f"The thread reaches: the {target} clamps before it runs out.")
    bare = place(found, joint)
    if bare.jam_mm > 0:
        trouble = f"The thread ends {bare.jam_mm:.3g} mm before the {target} clamps"
    else:
        trouble = f"It meets the bottom of the hole {bare.bottom_mm:.3g} mm before it clamps"
    many = f"{least} more washers" if least > 1 else "1 more washer"
    washers = f"{many} of {joint.washer_mm:.3g} mm would take it up"
    if least <= TIDY_ADDED_WASHERS:
        return Check("length", Grade.NO_WORSE, f"{trouble}; {washers}.")
    if least <= MOST_ADDED_WASHERS:
        return Check("length", Grade.WORSE, f"{trouble}; {washers}, a stack that settles and works loose.")
    cut = cutting_words(found, joint)
    if cut is None:
        return Check(
            "length", Grade.FAILS, f"{trouble}; {washers}: too many, and thread is not to be cut instead."
        )
    return Check("length", Grade.WORSE, f"{trouble}; {washers}: too many. Instead {cut}")


def cutting_words(found: Fitted, joint: Joint) -> str | None:
    """What cutting thread would take, in words; None where it must not or cannot be done."""
    length = thread_to_cut_mm(found, joint)
    start = found.where.thread_from_mm - length
    bottoms = place(found, joint).bottom_mm > 0
    in_shear = any(plane > start for plane in joint.shear_planes_mm)
    too_long = length > MOST_CUT_DIAMETERS * found.bolt.thread.diameter_mm
    too_hard = found.strength.tensile_mpa > HARDEST_TO_CUT_MPA
    if joint.is_critical or bottoms or in_shear or too_long or too_hard:
        return None
    return (
        f"cut {length:.3g} mm of thread with a die: cut thread is weaker than rolled, has no plating, and "
        "the nut must run on by hand."
    )


def end_check(found: Fitted, joint: Joint, before: Placed, placed: Placed) -> Check | None:
    """Is the end of the bolt where it should be: past the nut, or short of the bottom of the hole?"""
    pitch = found.bolt.thread.pitch_mm
    if max(placed.jam_mm, placed.bottom_mm) > 0 and cutting_words(found, joint) is None:
        return None  # it never gets there
    if not joint.has_nut:
        if joint.hole_depth_mm is None and placed.past_mm > before.past_mm + pitch / 2:
            deeper = placed.past_mm - before.past_mm
            words = f"It goes {deeper:.3g} mm deeper than the original and may bottom: measure the hole."
            return Check("end", Grade.WORSE, words)
        if joint.hole_depth_mm is None:
            return Check("end", Grade.SAME, "It goes no deeper than the original; the hole was not measured.")
        return Check("end", Grade.SAME, "It ends short of the bottom of the hole.")
    shown = (placed.past_mm + lengths.A_HAIR_MM) / pitch
    if shown < 0:
        return Check(
            "end", Grade.WORSE, f"The nut is not full: {-placed.past_mm:.3g} mm of thread is missing."
        )
    if shown < lengths.LEAST_PROTRUSION_PITCHES:
        return Check("end", Grade.WORSE, f"Only {shown:.2g} threads show past the nut; at least one should.")
    if shown <= 5 or abs(placed.past_mm - before.past_mm) < pitch / 2:
        return Check("end", Grade.SAME, f"{shown:.2g} threads show past the nut.")
    if shown <= lengths.MOST_PROTRUSION_PITCHES:
        return Check(
            "end", Grade.NO_WORSE, f"{shown:.2g} threads show past the nut: more than the usual five."
        )
    words = f"{shown:.3g} threads show past the nut, ten are the most: saw it off if it can touch anything."
    return Check("end", Grade.WORSE, words)


def engagement_check(original: Fitted, found: Fitted, joint: Joint, before: Placed, placed: Placed) -> Check:
    """Does enough thread hold?"""
    need, have = needed_mm(found, joint), placed.engaged_mm
    at_least_before = have >= before.engaged_mm - 0.05 * found.bolt.thread.pitch_mm
    implausible = have < need and is_shallow(placed, found, joint)
    if at_least_before and found.bolt.thread == original.bolt.thread and not implausible:
        words = f"{have:.3g} mm of thread engaged, no less than the original"
        if have < need:
            words += f"; breaking the bolt before the thread would take {need:.3g} mm"
        return Check("engagement", Grade.SAME, f"{words}.")
    if have >= need:
        return Check("engagement", Grade.NO_WORSE, f"{have:.3g} mm of thread engaged, {need:.3g} mm needed.")
    metal = metal_strength_mpa(found, joint)
    strips = engagement.stripping_load_n(found.bolt.thread, have, found.strength.tensile_mpa, metal)
    proof = strength.proof_load_n(found.stress_area_mm2, found.strength.proof_mpa)
    words = f"Only {have:.3g} mm of thread engaged, {need:.3g} mm needed: it strips before the bolt breaks."
    return Check("engagement", Grade.WORSE if strips >= proof else Grade.FAILS, words)


def is_shallow(placed: Placed, fitted: Fitted, joint: Joint) -> bool:
    """Less in a tapped hole, the chamfered end counted, than any rule of thumb asks for in any metal."""
    if joint.has_nut:
        return False
    thread = fitted.bolt.thread
    least = min(metal.rule[0] for metal in engagement.METALS.values()) * thread.diameter_mm
    return placed.engaged_mm + thread.pitch_mm < least - lengths.A_HAIR_MM


def shear_check(original: Fitted, found: Fitted, joint: Joint, share: float | None) -> Check:
    """Is the plain shank where the shear is?"""
    if share is None:
        if found.where.shank_mm >= original.where.shank_mm - found.bolt.thread.pitch_mm:
            return Check("shear", Grade.SAME, "Its plain shank is no shorter than the original's.")
        shanks = f"{found.where.shank_mm:.3g} mm, the original's {original.where.shank_mm:.3g} mm"
        words = (
            f"Its plain shank is {shanks}: look where the parts slide on each other, and give it as shear."
        )
        return Check("shear", Grade.NO_WORSE, words)
    in_thread = [plane for plane in joint.shear_planes_mm if plane > found.where.shank_mm]
    lost = [plane for plane in in_thread if plane <= original.where.shank_mm]
    if lost:
        where = f"The thread lies in the plane of shear at {lost[0]:.3g} mm, where the original has its shank"
    elif in_thread:
        where = "Thread lies in the plane of shear, as with the original"
    else:
        where = "The plain shank is where the shear is"
    words = f"{where}; it carries {share:.0%} of the original's shear."
    if share >= 1 - 1e-9 and not lost:
        same = found.strength.name == original.strength.name and share <= 1 + 1e-9
        return Check("shear", Grade.SAME if same else Grade.NO_WORSE, words)
    return Check("shear", Grade.WORSE if share >= LEAST_SHARE else Grade.FAILS, words)
