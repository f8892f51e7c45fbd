"""Rule packs as pages: the list of them, one pack, one item, and what a pack of one's own changes."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import groupby

from onceapart.cli.page import Page
from onceapart.cli.screen import column_widths, table
from onceapart.cli.words import count, listed
from onceapart.trade.library import Library
from onceapart.trade.rules import CLASSES, SOUND, Item, Pack, Rule
from onceapart.trade.rules.describe import STATUS_WORDS, cure_in_words, item_in_words, rule_in_words

_CLASS_WIDTH = max(map(len, CLASSES))
DECIDES = "It advises; the car's manual, the law and an inspector decide."


def list_page(packs: Sequence[Pack]) -> Page:
    """All packs with the number of their items and rows."""
    page = Page()
    headings = ("Pack", "What it is", "Items", "Rows", "From memory")
    rows = [
        (
            pack.id,
            pack.title,
            str(len(pack.ruled_items) or len(pack.items)),
            str(len(pack.rules)),
            str(sum(rule.status == "from memory" for rule in pack.rules)),
        )
        for pack in packs
    ]
    widths = column_widths([headings, *rows], page.width, text=(1, 4))
    page.add(table(headings, rows, widths, numbers=(2, 3, 4)))
    page.paragraph(
        "Of `items` the whole catalogue is counted, of the others what has a row. A row from memory was not "
        f"seen at its source: check it before you rely on it. `onceapart rules show ID` shows one. {DECIDES}"
    )
    return page


def pack_page(pack: Pack) -> Page:
    """A pack: what it is for, its items system by system, and their rows from the worst class on."""
    page = _titled(pack)
    for key, source in pack.sources.items():
        note = f" ({source.note})" if source.note else ""
        page.sentences([f"Source {key}: {source.title}. Seen: {source.seen}{note}."])
    for name, fact in pack.facts.items():
        words = f" ({', '.join(fact.words)})" if fact.words else f" (in {fact.unit})" if fact.unit else ""
        page.sentences([f"Asks of the car {name}{words}: {fact.title}. {fact.ask}"])
    shown = pack.ruled_items or pack.items
    for system, items in groupby(shown, key=lambda item: item.system):
        page.heading(system.capitalize())
        for item in items:
            page.line(item.title, f"({item.id}): {item_in_words(item)}", indent=2)
            for rule in pack.rules_of(item.id):
                page.fact(_class(rule), _row(rule), _CLASS_WIDTH, indent=4)
    page.paragraph(f"`onceapart rules show {pack.id} --item ITEM` shows one item in full. {DECIDES}")
    return page


def item_page(item: Item, pack: Pack) -> Page:
    """An item: how to check it, its words, cautions and cures, and its rows with their notes."""
    page = Page()
    page.line(item.title, f"({item.id}, {item_in_words(item)})")
    page.paragraph(item.check)
    known = {**{one.id: one for one in pack.cautions}, **Library().cautions}
    if item.cautions:
        page.heading("Cautions")
        page.sentences(f"{known[name].title}: {known[name].text}" for name in item.cautions)
    if item.is_measured and item.plausible:
        page.heading("Reading")
        unit = f" {item.unit}" if item.unit else ""
        bounds = f"{item.plausible[0]:g} to {item.plausible[1]:g}{unit}"
        wears = f"; it {item.wears} with use" if item.wears else ""
        page.sentences([f"Believable from {bounds}{wears}. Other units of the same kind will do."])
    else:
        page.heading("What may be seen")
        width = max(map(len, (SOUND, *item.words)))
        for word, meaning in {SOUND: "looked at, nothing wrong", **item.words}.items():
            page.fact(word, meaning, width, indent=2)
    page.heading("Rows", pack.title)
    for rule in pack.rules_of(item.id):
        note = f". {rule.note}" if rule.note else ""
        page.fact(_class(rule), f"{_row(rule)}{note}", _CLASS_WIDTH, indent=2)
    silent = pack.unjudged(item.id)
    if silent and pack.rules_of(item.id):
        page.sentences([f"No row for {listed(list(silent))}: neither passed nor failed by this pack."])
    if not pack.rules_of(item.id):
        page.sentences([f"{pack.id} has no row for it: it passes or fails nothing there."])
    if item.cures:
        page.heading("Cures", "recipes")
        page.sentences(map(cure_in_words, item.cures))
    page.paragraph(DECIDES)
    return page


def checked_page(pack: Pack, base: Pack | None) -> Page:
    """A pack of one's own that is fine: what it holds, and what it changes."""
    page = Page()
    page.line(f"{pack.title}: the pack is fine.")
    held = f"{count(len(pack.rules), 'row')} for {count(len(pack.ruled_items), 'item')}"
    page.sentences([f"It holds {held}, of {count(len(pack.items), 'item')} to look at."])
    if base:
        page.sentences(_changes("row", base.rules, pack.rules, base.id))
        page.sentences(_changes("item", base.items, pack.items, base.id))
    memory = sum(rule.status == "from memory" for rule in pack.rules)
    if memory:
        page.sentences([f"{count(memory, 'row')} from memory: check before you rely on it."])
    return page


def _changes(
    kind: str, before: Iterable[Rule | Item], after: Iterable[Rule | Item], base: str
) -> Iterable[str]:
    """What of a pack's entries is new, changed or gone against the pack it extends."""
    old = {one.id: one for one in before}
    new = {one.id: one for one in after}
    for said, names in (
        ("changes", [name for name in new if name in old and old[name] != new[name]]),
        ("adds", [name for name in new if name not in old]),
        ("drops", [name for name in old if name not in new]),
    ):
        if names:
            few = listed(names) if len(names) <= 6 else f"{', '.join(names[:6])} and others"
            where = f" of {base}" if said != "adds" else ""
            yield f"It {said} {count(len(names), kind)}{where}: {few}."


def _titled(pack: Pack) -> Page:
    page = Page()
    lineage = f", extends {' and '.join(pack.lineage[1:])}" if pack.extends else ""
    page.line(pack.title, f"({pack.id}{lineage})")
    page.paragraph(pack.about)
    page.heading("Mind")
    page.sentences(pack.notes)
    return page


def _class(rule: Rule) -> str:
    """The class, the worst of all in capitals."""
    return rule.class_.upper() if rule.class_ == CLASSES[-1] else rule.class_


def _row(rule: Rule) -> str:
    return f"{rule_in_words(rule)} [{rule.clause}; {rule.source}; {STATUS_WORDS[rule.status]}]"
