"""Bolts as people write them."""

import contextlib
import time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from onceapart.errors import SumError
from onceapart.sums.bolts.designation import (
    parse_bolt,
    parse_bolt_with_class,
    parse_bolt_with_length,
    parse_whole_bolt,
)
from onceapart.sums.bolts.strength import class_names
from onceapart.sums.bolts.threads import known_threads

READ = [
    ("M10", "M10x1.5"),
    ("m 10", "M10x1.5"),
    ("M10x1.25 10.9", "M10x1.25 10.9"),
    ("M10×1,25 10,9", "M10x1.25 10.9"),
    ("M10*1.25", "M10x1.25"),
    ("M10x1.25-10.9", "M10x1.25 10.9"),
    ("M10/8.8", "M10x1.5 8.8"),
    ("M6x1", "M6x1"),
    ("M6x1x20", "M6x1 x 20 mm"),
    ("M8x40", "M8x1.25 x 40 mm"),
    ("M8x40-8.8", "M8x1.25 x 40 mm 8.8"),
    ("M8 x 40 mm", "M8x1.25 x 40 mm"),
    ("M8 x 1 x 40 8.8", "M8x1 x 40 mm 8.8"),
    ("M10 8.8 x 50", "M10x1.5 x 50 mm 8.8"),
    ("M10 10.9x60", "M10x1.5 x 60 mm 10.9"),
    ("M10 8.8, 50 mm", "M10x1.5 x 50 mm 8.8"),
    ("M10 x 1.5 x 40 10.9", "M10x1.5 x 40 mm 10.9"),
    ("M10 class 8.8", "M10x1.5 8.8"),
    ("M12x60 a4 80", "M12x1.75 x 60 mm A4-80"),
    ("M10x1.25x60 unmarked", "M10x1.25 x 60 mm unmarked"),
    ("3/8-16", "3/8-16 UNC"),
    ("3/8 UNF", "3/8-24 UNF"),
    ("3/8-16 UNC grade 8", "3/8-16 UNC grade 8"),
    ('3/8-16 UNC x 1 1/2" gr. 8', "3/8-16 UNC x 1.5 in grade 8"),
    ("3/8-16 gr8 x 2", "3/8-16 UNC x 2 in grade 8"),
    ("5/16-18 x 40 mm SAE grade 5", "5/16-18 UNC x 1.575 in grade 5"),
    ("1/2-13x2", "1/2-13 UNC x 2 in"),
    ("1-8 UNC", "1-8 UNC"),
]


@pytest.mark.parametrize(("text", "meant"), READ)
def test_bolts_are_read(text, meant):
    assert str(parse_bolt(text)) == meant


@pytest.mark.parametrize("thread", known_threads(), ids=str)
def test_every_thread_can_be_written_back_in_every_class(thread):
    for length in (None, 50.8):
        for name in class_names(thread.system):
            if (name, thread.size) in {("9.8", "18"), ("9.8", "20")}:
                continue  # class 9.8 ends at M16
            text = f"{thread}{f' x {length} mm' if length else ''} {name}"
            bolt = parse_bolt(text)
            assert (bolt.thread, bolt.strength.name) == (thread, name)
            assert bolt.length_mm == pytest.approx(length) if length else bolt.length_mm is None


REFUSED = [
    ("M11", "M11 is not in the table; it has M5, M6"),
    ("M10x3 8.8", "no such pitch; there is M10x1.5, M10x1.25, M10x1"),
    ("M10x50x60", "two lengths"),
    ("M10x400", "must be 5 to 300 mm"),
    ("M10x4.5", "must be 5 to 300 mm"),
    ("3/8", "threads per inch missing; write 3/8-16 UNC or 3/8-24 UNF"),
    ("3/8-20", "no such thread"),
    ("3/8-24 UNC", "no such thread"),
    ("5/0-20", "not in the table"),
    ("M10 9.9", "no class of a metric bolt we know"),
    ("M10 grade 8", "no class of a metric bolt we know"),
    ("3/8-16 8.8", "no class of an inch bolt we know"),
    ("M18 9.8", "no such class for M18x2.5"),
    ("1/2 UNC x 1e3", "must be 5 to 300 mm"),
    ("", "write it like"),
    ("bolt", "write it like"),
    ("M١٠", "write it like"),
    ("9**9**9**9", "write it like"),
    ("M" * 1000, "write it like"),
    ("M10 " * 15, "write it like"),
]


@pytest.mark.parametrize(("text", "says"), REFUSED, ids=lambda text: text[:20])
def test_what_is_no_bolt_is_refused_with_a_way_out(text, says):
    with pytest.raises(SumError, match=says):
        parse_bolt(text)


def test_missing_parts_are_asked_for():
    with pytest.raises(SumError, match=r"class missing.*8\.8 or 10\.9, or 'unmarked'"):
        parse_bolt_with_class("M10")
    with pytest.raises(SumError, match="grade 5 or grade 8"):
        parse_whole_bolt("3/8-16 x 2")
    with pytest.raises(SumError, match=r"length missing.*M10x1\.5 x 50"):
        parse_bolt_with_length("M10 8.8")


@given(st.text("Mm0123456789x.,/- UNCFgradeA \"'in", max_size=40))
def test_nearly_right_text_is_read_or_refused_quickly(text):
    began = time.perf_counter()
    with contextlib.suppress(SumError):
        parse_bolt(text)
    assert time.perf_counter() - began < 0.1
