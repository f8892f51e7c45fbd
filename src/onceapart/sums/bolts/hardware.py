"""What goes with a bolt: head, nuts, washer, holes and lengths sold."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from onceapart.errors import SumError
from onceapart.sums.bolts.tables import inches, read_table
from onceapart.sums.bolts.threads import MM_PER_INCH, Thread

ISO_4014_LENGTHS_MM = (
    *(12, 16, 20, 25, 30, 35, 40, 45, 50, 55, 60, 65, 70, 80, 90, 100),
    *(110, 120, 130, 140, 150, 160, 180, 200, 220, 240, 260, 280, 300),
)
"""Preferred lengths with a plain shank (no 75, 85 or 95), as in the tables of the library bd_warehouse
0.4.0."""
ISO_4017_LENGTHS_MM = (
    *(2, 3, 4, 5, 6, 8, 10, 12, 16, 20, 25, 30, 35, 40, 45, 50, 55, 60, 65, 70, 80, 90, 100),
    *(110, 120, 130, 140, 150, 160, 180, 200),
)
"""Preferred lengths threaded to the head, from the same tables."""
UNIFIED_LENGTHS_MM = tuple(
    round(step * MM_PER_INCH / 8, 3) for step in (*range(4, 12), *range(12, 40, 2), *range(40, 97, 4))
)
"""Half an inch to twelve inches, by 1/8, then 1/4, then 1/2: common practice, no source."""

NUT_KINDS = ("standard", "high", "thin")


@dataclass(frozen=True)
class Hardware:
    """Sizes that go with a thread, mm."""

    head_height_mm: float
    across_flats_mm: float
    nut_mm: dict[str, float]
    """Height by kind: ``standard``, and ``high`` and ``thin`` where the table has them."""
    washer_outside_mm: float
    washer_thickness_mm: float
    """Nominal."""
    hole_close_mm: float
    hole_normal_mm: float
    hole_loose_mm: float


@cache
def hardware_of(thread: Thread) -> Hardware:
    """The hexagon head, nuts, plain washer and clearance holes of a thread's size."""
    table = "metric_hardware" if thread.system == "metric" else "unified_hardware"
    row = next(row for row in read_table(table) if row["size"] == thread.size)

    def size(key: str) -> float:
        return float(row[key]) if thread.system == "metric" else inches(row[key]) * MM_PER_INCH

    return Hardware(
        head_height_mm=size("head_height"),
        across_flats_mm=size("across_flats"),
        nut_mm={kind: size(f"nut_{kind}") for kind in NUT_KINDS if row.get(f"nut_{kind}")},
        washer_outside_mm=size("washer_outside"),
        washer_thickness_mm=size("washer_thickness"),
        hole_close_mm=size("hole_close"),
        hole_normal_mm=size("hole_normal"),
        hole_loose_mm=size("hole_loose"),
    )


def lengths_sold_mm(thread: Thread, *, is_fully_threaded: bool) -> tuple[float, ...]:
    r"""Lengths a counter is likely to have.

    Parameters
    ----------
    thread : Thread
        The bolt's thread.
    is_fully_threaded : bool
        Threaded to the head (ISO 4017) rather than with a plain shank (ISO 4014).

    Returns
    -------
    tuple of float
        Lengths under the head, shortest first. [mm]

    Examples
    --------
    >>> from onceapart.sums.bolts.designation import parse_bolt
    >>> lengths_sold_mm(parse_bolt("M10").thread, is_fully_threaded=True)[:3]
    (2, 3, 4)

    References
    ----------
    .. [1] ISO 4014 and ISO 4017, preferred lengths (as a library has them); inch steps are common practice.
    """
    if thread.system == "unified":
        return UNIFIED_LENGTHS_MM
    return ISO_4017_LENGTHS_MM if is_fully_threaded else ISO_4014_LENGTHS_MM


def nut_height_mm(thread: Thread, nut: str) -> float:
    r"""Height of a nut of a kind.

    Parameters
    ----------
    thread : Thread
        The thread it goes on.
    nut : str
        ``standard``, ``high`` or ``thin``.

    Returns
    -------
    float
        Height, at most. [mm]

    Examples
    --------
    >>> from onceapart.sums.bolts.designation import parse_bolt
    >>> nut_height_mm(parse_bolt("M10").thread, "standard")
    8.4

    References
    ----------
    .. [1] ISO 4032, 4033, 4035; inch nuts ASME B18.2.2 (from memory).
    """
    heights = hardware_of(thread).nut_mm
    if nut not in heights:
        raise SumError(f"{nut} nut: none in the table for {thread}; there is {', '.join(heights)}")
    return heights[nut]
