"""Spare fasteners as a person reads them: what to order, what to look for, what goes in new anyway."""

from __future__ import annotations

from typing import TYPE_CHECKING

from onceapart.cli.chance_words import indented, place_of
from onceapart.cli.page import Page
from onceapart.cli.words import listed, money
from onceapart.cli.wrapping import tied
from onceapart.planning.chance.report import worth_having
from onceapart.workshop import format_money

if TYPE_CHECKING:
    from onceapart.planning.chance.spares import Spare, SpareChoice
    from onceapart.planning.workload import Workload

MOST_SPARES = 8


def add_spares(page: Page, workload: Workload, choice: SpareChoice) -> None:
    """Fasteners to order beforehand, those nobody offers, and those that go in new anyway."""
    bought = [one for one in choice.spares if one.pieces]
    wanted = worth_having(choice.spares)
    renewed = [one for one in choice.spares if one.renew and not one.pieces]
    page.heading("Spare fasteners")
    if bought:
        _add_bought(page, workload, choice, bought)
    if wanted:
        page.line("Nobody here offers these; worth having at up to", "(each)", indent=2)
        rows = [
            (
                format_money(round(one.worth)),
                ", ".join(word for word in (_name(one), one.calls[0].fastener.thread) if word),
                _how_often(one.some),
            )
            for one in wanted[:MOST_SPARES]
        ]
        if len(wanted) > MOST_SPARES:
            rows.append(("", f"and {len(wanted) - MOST_SPARES} kinds that are worth less", ""))
        indented(page, (), rows, numbers=(0,), text=(1,), indent=4)
    if renewed:
        page.line("New ones go in anyway; have them in the house:", indent=2)
        page.items("", [tied(f"{one.needed:.0f}", "x") + f" {_name(one)}" for one in renewed], 0, indent=2)
    if not bought and not wanted and not renewed:
        page.paragraph("  none is worth having")


def _add_bought(page: Page, workload: Workload, choice: SpareChoice, bought: list[Spare]) -> None:
    terms = money(choice.goods, workload.currency)
    if choice.delivery > 0:
        terms += f" and {format_money(choice.delivery)} delivery"
    elif choice.delivery < 0:
        terms += f", and {format_money(-choice.delivery)} of delivery saved"
    page.line("To order with the rest:", terms, indent=2)
    rows = []
    for name, units in choice.units.items():
        offer = workload.offer[name]
        inside = listed([part if n == 1 else tied(str(n), part) for part, n in offer.parts.items()])
        seller = workload.seller[offer.seller].name
        rows.append((str(units), name, f"{inside}, from {seller}", format_money(units * offer.price)))
    indented(page, (), rows, numbers=(0, 3), text=(1, 2), indent=4)
    page.sentences(
        f"{_name(one)}: needed {_how_often(one.some)}; stopping for it costs "
        f"{format_money(round(one.calls[0].stop))}."
        for one in bought
        if not one.renew
    )


def _name(one: Spare) -> str:
    fastener = one.calls[0].fastener
    return f"{fastener.what or one.part} ({place_of(one.part)})"


def _how_often(chance: float) -> str:
    return f"1 time in {round(1 / chance)}" if chance < 0.4 else f"{round(chance * 10)} times in 10"
