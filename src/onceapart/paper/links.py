"""The way from paper to the site: addresses of steps, and QR codes of them."""

from __future__ import annotations

from collections.abc import Callable
from urllib.parse import quote, urlsplit

from onceapart.bench.card_model import Card, Step
from onceapart.errors import OnceapartError

QUIET = 1
"""Modules of white drawn around a code; the template keeps the four of ISO/IEC 18004 free about it."""
MOST_LETTERS = 400
"""An address longer than this makes a code too fine to scan from paper."""

StepAddress = Callable[[Card, Step], str]


class AddressError(OnceapartError):
    """The base address of a site cannot be used."""


def steps_on(base: str) -> StepAddress:
    """The address of a step on the site that has this base address, such as ``https://garage.example``.

    Raises
    ------
    AddressError
        If it is no web address.
    """
    try:
        parts = urlsplit(base.strip())
        usable = parts.scheme in ("http", "https") and bool(parts.hostname)
        usable = usable and not (parts.query or parts.fragment) and (parts.port or 1) > 0
    except ValueError:
        usable = False
    if not usable or any(letter.isspace() for letter in base.strip()):
        raise AddressError(f"{base}: no address of a site; write it as in https://garage.example")
    root = base.strip().rstrip("/")

    def address(card: Card, step: Step) -> str:
        stint = card.stint or card.date.isoformat()
        return f"{root}/bench/{quote(stint)}/#{quote(step.id, safe=':/-')}"

    return address


def qr_svg(address: str) -> bytes | None:
    """An address as a QR code with its quiet zone, as SVG; None where it is too long to scan from paper.

    One mask for all: choosing the best of eight takes five times as long, and a reader takes any.
    """
    import segno

    if len(address) > MOST_LETTERS:
        return None
    code = segno.make(address, error="l", micro=False, boost_error=False, mask=2)
    return code.svg_inline(border=QUIET).encode()
