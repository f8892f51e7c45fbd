"""Money as whole minor units: reading it from text and printing it."""

from __future__ import annotations

import re

MAX_MONEY = 1_000_000_000
"""Largest amount taken, in minor units (ten million whole ones): anything above is a slip of the keyboard."""

_AMOUNT = re.compile(r"([0-9]{1,20})(?:\.([0-9]{1,2}))?", re.ASCII)


def parse_money(text: str) -> int:
    """Read a decimal amount with at most two places, exactly and never by way of a float.

    Parameters
    ----------
    text : str
        Digits, and if wanted a point and one or two more digits: ``"12"``, ``"14.9"``, ``"14.90"``.

    Returns
    -------
    int
        The amount. [minor units]

    Raises
    ------
    ValueError
        For anything else; the message names the rule and the way out.

    Examples
    --------
    >>> parse_money("14.90"), parse_money("14.9"), parse_money("0")
    (1490, 1490, 0)
    >>> parse_money("12.345")
    Traceback (most recent call last):
    ValueError: money has at most two places after the point; round it, as in 12.34
    """
    match = _AMOUNT.fullmatch(text)
    if match is None:
        raise ValueError(_what_is_wrong(text))
    whole, places = match[1], match[2] or ""
    amount = int(whole) * 100 + int(places.ljust(2, "0"))
    if amount > MAX_MONEY:
        raise ValueError(f"money goes up to {format_money(MAX_MONEY)}; check the amount")
    return amount


def format_money(amount: int) -> str:
    """Print minor units as a decimal with two places.

    Parameters
    ----------
    amount : int
        The amount; may be negative, as a total with worth taken off can be. [minor units]

    Returns
    -------
    str
        ``parse_money`` reads it back, if it is not negative and not above ``MAX_MONEY``.

    Examples
    --------
    >>> format_money(1490), format_money(5), format_money(-1200)
    ('14.90', '0.05', '-12.00')
    """
    sign = "-" if amount < 0 else ""
    whole, places = divmod(abs(amount), 100)
    return f"{sign}{whole}.{places:02d}"


def _what_is_wrong(text: str) -> str:
    """The rule that an unreadable amount breaks, and the way out."""
    if text.startswith("-"):
        return "money is not negative; give 0 or more"
    if re.fullmatch(r"[0-9]{1,15}\.[0-9]{3,}", text, re.ASCII):
        whole, places = text.split(".")
        return f"money has at most two places after the point; round it, as in {whole}.{places[:2]}"
    if re.fullmatch(r"[0-9]{1,15},[0-9]{1,2}", text, re.ASCII):
        return f"money has a decimal point, not a comma; write {text.replace(',', '.')}"
    if re.fullmatch(r"[0-9]{21,}(\.[0-9]*)?", text, re.ASCII):
        return f"money goes up to {format_money(MAX_MONEY)}; check the amount"
    return "money is a decimal number with at most two places; write it as in 14.90"
