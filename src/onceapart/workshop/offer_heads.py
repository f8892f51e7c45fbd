"""Heads of the columns of pasted offers, as people write them."""

from __future__ import annotations

import re
from typing import Literal, get_args

from onceapart.workshop.pasted import plain_words

Meaning = Literal["part", "pieces", "seller", "price", "days", "limit", "deposit", "title", "id"]
MEANINGS: tuple[Meaning, ...] = get_args(Meaning)
_TOLD: dict[Meaning, str] = {
    "part": "part, parts, item, items, part id, part name, article, product, spare part, teil, ersatzteil, "
    "artikel, piece detachee, pieza, ricambio, onderdeel",
    "pieces": "pieces, pcs, pieces per unit, per unit, pack, pack of, pack size, per pack, qty, "
    "quantity, count, number of pieces, menge, stuck, anzahl, quantite, aantal",
    "seller": "seller, supplier, shop, store, vendor, dealer, from, where, source, verkaufer, handler, "
    "lieferant, vendeur, fournisseur, verkoper, winkel",
    "price": "price, unit price, price each, each, price per unit, cost, amount, net price, "
    "preis, stuckpreis, einzelpreis, prix, prix unitaire, precio, prezzo, prijs",
    "days": "days, delivery days, delivery time, days to arrive, lead time, arrives, arrival, "
    "eta, shipping time, tage, lieferzeit, liefertage, delai, levertijd",
    "limit": "limit, at most, max, maximum, stock, in stock, available, availability, units left, left, "
    "bestand, verfugbar, lager, disponible, voorraad",
    "deposit": "deposit, core, core charge, core deposit, exchange deposit, surcharge, exchange surcharge, "
    "pfand, altteilpfand, consigne, statiegeld",
    "title": "title, description, offer, name, text, details, bezeichnung, beschreibung, designation, "
    "omschrijving",
    "id": "id, offer id, ref, reference, sku, article number, part number, order number, number, no, "
    "artikelnummer, bestellnummer, teilenummer",
}
HEADS: dict[Meaning, tuple[str, ...]] = {meaning: tuple(told.split(", ")) for meaning, told in _TOLD.items()}
"""Heads of columns as people write them, without capitals, accents and punctuation; the first is ours."""
MEANING_OF = {head: meaning for meaning, heads in HEADS.items() for head in heads}


def meaning_of(head: str) -> Meaning | None:
    """What a column holds, by its head.

    >>> meaning_of("Unit price (EUR)"), meaning_of("Lieferzeit [Tage]"), meaning_of("colour")
    ('price', 'days', None)
    """
    whole = plain_words(re.sub(r"[(\[].*?[)\]]", " ", head))
    if whole in MEANING_OF:
        return MEANING_OF[whole]
    padded = f" {whole} "
    inside = [known for known in MEANING_OF if f" {known} " in padded and len(known) > 2]
    return MEANING_OF[max(inside, key=lambda one: (len(one), one))] if inside else None
