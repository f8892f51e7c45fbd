"""Problems of the literature and of other libraries, cast as workshop files. Their optima are in the tests.

Each is written as a workshop file's text (JSON is YAML too), to go the whole way through reading.
"""

from __future__ import annotations

import itertools
import json
from collections.abc import Sequence
from fractions import Fraction
from pathlib import Path
from typing import Any

Money = float | int


def _file(**sections: Any) -> str:
    head = {
        "format": "onceapart-workshop/1",
        "name": "A published problem",
        "today": "2026-03-02",
        "currency": "EUR",
        "hour_worth": 0,
        "cars": [{"id": "car", "name": "Car"}],
    }
    return json.dumps({**head, **sections}, indent=1)


def _money(minor: int) -> Money:
    """Minor units as a file's decimal number."""
    return minor if minor == 0 else float(f"{minor / 100:.2f}")


def _must(name: str, **more: Any) -> dict[str, Any]:
    return {"id": name, "car": "car", "need": "safety", "minutes": 0, **more}


def _wish(name: str, worth: int, **more: Any) -> dict[str, Any]:
    return {"id": name, "car": "car", "need": "wish", "minutes": 0, "worth": _money(worth), **more}


def warehouse_location(data: Path, minor_units_for_one: int) -> str:
    """A purchase that is an uncapacitated warehouse location problem in OR-Library's format.

    A customer is a part that the one job needs, a warehouse a seller, its fixed cost the delivery, and
    serving the customer from there an offer. Amounts are multiplied to become whole minor units.
    """
    words = iter(data.read_text(encoding="ascii").split())

    def minor(word: str) -> int:
        scaled = Fraction(word.removesuffix(".")) * minor_units_for_one
        assert scaled.denominator == 1, word
        return int(scaled)

    warehouses, customers = int(next(words)), int(next(words))
    sellers = []
    for warehouse in range(warehouses):
        next(words)  # capacity
        delivery = _money(minor(next(words)))
        name = f"warehouse-{warehouse}"
        sellers.append({"id": name, "name": name, "delivery": delivery, "days": 0})
    offers = []
    for customer in range(customers):
        next(words)  # demand
        offers += [
            {
                "id": f"from-{warehouse}-to-{customer}",
                "seller": f"warehouse-{warehouse}",
                "parts": {f"customer-{customer}": 1},
                "price": _money(minor(next(words))),
            }
            for warehouse in range(warehouses)
        ]
    assert next(words, None) is None
    return _file(
        jobs=[_must("serve", parts={f"customer-{customer}": 1 for customer in range(customers)})],
        sellers=sellers,
        offers=offers,
        stints=[{"date": "2026-03-02", "minutes": 0}],
    )


def bin_packing(sizes: Sequence[int], capacity: int, bins: int) -> str:
    """Items are jobs, bins are stints; every job brings the same sweeping up, which costs 1.00 a stint."""
    return _file(
        aftercare=[{"id": "sweep", "minutes": 0, "price": 1}],
        jobs=[_must(f"item-{n}", minutes=size, aftercare=["sweep"]) for n, size in enumerate(sizes)],
        stints=[{"date": "2026-03-02", "minutes": capacity, "id": f"bin-{n}"} for n in range(bins)],
    )


def knapsack(values: Sequence[int], weights: Sequence[int], capacity: int) -> str:
    """Items are wishes, the knapsack is a stint, values are worth in minor units."""
    return _file(
        jobs=[
            _wish(f"item-{n}", value, minutes=weight)
            for n, (value, weight) in enumerate(zip(values, weights, strict=True))
        ],
        stints=[{"date": "2026-03-02", "minutes": capacity}],
    )


def assignment(costs: Sequence[Sequence[int]], reward: int) -> str:
    """Each pair of a row and a column is a wish worth ``reward`` less its cost.

    It uses up the one piece of the row and the one of the column, which lie on the shelf and nobody sells.
    With a reward that is large enough as many pairs are made as can be, at the least cost.
    """
    rows, columns = range(len(costs)), range(len(costs[0]))
    pairs = itertools.product(rows, columns)
    return _file(
        shelf={**{f"row-{row}": 1 for row in rows}, **{f"column-{column}": 1 for column in columns}},
        jobs=[
            _wish(
                f"pair-{row}-{column}",
                reward - costs[row][column],
                parts={f"row-{row}": 1, f"column-{column}": 1},
            )
            for row, column in pairs
        ],
        stints=[{"date": "2026-03-02", "minutes": 0}],
    )


def covering(sets: Sequence[Sequence[int]]) -> str:
    """Sets are kits at 1.00 each from one seller; the one job needs every element."""
    elements = sorted({element for members in sets for element in members})
    return _file(
        jobs=[_must("all", parts={f"element-{element}": 1 for element in elements})],
        sellers=[{"id": "seller", "name": "Seller", "delivery": 0, "days": 0}],
        offers=[
            {
                "id": f"set-{n}",
                "seller": "seller",
                "parts": {f"element-{element}": 1 for element in members},
                "price": 1,
            }
            for n, members in enumerate(sets)
        ],
        stints=[{"date": "2026-03-02", "minutes": 0}],
    )


def affine_lines(dimension: int) -> list[list[int]]:
    """For each point of the affine space over three elements, the numbers of the lines through it."""
    points = list(itertools.product(range(3), repeat=dimension))
    place = {point: number for number, point in enumerate(points)}
    lines = set()
    for one, two in itertools.combinations(points, 2):
        third = tuple((-a - b) % 3 for a, b in zip(one, two, strict=True))
        lines.add(frozenset((place[one], place[two], place[third])))
    return _lines_through(len(points), lines)


def projective_lines(dimension: int) -> list[list[int]]:
    """For each point of the projective space over two elements, the numbers of the lines through it."""
    points = range(1, 2 ** (dimension + 1))
    lines = {frozenset((a - 1, b - 1, (a ^ b) - 1)) for a, b in itertools.combinations(points, 2)}
    return _lines_through(len(points), lines)


def _lines_through(points: int, lines: set[frozenset[int]]) -> list[list[int]]:
    ordered = sorted(sorted(line) for line in lines)
    return [[number for number, line in enumerate(ordered) if at in line] for at in range(points)]
