"""Text pasted from a spreadsheet: its cells, and the amounts, numbers and days that people write in them."""

from __future__ import annotations

import csv
import datetime as dt
import io
import re
import unicodedata
from collections.abc import Callable
from typing import NamedTuple

from onceapart.workshop.money import MAX_MONEY, format_money

MAX_PASTED = 400_000
"""Letters of a pasted table at most."""
MAX_ROWS = 2_000
SEPARATORS = ("\t", ";", "|", ",")
"""In the order in which they are believed; a comma may also be part of an amount."""
SIGNS = {
    "€": ("EUR",),
    "£": ("GBP",),
    "$": ("USD", "AUD", "CAD", "NZD", "HKD", "SGD", "MXN"),
    "¥": ("JPY", "CNY"),
    "zł": ("PLN",),
    "kč": ("CZK",),
    "kr": ("SEK", "NOK", "DKK", "ISK"),
    "fr": ("CHF",),
    "sfr": ("CHF",),
    "ft": ("HUF",),
    "lei": ("RON",),
    "₹": ("INR",),
    "₺": ("TRY",),
    "₴": ("UAH",),
}
"""Signs of money, and the currencies that are written with them."""
_NOUGHT_DAYS = frozenset({"today", "now", "at once", "same day", "counter", "over the counter"})
_IN_WORDS = {"tomorrow": 1, "next day": 1, "overnight": 1, "a week": 7, "one week": 7}
_AMOUNT = re.compile(
    r"([0-9]{1,3}(?:([.,])[0-9]{3})(?:\2[0-9]{3})*|[0-9]{1,15})(?:([.,])([0-9]{1,2}))?", re.ASCII
)
_DAYS = re.compile(
    r"(?:in |ca\.? ?|about |~ ?)?(?:[0-9]{1,4} ?(?:-|–|to|bis|à|/) ?)?([0-9]{1,4}) ?"
    r"(days?|d|tage?n?|t|jours?|j|weeks?|wks?|w|wochen?|semaines?"
    r"|working days|business days|werktage?)?\.?",
    re.ASCII,
)
_DIGITS = re.compile(r"[0-9]+", re.ASCII)


class Line(NamedTuple):
    """A row of a table. ``number`` is that of its first line in the text, from 1."""

    number: int
    cells: tuple[str, ...]


def lines_of(text: str, separator: str) -> list[Line]:
    """The rows of a pasted table, empty ones left out; quotes keep a separator inside a cell.

    >>> lines_of('part;price\\n"disc; vented";14,90', ";")
    [Line(number=1, cells=('part', 'price')), Line(number=2, cells=('disc; vented', '14,90'))]
    """
    text = text.replace("\r\n", "\n").replace("\r", "\n").replace("\x00", "")
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator)
    found: list[Line] = []
    at = 1
    while True:
        try:
            row = next(reader)
        except StopIteration:
            return found
        except csv.Error:  # a cell without an end
            row = []
        cells = tuple(" ".join(cell.split(" ")).strip() for cell in row)
        if any(cells):
            found.append(Line(at, cells))
        at = reader.line_num + 1


def best_separator(text: str, rate: Callable[[tuple[str, ...]], int]) -> str:
    """What stands between the cells of a table.

    Parameters
    ----------
    text : str
    rate : callable
        How many cells of a row are heads that are known.

    Returns
    -------
    str
        The one that makes the most heads known; among equals the one that makes more than one cell of most
        lines, and of those the first of ``SEPARATORS``.
    """
    begin = text[:20_000]

    def worth(separator: str) -> tuple[int, bool, int]:
        lines = lines_of(begin, separator)[:40]
        if not lines:
            return 0, False, 0
        wide = sum(len(line.cells) > 1 for line in lines)
        return rate(lines[0].cells), 2 * wide > len(lines), -SEPARATORS.index(separator)

    return max(SEPARATORS, key=worth)


def plain_words(text: str) -> str:
    """Text without capitals, accents and punctuation, as words are compared by.

    >>> plain_words("Prix unitaire (€)"), plain_words("Stück / VE")
    ('prix unitaire', 'stuck ve')
    """
    apart = "".join(
        c for c in unicodedata.normalize("NFKD", text[:400]) if not unicodedata.combining(c)
    ).lower()
    return " ".join(re.findall(r"[a-z0-9]+", apart))


def amount_in(text: str, currency: str) -> int:
    """An amount of money as people write it. [minor units]

    Parameters
    ----------
    text : str
        With or without a sign, with a decimal point or comma, with thousands apart or not.
    currency : str
        That of the workshop; another one is refused.

    Raises
    ------
    ValueError
        ``rule; way out``.

    Examples
    --------
    >>> [amount_in(text, "EUR") for text in ("14,90", "€ 1.234,50", "1 234.5 EUR", "12,-", "7")]
    [1490, 123450, 123450, 1200, 700]
    """
    said = text.strip()
    bare = _without_currency(said, currency)
    bare = re.sub(r"(?<=[0-9])[\s'’](?=[0-9]{3}(?![0-9]))", "", bare)  # thousands apart
    bare = re.sub(r"[.,](?:-|–|—|--)$", "", bare).strip()
    if re.match(r"[-−–]", bare):
        raise ValueError("money is not negative; give 0 or more")
    match = _AMOUNT.fullmatch(bare)
    if match is None or (match[2] and match[2] == match[3]):
        if re.fullmatch(r"[0-9]{1,15}[.,][0-9]{3,}", bare):
            raise ValueError("money has at most two places after the point; round it, as in 12.34")
        raise ValueError("this is no amount of money; write it as in 14.90")
    if match[2] and not match[3] and match[1].count(match[2]) == 1:
        whole = match[1].replace(match[2], "")
        raise ValueError(
            f"{match[1]} may be {whole} or have three places; write {whole}.00, or round it to two places"
        )
    whole = re.sub(r"[.,]", "", match[1])
    amount = int(whole) * 100 + int((match[4] or "").ljust(2, "0"))
    if amount > MAX_MONEY:
        raise ValueError(f"money goes up to {format_money(MAX_MONEY)}; check the amount")
    return amount


