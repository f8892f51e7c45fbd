"""What people type, and what is refused."""

import contextlib
import math
import time
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from onceapart.errors import QuantityError
from onceapart.sums.quantity import LONGEST, parse_quantity

READ = [
    ("1 3/4 in", "mm", 44.45),
    ("1-3/4 in", "mm", 44.45),
    ('3/4"', "mm", 19.05),
    ("1¾ in", "mm", 44.45),
    ("½ in", "mm", 12.7),
    ("⅞″", "mm", 22.225),
    ("5' 3\"", "mm", 1600.2),
    ("5'3", "mm", 1600.2),
    ("5 ft 3 in", "mm", 1600.2),
    ("5′ 3 1/2″", "mm", 1612.9),
    ("12,5 mm", "mm", 12.5),
    (",5 mm", "mm", 0.5),
    ("0,125 mm", "mm", 0.125),
    ("61 Nm", "N·m", 61),
    ("61 N·m", "N·m", 61),
    ("61 N m", "N·m", 61),
    ("61NM", "N·m", 61),
    ("9.80665 N·m", "kgf·m", 1),
    ("32 psi", "psi", 32),
    ("60 mph", "km/h", 96.56064),
    ("20 degC", "°C", 20),
    ("20 °C", "°C", 20),
    ("68F", "°C", 20),
    ("-40 F", "°C", -40),
    ("−40 °F", "°C", -40),
    ("27 F", "Δ°C", 15),
    ("8.8", "", 8.8),
    ("20 %", "", 0.2),
    ("30", "%", 30),
    ("1 280 kg", "kg", 1280),
    ("87 000 km", "km", 87000),
    ("1e3 N", "kN", 1),
    ("1° 30'", "°", 1.5),
    ("-0° 30'", "°", -0.5),
    ("1 h 30", "min", 90),
    ("2 lb 4 oz", "lb", 2.25),
    ("0.18 mm/1000 km", "mm/1000 km", 0.18),
    ("0.6 g", "gₙ", 0.6),
    ("50 lb", "lbf", 50),
    ("460 J/(kg K)", "J/(kg·K)", 460),
    ("960 a year", "money/month", 80),
    ("  7 ", "mm", 7),
]


@pytest.mark.parametrize(("text", "unit", "value"), READ)
def test_what_people_type_is_read(text, unit, value):
    assert parse_quantity(text, unit).value == pytest.approx(value, rel=1e-12)


def test_45_pound_feet_by_definition():
    assert parse_quantity("45 lb-ft", "N·m").value == pytest.approx(45 * 4.4482216152605 * 0.3048)


@pytest.mark.parametrize("text", ["45 lb-ft", "45 ft-lb", "45 lb ft", "45 ft.lbs", "45 lbf·ft", "45 FTLB"])
def test_one_torque_in_many_spellings(text):
    assert parse_quantity(text, "lb·ft").value == 45


def test_a_bare_number_takes_the_unit_asked_for_and_says_so():
    assert not parse_quantity("22", "mm").has_typed_unit
    assert parse_quantity("22 mm", "mm").has_typed_unit


REFUSED = [
    "9**9**9**9",
    "9" * 1_000_000,
    "(" * 50,
    "2+2 mm",
    "1/0 mm",
    "1 1/0 in",
    "1.2.3 mm",
    "--5 mm",
    "5 mm mm",
    "5 kg",
    "5 furlongs",
    "nan",
    "inf mm",
    "1e999 mm",
    "",
    "   ",
    "mm",
    "5 ft 13 in",
    "5.5 ft 3 in",
    "20 -",
    "0x10 mm",
    "1_000 mm",
    "٣ mm",
    "５ mm",
    "5\u200bmm",
    "5 mm\n6 mm",
    "\u202e5 mm",
    "__import__('os')",
    "²",
    "5²",
    "5\x00mm",
]


@pytest.mark.parametrize("text", REFUSED, ids=lambda text: ascii(text[:20]))
def test_anything_else_is_refused_at_once_with_an_example(text):
    began = time.perf_counter()
    with pytest.raises(QuantityError, match="write it like") as caught:
        parse_quantity(text, "mm")
    assert time.perf_counter() - began < 0.1
    assert len(str(caught.value)) < 200


def test_a_comma_that_could_be_thousands_is_not_guessed():
    with pytest.raises(QuantityError, match=r"1500 or 1\.500"):
        parse_quantity("1,500 N", "N")


def test_fluid_ounces_are_not_guessed():
    with pytest.raises(QuantityError, match="differs between countries"):
        parse_quantity("20 fl oz", "ml")


@given(st.text(max_size=2 * LONGEST))
def test_no_text_breaks_the_reader(text):
    with contextlib.suppress(QuantityError):
        assert math.isfinite(parse_quantity(text, "mm").value)


@given(st.text("0123456789 ./,-+e'\"mftincx°", max_size=LONGEST))
def test_nearly_right_text_is_read_or_refused_quickly(text):
    began = time.perf_counter()
    with contextlib.suppress(QuantityError):
        parse_quantity(text, "mm")
    assert time.perf_counter() - began < 0.1


@given(st.integers(0, 9999), st.integers(1, 9999), st.integers(1, 9999))
def test_mixed_fractions_are_exact(whole, top, bottom):
    read = parse_quantity(f"{whole} {top}/{bottom}", "in").value
    assert read == pytest.approx(float(whole + Fraction(top, bottom)), rel=1e-13)


@given(st.decimals(-10000, 10000, places=4))
def test_decimal_point_and_comma_are_equal(number):
    text = f"{number:.4f}"
    with_point, with_comma = parse_quantity(f"{text} mm", "mm"), parse_quantity(text.replace(".", ","), "mm")
    assert with_point.value == with_comma.value == pytest.approx(float(number), abs=1e-12)
