"""Where the figures of this family come from, each with how far it was seen."""

from __future__ import annotations

from onceapart.sums.registry import Source, Status

STRESS_AREA = Source(
    "ISO 898-1:2013", "stress areas of Tables 4 to 7", Status.VERIFIED, "metric stress area (seen in copies)"
)
UNIFIED_AREA = Source("ASME B1.1", "tensile stress area", Status.FROM_MEMORY, "inch stress area")
PROFILE = Source("ISO 724", "basic dimensions", Status.VERIFIED, "pitch and minor diameter (seen in copies)")
ROOT = Source("ISO 898-1 and DIN 13", "root diameter", Status.FROM_MEMORY, "root diameter of the bolt")
ISO_CLASSES = Source(
    "ISO 898-1:2013", "Tables 3 to 5", Status.VERIFIED, "strength of 4.6, 5.8, 8.8, 10.9, 12.9, seen as loads"
)
ISO_CLASSES_REST = Source(
    "ISO 898-1:2013", "Table 3", Status.FROM_MEMORY, "yield stresses, and classes 4.8, 5.6, 6.8 and 9.8"
)
SAE_GRADES = Source("SAE J429", "", Status.VERIFIED, "strength of grades 2, 5 and 8 (two copies)")
STAINLESS = Source(
    "ISO 3506-1", "", Status.FROM_MEMORY, "stainless; its proof stress is our 0.9 of the 0.2 % stress"
)
UNMARKED = Source(
    "trade", "", Status.COMMON_PRACTICE, "a bolt without a mark is taken as the weakest of its kind"
)
STRENGTHS = (ISO_CLASSES, ISO_CLASSES_REST, SAE_GRADES, STAINLESS, UNMARKED)

HEADS_AND_NUTS = Source(
    "ISO 4014, 4017, 4032, 4033, 4035, 7089", "tables of dimensions", Status.VERIFIED, "as a library has them"
)
WASHER_NOMINAL = Source("ISO 7089", "thickness", Status.FROM_MEMORY, "nominal thickness of a plain washer")
HOLES = Source(
    "ISO 273",
    "clearance holes",
    Status.VERIFIED,
    "as a library has them; M12 to M16 normal, loose from memory",
)
INCH_HARDWARE = Source(
    "ASME B18.2.1, B18.2.2, B18.21.1", "tables of dimensions", Status.FROM_MEMORY, "inch heads, nuts, washers"
)
THREAD_LENGTH = Source(
    "ISO 4014", "thread length b", Status.VERIFIED, "M5 to M10 seen in a copy, the others by the formula"
)
SHANK = Source(
    "ISO 4014 and ISO 4017",
    "notes to the tables",
    Status.FROM_MEMORY,
    "run-out 5 P, plain 3 P under the head",
)
INCH_THREAD_LENGTH = Source("ASME B18.2.1", "", Status.FROM_MEMORY, "thread length of inch cap screws")
PROTRUSION = Source(
    "Naval Ships' Technical Manual",
    "ch. 075",
    Status.VERIFIED,
    "1 to 5, never more than 10 threads (two quotes)",
)
TWO_THREADS = Source("fastener trade", "", Status.COMMON_PRACTICE, "two threads past the nut")

TORQUE = Source(
    "Shigley's Mechanical Engineering Design", "ch. 8", Status.VERIFIED, "T = K F d; preload 0.75, 0.90 proof"
)
NUT_FACTORS = Source(
    "Bowman, Fastener Facts (1985); Handbook of Bolts and Bolted Joints, ch. 2; a maker's chart",
    "tables of K",
    Status.VERIFIED,
    "K as a band, as the sources disagree",
)
NUT_FACTOR_RUST = Source("workshop lore", "", Status.FROM_MEMORY, "K of rusty threads")
RUNNING = Source(
    "NASA-STD-5020 and MSFC-STD-486B", "", Status.FROM_MEMORY, "running torque is added to the torque"
)
LOCKING = Source("ISO 2320", "class 8", Status.FROM_MEMORY, "running torque of locking nuts")

STRIPPING = Source(
    "FED-STD-H28/2B; Machinery's Handbook, 24th ed.",
    "engagement of threads",
    Status.VERIFIED,
    "length of engagement (formula quoted)",
)
STRIPPING_HOLE = Source(
    "FED-STD-H28/2B", "internal thread", Status.FROM_MEMORY, "shear area of the hole's thread"
)
TOLERANCES = Source("ISO 965-1; ASME B1.1", "6g/6H; 2A/2B", Status.FROM_MEMORY, "limits of size, not rounded")
NUT_CLASS = Source("ISO 898-2", "", Status.FROM_MEMORY, "nut classes and which bolt they go with")
HOLE_METALS = Source("handbooks", "", Status.FROM_MEMORY, "low strengths of steel, iron and aluminium")
ENGAGEMENT_RULE = Source(
    "engine maker's guide and a technical page", "", Status.VERIFIED, "1 d steel, up to 2 d aluminium"
)

SHEAR = Source("distortion energy", "0.577", Status.FROM_MEMORY, "shear over tensile strength")
EUROCODE_SHEAR = Source("EN 1993-1-8", "Table 3.4", Status.FROM_MEMORY, "design resistance in shear")
SLIP = Source("handbooks", "", Status.FROM_MEMORY, "friction of plain steel 0.15 to 0.20")

RUST_GEOMETRY = Source("geometry", "", Status.DERIVED, "what even loss leaves of a thread")
RUST_RATES = Source("ISO 9223 and ISO 9224", "", Status.FROM_MEMORY, "loss of steel by surroundings and time")
RUST_LIMIT = Source(
    "our judgement", "", Status.COMMON_PRACTICE, "replace when a quarter of the area is gone, or a neck shows"
)

CROSS_CHECK = "The torque in the car's manual goes before any figure from here: check it, do not replace it."
SAFETY_PARTS = (
    "Steering, suspension, brakes, wheels and seat belts: use the fastener the car's manual names, and have "
    "the work checked by a licensed mechanic."
)
RENEW = "Never reuse a bolt the manual says to renew, such as one tightened by angle past its yield."
EYES = "A bolt that shears or strips lets go at once: wear eye protection and pull, do not push, the bar."
