"""Replies of the car's control units as a reader shows them: bytes in hex."""

from __future__ import annotations

import re

from onceapart.errors import SumError
from onceapart.sums.quantity import shorten

MOST_BYTES = 256


class Reply(tuple[int, ...]):
    """Bytes of one reply."""

    def __str__(self) -> str:
        return " ".join(f"{byte:02X}" for byte in self)


def parse_reply(text: str) -> Reply:
    """Read bytes typed in hex, with or without spaces.

    >>> parse_reply("41 01 83 07 65 04") == parse_reply("410183076504")
    True
    """
    plain = re.sub(r"[\s,.\-]+|0[xX]", " ", text).strip()
    words = plain.split()
    if not words:
        raise SumError(f"{shorten(text)}: no bytes in it; write them like 41 01 83 07 65 04")
    if not all(re.fullmatch(r"[0-9A-Fa-f]+", word, re.ASCII) for word in words):
        rule = "only 0-9 and A-F, two for each byte"
        raise SumError(f"{shorten(text)}: not bytes in hex ({rule}); write them like 41 01 83 07 65 04")
    if len(words) > 1 and any(len(word) > 2 and len(word) % 2 for word in words):
        raise SumError(
            f"{shorten(text)}: a byte is two figures; leave out the header (such as 7E8) and write like "
            "41 01 83 07 65 04"
        )
    digits = "".join(word.zfill(2) if len(words) > 1 else word for word in words)
    if len(digits) % 2:
        raise SumError(f"{shorten(text)}: {len(digits)} figures, but a byte is two; check for a lost one")
    if len(digits) > 2 * MOST_BYTES:
        raise SumError(f"{shorten(text)}: more than {MOST_BYTES} bytes; give one reply a row")
    return Reply(bytes.fromhex(digits))
