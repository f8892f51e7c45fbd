"""How pages say money, time and days. Built into every template."""

from __future__ import annotations

import datetime as dt

from django import template

from onceapart.workshop import format_money

register = template.Library()


@register.filter
def money(amount: int | None, currency: str = "") -> str:
    """Minor units as people write them: ``12.50 EUR``."""
    return "" if amount is None else f"{format_money(amount)} {currency}".strip()


@register.filter
def minutes(count: int | None) -> str:
    """Minutes as ``2 h 05`` or ``45 min``."""
    if count is None:
        return ""
    return f"{count} min" if count < 60 else f"{count // 60} h {count % 60:02}"


@register.filter
def day(date: dt.date | None) -> str:
    """``Sat 7 Mar``."""
    return "" if date is None else f"{date:%a} {date.day} {date:%b}"


@register.filter
def day_and_year(date: dt.date | None) -> str:
    """``Sat 7 Mar 2026``."""
    return "" if date is None else f"{day(date)} {date.year}"
