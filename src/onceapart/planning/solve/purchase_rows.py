"""Rows of the linear program about offers and orders: limits, delivery, and orders that come free of it."""

from __future__ import annotations

from collections.abc import Collection, Iterable

from onceapart.planning.reduce import ReducedOffer
from onceapart.planning.solve.frame import Frame
from onceapart.planning.solve.program import INF
from onceapart.planning.workload import Seller

FreeOrders = dict[str, list[tuple[int, int]]]
"""By seller whose orders can come free of delivery: columns of units bought there, with their price."""


def add_purchases(frame: Frame, offers: Iterable[ReducedOffer], asked: Collection[str]) -> FreeOrders:
    """Columns of units and orders. ``asked`` are the figures that anything is asked of."""
    by_seller: dict[str, list[tuple[int, int, int]]] = {}
    for offer in offers:
        columns = []
        for kind, most in (("buy", offer.useful), ("extra", offer.extra)):
            if most:
                figures = {"money": float(offer.price), "spare": float(offer.pieces)}
                column = frame.column((kind, offer.id), 0, most, **figures)
                columns.append(column)
                by_seller.setdefault(offer.seller, []).append((column, most, offer.price))
        if offer.limit is not None and offer.useful + offer.extra > offer.limit:
            frame.program.add_row(-INF, offer.limit, [(column, 1.0) for column in columns])
    free_orders: FreeOrders = {}
    for seller_id, bought in sorted(by_seller.items()):
        seller = frame.reduced.workload.seller[seller_id]
        if not seller.delivery or seller.free_from == 0:
            if "orders" in asked:
                _add_order_without_delivery(frame, seller, bought)
        elif _add_order(frame, seller, bought):
            free_orders[seller_id] = [(column, price) for column, _, price in bought]
    return free_orders


def _add_order_without_delivery(frame: Frame, seller: Seller, bought: list[tuple[int, int, int]]) -> None:
    order = frame.column(("order", seller.id), 0, 1, orders=1.0)
    for column, most, _ in bought:
        frame.program.add_row(-INF, 0.0, [(column, 1.0), (order, -float(most))])


def _add_order(frame: Frame, seller: Seller, bought: list[tuple[int, int, int]]) -> bool:
    """Tie every offer to its seller's order, one by one, and the order to its delivery.

    ``bought`` is (column, most units, price of a unit). Gives back whether the order can come free.
    """
    row = frame.program.add_row
    pays = frame.column(("pays", seller.id), 0, 1, money=seller.delivery, orders=1.0)
    if seller.free_from is None or sum(price * most for _, most, price in bought) < seller.free_from:
        for column, most, _ in bought:
            row(-INF, 0.0, [(column, 1.0), (pays, -float(most))])
        return False
    free = frame.column(("free", seller.id), 0, 1, orders=1.0)
    row(-INF, 1.0, [(pays, 1.0), (free, 1.0)])
    row(0.0, INF, [*((c, float(price)) for c, _, price in bought), (free, -float(seller.free_from))])
    extras = []
    for column, most, price in bought:
        if frame.program.keys[column][0] == "extra":
            row(-INF, 0.0, [(column, 1.0), (free, -float(most))])
            extras.append((column, float(price)))
        else:
            row(-INF, 0.0, [(column, 1.0), (pays, -float(most)), (free, -float(most))])
    if extras:
        # Filling an order up pays only as long as it costs less than the delivery.
        row(-INF, 0.0, [*extras, (free, -float(seller.delivery - 1))])
    return True
