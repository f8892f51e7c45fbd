"""Strength by property class (metric), grade (inch) or stainless mark."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache

from onceapart.errors import SumError
from onceapart.sums.bolts.tables import read_table
from onceapart.sums.bolts.threads import MM_PER_INCH, Thread
from onceapart.sums.quantity import shorten

MPA_PER_PSI = 0.006894757293168


@dataclass(frozen=True)
class Strength:
    """What a class promises for one size: the least figures, MPa."""

    name: str
    tensile_mpa: float
    yield_mpa: float
    proof_mpa: float
    document: str
    status: str


@cache
def class_names(system: str) -> tuple[str, ...]:
    """Classes known for ``metric`` or ``unified`` threads, in the order of the table."""
    return tuple(dict.fromkeys(row["name"] for row in read_table("classes") if row["system"] == system))


def strength_of(thread: Thread, name: str) -> Strength:
    """The strength of a class in the size of a thread.

    Raises
    ------
    SumError
        A class that the size does not come in, or an inch grade on a metric thread.

    Examples
    --------
    >>> from onceapart.sums.bolts.threads import known_threads
    >>> m16, m18 = (next(t for t in known_threads() if t.size == size) for size in ("16", "18"))
    >>> strength_of(m16, "8.8").proof_mpa, strength_of(m18, "8.8").proof_mpa
    (580.0, 600.0)
    """
    scale = 1.0 if thread.system == "metric" else MM_PER_INCH
    for row in read_table("classes"):
        fits = thread.diameter_mm <= float(row["up_to"]) * scale + 1e-9
        if row["system"] == thread.system and row["name"] == name and fits:
            unit = 1.0 if row["unit"] == "MPa" else MPA_PER_PSI
            tensile, at_yield, proof = (float(row[key]) * unit for key in ("tensile", "yield", "proof"))
            return Strength(name, tensile, at_yield, proof, row["document"], row["status"])
    raise SumError(f"{name}: no such class for {thread}; choose from {', '.join(class_names(thread.system))}")


def class_words(name: str) -> str:
    """A class as it stands in a sentence.

    >>> class_words("8.8"), class_words("grade 5"), class_words("unmarked")
    ('class 8.8', 'grade 5', 'no mark')
    """
    if name == "unmarked":
        return "no mark"
    return f"class {name}" if name[0].isdigit() else name


def read_class(text: str, system: str) -> str:
    """The class as the table names it, from what people type: ``8,8``, ``gr.8``, ``A2 70``, ``unmarked``.

    >>> read_class("Gr. 5", "unified"), read_class("a2-70", "metric")
    ('grade 5', 'A2-70')
    """
    word = re.sub(r"(?:grade|gr|class|cl)\.?|[\s_-]", "", text.lower()).replace(",", ".")
    if word.startswith("sae"):
        word = word[3:].removeprefix("j429")
    for name in class_names(system):
        if word == name.lower().removeprefix("grade ").replace("-", ""):
            return name
    kind = "a metric" if system == "metric" else "an inch"
    raise SumError(
        f"{shorten(text.strip())}: no class of {kind} bolt we know; read the mark on the head, one of "
        f"{', '.join(class_names(system))}"
    )


def proof_load_n(area_mm2: float, proof_mpa: float) -> float:
    r"""Load a bolt takes without lasting stretch.

    Parameters
    ----------
    area_mm2 : float
        Tensile stress area. [mm²]
    proof_mpa : float
        Proof stress of the class. [MPa]

    Returns
    -------
    float
        Proof load. [N]

    Notes
    -----
    :math:`F_p = A_s S_p`. The standard rounds its printed loads up and down, by up to 0.7 %.

    Examples
    --------
    >>> round(proof_load_n(84.3, 580))
    48894

    References
    ----------
    .. [1] ISO 898-1:2013, Tables 5 and 7 (prints 48 900 N for M12 8.8); SAE J429 for inch sizes.
    """
    return area_mm2 * proof_mpa


def ultimate_load_n(area_mm2: float, tensile_mpa: float) -> float:
    r"""Least load at which a bolt breaks in tension.

    Parameters
    ----------
    area_mm2 : float
        Tensile stress area. [mm²]
    tensile_mpa : float
        Least tensile strength of the class. [MPa]

    Returns
    -------
    float
        Least ultimate tensile load. [N]

    Notes
    -----
    :math:`F_m = A_s R_m`.

    Examples
    --------
    >>> round(ultimate_load_n(84.3, 800))
    67440

    References
    ----------
    .. [1] ISO 898-1:2013, Tables 4 and 6 (prints 67 400 N for M12 8.8); SAE J429 for inch sizes.
    """
    return area_mm2 * tensile_mpa
