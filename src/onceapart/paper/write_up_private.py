"""What is left out of a write-up that others read: numbers of cars, addresses, ways to reach a person.

Patterns find what looks like one; they cannot know. Whoever shares a text reads it first.
"""

from __future__ import annotations

import re
from collections.abc import Callable

from onceapart.errors import SumError
from onceapart.sums.diagnostics.vin import parse_vin

LEFT_OUT = "[left out]"
WHAT = (
    "Left out: the workshop's name, names of people, what is noted of the car for good, and in notes and "
    "names whatever looks like an identification number, a number plate, an address, a mail address or a "
    "phone number. That is told by its looks alone: read it all before you share it."
)

_VIN = re.compile(
    r"(?<![A-Za-z0-9])(?:[A-HJ-NPR-Za-hj-npr-z0-9]{17}"
    r"|[A-HJ-NPR-Z0-9](?:[ .\-]?[A-HJ-NPR-Z0-9]){12}(?:[ .\-]?[0-9]){4})(?![A-Za-z0-9])"
)
"""Seventeen characters without I, O and Q, as ``parse_vin`` takes them; where they are apart, in capitals
and with figures at the last four places."""
_PLATES = (
    r"[A-Z]{2}[0-9]{2} ?[A-Z]{3}",  # as in AB12 CDE
    r"[A-Z]{2}[- ]?[0-9]{3}[- ]?[A-Z]{2}",  # as in AB-123-CD
    r"[A-ZÄÖÜ]{1,3}-[A-Z]{1,2} ?[0-9]{1,4}[EH]?",  # as in B-CD 1234
    r"[0-9]{4} ?[B-DF-HJ-NPR-TV-Z]{3}",  # as in 1234 BCD
    r"[A-Z0-9]{1,3}-[A-Z0-9]{2,3}-[A-Z0-9]{1,3}",  # as in 12-ABC-3
)
"""Shapes of common number plates, from memory; where letters and figures are both there."""
_PLATE = re.compile(rf"(?<![A-Za-z0-9/\-])(?:{'|'.join(_PLATES)})(?![A-Za-z0-9/\-])")
_NAMED = re.compile(
    r"(\b(?:number ?plate|licen[cs]e ?plate|plates?|registration(?: number)?|reg(?:\.| no\.?)|kennzeichen|"
    r"immatriculation|matr[ií]cula|targa|VIN|chassis(?: number| no\.?)?)\s*(?:is|was|:|#|=|no\.?)?\s*)"
    r"((?:[A-Z0-9ÄÖÜ]{1,8}[ \-]?){1,4})(?![a-z])",
    re.IGNORECASE,
)
_MAIL = re.compile(r"[^\s@<>\"']+@[^\s@<>\"']+\.[^\s@<>\"'.,;]+")
_PHONE = re.compile(r"(?<![\w.])(?:\+|00|0)[0-9][0-9 ()/\-]{6,18}[0-9](?![\w.]?[0-9])")
_POINT = re.compile(r"-?[0-9]{1,3}\.[0-9]{4,}\s*,\s*-?[0-9]{1,3}\.[0-9]{4,}")
_STREET_EN = re.compile(
    r"\b[0-9]{1,4}[A-Za-z]?,? (?:[A-Z][\w'’.-]+ ){1,3}"
    r"(?:Street|St|Road|Rd|Lane|Ln|Avenue|Ave|Drive|Close|Court|Crescent|Terrace|Boulevard|Blvd|Square|Way)\b\.?"
)
_STREET = re.compile(
    r"\b(?:[A-ZÄÖÜ][\w-]*(?:straße|strasse|str\.|gasse|weg|platz|allee|straat|laan|gatan|gade|vej|veien)"
    r"|(?:[Rr]ue|[Vv]ia|[Cc]alle|[Pp]iazza|[Pp]laza|[Aa]venue|[Rr]ua)"
    r" (?:[a-zà-ÿ']{1,4} ){0,3}[A-ZÀ-Ý][\w'’-]+)"
    r",? (?:n[°º] ?)?[0-9]{1,4}[A-Za-z]?\b"
)


def without_private(text: str) -> str:
    """Text without what looks like the number of a car, or where a person lives or can be reached.

    >>> without_private("VIN 1J9RP1A36A1644345, bolts M10 x 1.25, 12 Mill Lane; write to me@example.org")
    'VIN [left out], bolts M10 x 1.25, [left out]; write to [left out]'
    """
    text = _MAIL.sub(LEFT_OUT, text)
    text = _VIN.sub(_if(_is_vin), text)
    text = _PLATE.sub(_if(_has_both), text)
    text = _NAMED.sub(_named, text)
    for pattern in (_POINT, _STREET_EN, _STREET):
        text = pattern.sub(LEFT_OUT, text)
    return _PHONE.sub(_if(lambda found: sum(each.isdigit() for each in found) >= 8), text)


def _if(is_one: Callable[[str], bool]) -> Callable[[re.Match[str]], str]:
    return lambda found: LEFT_OUT if is_one(found[0]) else found[0]


def _is_vin(text: str) -> bool:
    """Whether it can be such a number; the check digit is no matter, since not all markets ask for it."""
    if not any(each.isdigit() for each in text):
        return False
    try:
        parse_vin(text)
    except SumError:
        return False
    return True


def _has_both(text: str) -> bool:
    return any(each.isdigit() for each in text) and any(each.isalpha() for each in text)


def _named(found: re.Match[str]) -> str:
    """What is called a plate or the like, as far as it has figures: a plate lamp is none."""
    said = found[2]
    if not any(each.isdigit() for each in said) or sum(each.isalnum() for each in said) < 4:
        return found[0]
    words = re.split(r"(?<=[ \-])", said)
    last = max(at for at, word in enumerate(words) if any(each.isdigit() for each in word))
    tail = "".join(words[last + 1 :])
    kept = words[last][len(words[last].rstrip(" -")) :]
    return f"{found[1]}{LEFT_OUT}{kept}{tail}"