def _without_currency(text: str, currency: str) -> str:
    """An amount without the sign of the currency; raises ValueError if it is another one's."""
    bare = text
    code = re.match(r"\s*([A-Za-z]{3})(?![A-Za-z])|.*?(?<![A-Za-z])([A-Za-z]{3})\s*$", bare)
    named = ((code[1] or code[2]).upper() if code else "") or ""
    known = {one for codes in SIGNS.values() for one in codes}
    if named and (named == currency or named in known):
        if named != currency:
            raise ValueError(f"this is {named}, and the workshop has {currency}; change it into {currency}")
        bare = re.sub(rf"(?<![a-z]){named}(?![a-z])", "", bare, flags=re.I)
    for sign, codes in SIGNS.items():
        pattern = re.escape(sign) if not sign.isascii() or sign == "$" else rf"(?<![a-z]){sign}\.?(?![a-z])"
        if re.search(pattern, bare, re.I):
            if currency not in codes:
                raise ValueError(
                    f"{sign} is {codes[0]}, and the workshop has {currency}; change it into {currency}"
                )
            bare = re.sub(pattern, "", bare, flags=re.I)
    return bare.strip()


def number_in(text: str, most: int) -> int:
    """A whole number with what people write around it.

    >>> number_in("4 pcs", 100), number_in("x2", 100), number_in("3.0", 100)
    (4, 2, 3)

    Raises
    ------
    ValueError
        ``rule; way out``.
    """
    match = re.fullmatch(
        r"(?:x|×|ca\.?|max\.?|>)?\s*([0-9]{1,9})(?:[.,]0+)?\s*"
        r"(?:x|×|pcs?\.?|pieces?|pc\.|off|units?|stk\.?|st\.?|stück|in stock|left|\+)?",
        text.strip(),
        re.I,
    )
    if match is None:
        raise ValueError("this is no whole number; write digits only")
    if int(match[1]) > most:
        raise ValueError(f"it goes up to {most}; check the number")
    return int(match[1])


def days_in(text: str, today: dt.date | None, most: int) -> int:
    """Days until something comes, as people write them; of a span the later day.

    >>> [days_in(text, dt.date(2026, 3, 2), 365) for text in ("6", "2-4 days", "2 weeks", "now")]
    [6, 4, 14, 0]

    Raises
    ------
    ValueError
        ``rule; way out``.
    """
    said = " ".join(text.lower().split())
    if said in _NOUGHT_DAYS:
        return 0
    if said in _IN_WORDS:
        return _IN_WORDS[said]
    if re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", said, re.ASCII):
        return _days_to(said, today, most)
    match = _DAYS.fullmatch(said)
    if match is None:
        raise ValueError("this is no number of days; write it as in 6, 2-4 days, 2 weeks or 2026-03-12")
    days = int(match[1])
    unit = match[2] or ""
    if unit.startswith(("working", "business", "werk")):
        days = days + 2 * -(-days // 5)
    elif unit.startswith(("w", "semaine")):
        days *= 7
    if days > most:
        raise ValueError(f"days go up to {most}; check the number")
    return days


def _days_to(date: str, today: dt.date | None, most: int) -> int:
    try:
        day = dt.date.fromisoformat(date)
    except ValueError:
        raise ValueError("there is no such day; check the month and the day") from None
    if today is None:
        raise ValueError("it is not known from which day to count; write the number of days")
    days = (day - today).days
    if not 0 <= days <= most:
        raise ValueError(f"it is not within {most} days from {today}; check the year")
    return days


def pieces_before_or_after(text: str) -> tuple[int, str]:
    """Pieces and the name of what they are of, as in ``2 x drop link``.

    >>> pieces_before_or_after("2 x drop link"), pieces_before_or_after("drop link (2)")
    ((2, 'drop link'), (2, 'drop link'))
    >>> pieces_before_or_after("wren/front/brake-disc x2"), pieces_before_or_after("disc 2")
    ((2, 'wren/front/brake-disc'), (1, 'disc 2'))
    """
    said = text.strip()
    for pattern in (r"([0-9]{1,6}) ?[x×*] ?(?P<name>\S.*)", r"(?P<name>.*\S) ?[x×*] ?([0-9]{1,6})"):
        match = re.fullmatch(pattern, said, re.I)
        if match and (re.search(r"[\s×*]", said) or "/" in said):
            number = next(group for group in match.groups() if group and group != match["name"])
            if _DIGITS.fullmatch(number) and int(number):
                return int(number), match["name"].strip()
    match = re.fullmatch(r"(.*\S) ?\( ?([0-9]{1,6}) ?\)", said)
    if match and int(match[2]):
        return int(match[2]), match[1].strip()
    return 1, said
