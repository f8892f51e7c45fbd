"""What a tyre carries, and how fast."""

from __future__ import annotations

from functools import cache

from onceapart.errors import SumError
from onceapart.sums.tyres.tables import read_table

_FADING = {
    "V": ((210, 1.00), (240, 0.91)),
    "W": ((240, 1.00), (270, 0.85)),
    "Y": ((270, 1.00), (300, 0.85)),
    "(Y)": ((270, 1.00), (300, 0.85)),
}
"""Share of the load by speed, km/h: V and W seen in engineering notes after UN R30, Y from memory."""


@cache
def load_indices() -> dict[int, float]:
    """Load index -> kg, as UN R30 Annex 4 has them."""
    return {int(row["load_index"]): float(row["kg"]) for row in read_table("load_index")}


@cache
def speed_symbols() -> dict[str, int]:
    """Speed symbol -> km/h."""
    return {row["symbol"]: int(row["kmh"]) for row in read_table("speed_symbols")}


def load_kg(load_index: int) -> float:
    """Load a tyre carries by its load index.

    Parameters
    ----------
    load_index : int
        Two or three figures after the size. [-]

    Returns
    -------
    float
        Load, at the pressure that goes with it. [kg]

    Examples
    --------
    >>> load_kg(86)
    530.0

    References
    ----------
    .. [1] UN R30 Annex 4 (two public tables).
    """
    try:
        return load_indices()[load_index]
    except KeyError:
        known = load_indices()
        rule = f"must be {min(known)} to {max(known)}"
        raise SumError(f"load index {load_index}: {rule}; look at the sidewall again") from None


def speed_kmh(symbol: str) -> float:
    """Speed a tyre is made for by its symbol.

    Parameters
    ----------
    symbol : str
        Letter after the load index.

    Returns
    -------
    float
        Speed; of (Y) only that it is above this. [km/h]

    Examples
    --------
    >>> speed_kmh("H")
    210.0

    References
    ----------
    .. [1] UN R30 clause 2.29: Q T H V W Y seen on a handbook page, L M N P R S U from memory.
    """
    try:
        return float(speed_symbols()[symbol])
    except KeyError:
        raise SumError(f"speed symbol {symbol}: must be one of {', '.join(speed_symbols())}") from None


def load_at_speed_kg(load_index: int, symbol: str, speed_kmh: float) -> float:
    r"""Load a tyre may carry at a speed.

    Parameters
    ----------
    load_index : int
        Load index. [-]
    symbol : str
        Speed symbol.
    speed_kmh : float
        Speed driven. [km/h]

    Returns
    -------
    float
        Load; nought above the speed it is made for. [kg]

    Notes
    -----
    Full load up to the symbol's speed; V from 210 km/h, W from 240 and Y from 270 less, interpolated to 91%
    (V at 240) and 85% (W at 270, Y at 300).

    Examples
    --------
    >>> round(load_at_speed_kg(91, "V", 240))
    560

    References
    ----------
    .. [1] UN R30, variation of load with speed (V and W seen in engineering notes, Y from memory).
    """
    full = load_kg(load_index)
    most = speed_symbols()[symbol]
    if speed_kmh > most:
        return 0.0
    points = _FADING.get(symbol)
    if points is None or speed_kmh <= points[0][0]:
        return full
    (start, _), (end, share) = points
    return full * (1 - (1 - share) * (speed_kmh - start) / (end - start))
