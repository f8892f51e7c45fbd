"""Units against pint, a general-purpose library; conversion by its laws."""

import math
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from onceapart.errors import SumError
from onceapart.sums.quantity import EXAMPLES, parse_quantity
from onceapart.sums.units import KINDS, UNITS, convert, kind_of, plain_spelling, spellings_of


@pytest.fixture(scope="module")
def pint_registry():
    import pint

    return pint.UnitRegistry()


LIKE_UNITS = [(kind, unit) for kind, units in KINDS.items() for unit in units]


@pytest.mark.parametrize(("kind", "unit"), LIKE_UNITS)
def test_conversion_agrees_with_pint(pint_registry, kind, unit):
    first = KINDS[kind][0]
    ours = convert(37.5, unit, first)
    pints = _in_pint(pint_registry, 37.5, unit).to(_in_pint(pint_registry, 1, first).units)
    assert ours == pytest.approx(pints.magnitude / _in_pint(pint_registry, 1, first).magnitude, rel=1e-12)


def _in_pint(registry, value, unit):
    expression = UNITS[unit].pint or "dimensionless"
    if re.search(r"\b\d{2}", expression):  # a number within, such as mm/(1000*km), is no unit to pint
        return value * registry.parse_expression(expression)
    return registry.Quantity(value, expression)


def test_every_unit_belongs_to_a_kind_and_every_kind_has_examples():
    assert {unit for units in KINDS.values() for unit in units} == set(UNITS)
    assert set(EXAMPLES) == set(KINDS)


@pytest.mark.parametrize("kind", KINDS)
def test_no_two_units_of_a_kind_are_spelled_alike(kind):
    words = [word for unit in KINDS[kind] for word in UNITS[unit].spellings.split()]
    assert len(words) == len(set(words))
    assert all(plain_spelling(word) == word for word in words if word not in {"°c", "°f"})


@pytest.mark.parametrize(("kind", "unit"), LIKE_UNITS)
def test_every_symbol_can_be_typed_back(kind, unit):
    if UNITS[unit].shown is None and unit not in {"′", "″"}:
        assert parse_quantity(f"3 {unit}", unit, kind).value == 3


@pytest.mark.parametrize("kind", KINDS)
def test_every_spelling_is_read(kind):
    for word, unit in spellings_of(kind).items():
        assert parse_quantity(f"3 {word}", unit.symbol, kind).value == pytest.approx(3)


@pytest.mark.parametrize("unit", [unit for unit in UNITS if UNITS[unit].imperial])
def test_the_imperial_unit_measures_the_same_thing(unit):
    assert math.isfinite(convert(1.0, unit, UNITS[unit].imperial))


@given(
    st.sampled_from([(a, b) for units in KINDS.values() for a in units for b in units]),
    st.floats(-1e6, 1e6, allow_subnormal=False),
)
def test_there_and_back_again(units, value):
    one, other = units
    back = convert(convert(value, one, other), other, one)
    assert back == pytest.approx(value, rel=1e-9, abs=1e-9)


def test_unlike_units_are_refused():
    with pytest.raises(SumError, match="measure different things"):
        convert(1, "mm", "kg")


def test_lengths_and_distances_convert():
    assert convert(1, "km", "mm") == 1e6


def test_an_unknown_unit_says_where_to_add_it():
    with pytest.raises(KeyError, match=r"units\.py"):
        kind_of("furlong")
