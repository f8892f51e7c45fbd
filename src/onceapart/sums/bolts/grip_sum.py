"""Grip: what thickness a bolt and nut can clamp."""

from __future__ import annotations

from onceapart.sums.bolts import lengths, sources
from onceapart.sums.bolts.asks import BOLT_WITH_LENGTH, MEASURED_THREAD, NUT, THREADED, WASHER
from onceapart.sums.bolts.designation import Bolt
from onceapart.sums.bolts.hardware import hardware_of, lengths_sold_mm, nut_height_mm
from onceapart.sums.inputs import QuantityInput
from onceapart.sums.registry import Sum
from onceapart.sums.result import Output, Result, Value


def grip_answer(
    bolt: Bolt,
    threaded: str,
    thread_mm: float | None,
    washers: int,
    washer_thickness_mm: float | None,
    nut: str,
    grip_mm: float | None,
) -> Result:
    """What thickness a bolt can clamp with a nut, and whether a given one fits."""
    thread, length = bolt.thread, bolt.length_mm
    assert length is not None
    goes_with = hardware_of(thread)
    nut_mm = nut_height_mm(thread, nut)
    where = lengths.threaded(thread, length, is_fully_threaded=threaded == "full", measured_mm=thread_mm)
    washer = goes_with.washer_thickness_mm if washer_thickness_mm is None else washer_thickness_mm
    shown = lengths.LEAST_PROTRUSION_PITCHES * thread.pitch_mm
    most_stack = length - nut_mm - shown
    values: dict[str, Value] = {
        "thread_length": length - where.thread_from_mm,
        "shank": where.shank_mm,
        "thread_from": where.thread_from_mm,
        "least_grip": max(0.0, where.thread_from_mm - washers * washer),
        "most_grip": max(0.0, most_stack - washers * washer),
        "protrusion": None,
        "length_needed": None,
    }
    extras = f"{washers} x {washer:.3g} mm of washers, a {nut} nut of {nut_mm:.3g} mm"
    reasons = [f"Counted with {extras} and one thread showing."]
    verdict = ""
    if most_stack < where.thread_from_mm:
        reasons.append("The thread is shorter than the nut needs: no thickness can be clamped with this nut.")
    if grip_mm is not None:
        stack = grip_mm + washers * washer
        values["protrusion"] = lengths.protrusion_mm(length, stack, nut_mm)
        values["length_needed"] = _length_to_buy_mm(bolt, stack, nut_mm, threaded)
        verdict, why = _grip_verdict(bolt, stack, nut_mm, where)
        reasons.append(why)
    return Result(values=values, verdict=verdict, reasons=tuple(reasons))


def _grip_verdict(bolt: Bolt, stack: float, nut_mm: float, where: lengths.Threaded) -> tuple[str, str]:
    assert bolt.length_mm is not None
    pitch = bolt.thread.pitch_mm
    shown = lengths.protrusion_mm(bolt.length_mm, stack, nut_mm)
    hair = lengths.A_HAIR_MM
    if shown < -hair:
        return "too short", f"The nut would lack {-shown:.3g} mm of thread."
    if stack < where.thread_from_mm - hair:
        short = where.thread_from_mm - stack
        return "runs out of thread", f"The nut jams on the shank {short:.3g} mm before it clamps."
    if shown < lengths.LEAST_PROTRUSION_PITCHES * pitch - hair:
        return "too short", f"Only {shown / pitch:.2g} threads show past the nut; at least one should."
    if shown > lengths.MOST_PROTRUSION_PITCHES * pitch + hair:
        return "too long", f"{shown / pitch:.3g} threads show past the nut; never more than ten."
    many = " Five are enough where it can be had." if shown > 5 * pitch else ""
    return "fits", f"{shown / pitch:.2g} threads show past the nut.{many}"


def _length_to_buy_mm(bolt: Bolt, stack: float, nut_mm: float, threaded: str) -> float | None:
    full = threaded == "full"
    need = lengths.least_length_mm(stack, nut_mm, bolt.thread.pitch_mm)
    for length in lengths_sold_mm(bolt.thread, is_fully_threaded=full):
        if length >= need and length > bolt.thread.diameter_mm:
            where = lengths.threaded(bolt.thread, length, is_fully_threaded=full)
            return length if where.thread_from_mm <= stack else None
    return None


GRIP = Sum(
    name="bolt-grip",
    title="Thread length and grip range",
    question="What thickness can this bolt and nut clamp, and is it right for mine?",
    inputs=(
        BOLT_WITH_LENGTH,
        THREADED,
        MEASURED_THREAD,
        QuantityInput(
            name="washers", label="Washers", unit="", low=0, high=8, whole=True, default="1", example="1"
        ),
        WASHER,
        NUT,
        QuantityInput(
            name="grip",
            label="Clamped parts",
            unit="mm",
            low=0.5,
            high=300,
            optional=True,
            example="34 mm",
            help="Thickness of the parts between head and nut, without washers.",
        ),
    ),
    outputs=(
        Output(name="thread_length", label="Length of thread", unit="mm"),
        Output(name="shank", label="Full plain shank, at least", unit="mm"),
        Output(name="thread_from", label="Thread begins, under the head", unit="mm"),
        Output(name="least_grip", label="Thinnest parts it clamps", unit="mm"),
        Output(name="most_grip", label="Thickest parts it clamps", unit="mm"),
        Output(name="protrusion", label="Shows past the nut on yours", unit="mm"),
        Output(name="length_needed", label="Length to buy for yours", unit="mm", digits=4),
    ),
    sources=(
        sources.THREAD_LENGTH,
        sources.SHANK,
        sources.INCH_THREAD_LENGTH,
        sources.HEADS_AND_NUTS,
        sources.WASHER_NOMINAL,
        sources.INCH_HARDWARE,
        sources.PROTRUSION,
        sources.TWO_THREADS,
    ),
    example={"bolt": "M10x60", "grip": "34 mm"},
    cautions=(sources.SAFETY_PARTS,),
    verdicts=("fits", "too short", "too long", "runs out of thread"),
    answer=grip_answer,
)
