"""How pages say money, time, days and verdicts. Built into every template."""

from __future__ import annotations

import datetime as dt
import re
from typing import Any

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString

from onceapart.site.pages.shared import Now
from onceapart.workshop import format_money

register = template.Library()

LOOKS = {
    "pass": "passes",
    "pass with minors": "minor",
    "fail": "major",
    "do not drive": "dangerous",
    "nothing checked yet": "not-checked",
    "released with follow-ups due": "follow-ups",
}
"""Words that have the look of another; see ``badge`` in site.css."""


@register.filter
def money(amount: int | None, currency: str = "") -> str:
    """Minor units as people write them: ``12.50 EUR``."""
    return "" if amount is None else f"{format_money(amount)} {currency}".strip()


@register.filter
def minutes(count: int | None) -> str:
    """Minutes as ``2 h 05``, ``3 h`` or ``45 min``."""
    if count is None:
        return ""
    if count < 60:
        return f"{count} min"
    return f"{count // 60} h {count % 60:02}" if count % 60 else f"{count // 60} h"


@register.filter
def day(date: dt.date | None) -> str:
    """``Sat 7 Mar``."""
    return "" if date is None else f"{date:%a} {date.day} {date:%b}"


@register.filter
def day_and_year(date: dt.date | None) -> str:
    """``Sat 7 Mar 2026``."""
    return "" if date is None else f"{day(date)} {date.year}"


@register.filter
def when(time: dt.datetime | None) -> str:
    """``Sat 7 Mar 2026, 14:05`` in the site's time zone."""
    if time is None:
        return ""
    from django.utils import timezone

    local = timezone.localtime(time)
    return f"{day_and_year(local.date())}, {local:%H:%M}"


@register.filter
def count(number: int, noun: str) -> str:
    """A number with its noun: ``{{ 2|count:"job" }}`` is ``2 jobs``; else ``"axle,axles"``."""
    one, _, many = noun.partition(",")
    return f"{number} {one if number == 1 else many or one + 's'}"


@register.filter
def badge(word: Any) -> SafeString:
    """A verdict, an outcome or a release status as a badge: its word, in a line of its own."""
    text = str(word)
    look = LOOKS.get(text, re.sub(r"[^a-z]+", "-", text.lower()))
    return format_html('<b class="badge is-{}">{}</b>', look, text)


@register.filter
def undoes(tags: str) -> str:
    """Number of the version that a message offers to undo; see ``shared.said``."""
    found = re.search(r"\bundo-([0-9]+)\b", tags or "")
    return found[1] if found else ""


@register.simple_tag
def icon(name: str) -> SafeString:
    """One of the small drawings of ``parts/icons.html``."""
    return format_html(
        '<svg class="icon" aria-hidden="true" focusable="false"><use href="#i-{}"/></svg>', name
    )


@register.simple_tag
def mark_of(now: Now, section: str, key: str = "") -> SafeString:
    """A hidden field that says how an entry stood when its form was shown; see ``shared.marks_in``."""
    return format_html(
        '<input type="hidden" name="mark" value="{}/{}={}">', section, key, now.mark(section, key)
    )
