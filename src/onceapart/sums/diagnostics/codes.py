"""Trouble codes: two bytes each, and what can be said of them."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache

from onceapart.errors import SumError
from onceapart.sums.diagnostics.replies import Reply
from onceapart.sums.diagnostics.tables import read_table
from onceapart.sums.quantity import shorten

SYSTEMS = "PCBU"
"""Bits 15 and 14 of a code: powertrain, chassis, body, network."""
KINDS = {0x43: "stored", 0x47: "pending", 0x4A: "permanent"}
"""First byte of the reply -> kind of code. 43 for mode 03; the other two from memory."""
PADDING = ((0, 0), (0x55, 0x55), (0xAA, 0xAA))
"""What frames on CAN are filled up with."""


@dataclass(frozen=True)
class TroubleCode:
    """One code, and who says what it means."""

    code: str
    kind: str

    def __str__(self) -> str:
        return self.code

    @property
    def is_generic(self) -> bool:
        """Whether a standard gives its meaning; otherwise each maker has its own."""
        return is_generic(self.code)

    @property
    def words(self) -> str:
        """Its meaning in words, as far as we have it (from memory)."""
        known = _words()
        if self.code in known:
            return known[self.code]
        prefixes = [prefix for prefix in _groups() if self.code.startswith(prefix)]
        group = _groups()[max(prefixes, key=len)] if prefixes else "engine or gearbox"
        return group if self.is_generic else f"{group}: the maker's own code, see the car's manual"


@cache
def _words() -> dict[str, str]:
    return {row["code"]: row["words"] for row in read_table("code_words")}


@cache
def _groups() -> dict[str, str]:
    return {row["prefix"]: row["words"] for row in read_table("code_groups")}


def is_generic(code: str) -> bool:
    """Whether a standard gives the meaning of a code.

    Second character 0: standard; 1: the maker's. P2 and P34 to P39 are standard too, P30 to P33 the maker's;
    C2, B2 are the maker's, U3 is standard (SAE J2012, from memory).
    """
    if code[1] == "0":
        return True
    if code[0] == "P":
        return code[1] == "2" or (code[1] == "3" and code[2] >= "4")
    return code[:2] == "U3"


def decode_code(high: int, low: int) -> str:
    """A trouble code from its two bytes.

    Parameters
    ----------
    high, low : int
        First and second byte. [-]

    Returns
    -------
    str
        Such as ``P0133``.

    Notes
    -----
    Bits 15-14 the letter (P, C, B, U), 13-12 the first figure, then three hex figures.

    Examples
    --------
    >>> decode_code(0x01, 0x33), decode_code(0xD0, 0x16)
    ('P0133', 'U1016')

    References
    ----------
    .. [1] SAE J1979 and J2012 (from memory).
    """
    if not (0 <= high <= 255 and 0 <= low <= 255):
        raise SumError(f"{high}, {low}: not two bytes; each must be 0 to 255")
    return f"{SYSTEMS[high >> 6]}{high >> 4 & 3}{high & 15:X}{low:02X}"


def encode_code(code: str) -> tuple[int, int]:
    """The two bytes of a trouble code.

    Parameters
    ----------
    code : str
        Such as ``P0133``.

    Returns
    -------
    tuple of int
        First and second byte.

    Examples
    --------
    >>> encode_code("U1016") == (0xD0, 0x16)
    True

    References
    ----------
    .. [1] SAE J1979 and J2012 (from memory).
    """
    if not re.fullmatch(r"[PCBU][0-3][0-9A-F]{3}", code, re.ASCII):
        rule = "a letter P, C, B or U, a figure 0 to 3, and three hex figures"
        raise SumError(f"{shorten(code)}: not a trouble code ({rule}); write it like P0133")
    high = SYSTEMS.index(code[0]) << 6 | int(code[1]) << 4 | int(code[2], 16)
    return high, int(code[3:], 16)


def decode_reply(reply: Reply, *, can: bool | None = None) -> tuple[TroubleCode, ...]:
    """The codes of one reply to mode 03, 07 or 0A.

    Parameters
    ----------
    reply : Reply
        ``43`` and what follows.
    can : bool, optional
        Whether the car speaks CAN, where the number of codes stands before them. Default: by the length, as
        codes are two bytes each.

    Returns
    -------
    tuple of TroubleCode
        The codes, padding left out.

    Notes
    -----
    An even number of bytes after the first has no room for a count; an odd one needs it.

    Examples
    --------
    >>> from onceapart.sums.diagnostics.replies import parse_reply
    >>> [str(each) for each in decode_reply(parse_reply("43 01 33 04 20 00 00"))]
    ['P0133', 'P0420']
    >>> [str(each) for each in decode_reply(parse_reply("43 02 01 33 04 20"))]
    ['P0133', 'P0420']

    References
    ----------
    .. [1] SAE J1979, mode 03 (from memory).
    """
    if not reply or reply[0] not in KINDS:
        raise SumError(
            f"{shorten(str(reply))}: must begin with 43 (stored), 47 (pending) or 4A (permanent); leave out "
            "the header, or write the code itself like P0133"
        )
    kind, after = KINDS[reply[0]], list(reply[1:])
    if can is None:
        can = len(after) % 2 == 1
    if can:
        count, after = _counted(reply, after)
        pairs = _pairs(after)
        real, rest = pairs[:count], pairs[count:]
        if any(pair not in PADDING for pair in rest) or (0, 0) in real:
            rule = f"says {count} code(s), but has another number"
            raise SumError(f"{shorten(str(reply))}: {rule}; read it again, or set bus to older")
    else:
        if len(after) % 2:
            raise SumError(f"{shorten(str(reply))}: an odd number of bytes for codes of two; read it again")
        real = [pair for pair in _pairs(after) if pair != (0, 0)]
    return tuple(TroubleCode(decode_code(*pair), kind) for pair in real)


def _counted(reply: Reply, after: list[int]) -> tuple[int, list[int]]:
    if not after:
        raise SumError(f"{shorten(str(reply))}: on CAN the number of codes comes next; read it again")
    count, codes = after[0], after[1:]
    if 2 * count > len(codes):
        raise SumError(
            f"{shorten(str(reply))}: says {count} codes, but holds {len(codes)} bytes; read it again, or set "
            "bus to older"
        )
    # A frame is filled up to its length, so one byte may be left over.
    return count, codes[: len(codes) // 2 * 2]


def _pairs(values: list[int]) -> list[tuple[int, int]]:
    return list(zip(values[::2], values[1::2], strict=True))


def could_be_can(reply: Reply) -> bool:
    """Whether a reply read as one of the older buses would also make sense on CAN, with other codes."""
    if len(reply) % 2 == 0 or not any(reply[1:]):
        return False
    try:
        return bool(decode_reply(reply, can=True))
    except SumError:
        return False
