"""Trouble codes: bytes of SAE J1979 and J2012, both directions, and frames of both kinds of bus."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from onceapart.errors import SumError
from onceapart.sums.diagnostics.codes import (
    TroubleCode,
    could_be_can,
    decode_code,
    decode_reply,
    encode_code,
    is_generic,
)
from onceapart.sums.diagnostics.codes_sum import parse_codes_or_reply
from onceapart.sums.diagnostics.replies import Reply, parse_reply
from onceapart.sums.diagnostics.vin import parse_vin
from onceapart.sums.run import run_sum


# SAE J1979 and J2012: layout from memory, each worked out by hand bit by bit.
@pytest.mark.parametrize(
    ("high", "low", "code"),
    [
        (0x01, 0x33, "P0133"),
        (0x04, 0x20, "P0420"),
        (0x43, 0x12, "C0312"),
        (0x92, 0x34, "B1234"),
        (0xD0, 0x16, "U1016"),
        (0x3F, 0xFF, "P3FFF"),
    ],
)
def test_codes_of_the_standards_layout(high, low, code):
    assert decode_code(high, low) == code
    assert encode_code(code) == (high, low)


def test_every_pair_of_bytes_is_one_code_and_back():
    seen = set()
    for high in range(256):
        for low in range(256):
            code = decode_code(high, low)
            assert encode_code(code) == (high, low)
            seen.add(code)
    assert len(seen) == 65536


def _codes(text, **bus):
    return [str(each) for each in decode_reply(parse_reply(text), **bus)]


@pytest.mark.parametrize(
    ("text", "codes"),
    [
        ("43 01 33 00 00 00 00", ["P0133"]),
        ("43 01 33 04 20 D0 16", ["P0133", "P0420", "U1016"]),
        ("43 00 00 00 00 00 00", []),
        ("43 00", []),
        ("43 01 01 33", ["P0133"]),
        ("43 02 01 33 04 20", ["P0133", "P0420"]),
        ("430201330420", ["P0133", "P0420"]),
    ],
)
def test_frames_of_both_buses(text, codes):
    assert _codes(text) == codes


def test_a_frame_that_makes_sense_on_both_buses_can_be_settled_by_hand():
    reply = "43 01 33 00 00 00 00"
    assert could_be_can(parse_reply(reply))
    assert _codes(reply, can=True) == ["P3300"]
    assert _codes(reply, can=False) == ["P0133"]
    result = run_sum("diagnostic-codes", {"replies": reply})
    assert result.values["codes"] == "P0133"
    assert any("P3300" in warning for warning in result.warnings)
    assert not run_sum("diagnostic-codes", {"replies": reply, "bus": "older"}).warnings


def test_filled_up_frames_on_can():
    assert _codes("43 01 04 20 00 00 00", can=True) == ["P0420"]
    assert _codes("43 01 04 20 AA AA AA", can=True) == ["P0420"]


pairs = st.lists(st.tuples(st.integers(0, 255), st.integers(0, 255)).filter(any), max_size=30)


@given(pairs)
def test_what_is_put_into_a_reply_comes_out(codes):
    flat = [byte for pair in codes for byte in pair]
    wanted = [decode_code(*pair) for pair in codes]
    assert [each.code for each in decode_reply(Reply([0x43, len(codes), *flat]))] == wanted
    assert [each.code for each in decode_reply(Reply([0x43, *flat, 0, 0]))] == wanted


def test_kind_goes_by_the_first_byte():
    assert [each.kind for each in decode_reply(parse_reply("47 01 01 71"))] == ["pending"]
    assert [each.kind for each in decode_reply(parse_reply("4A 01 01 71"))] == ["permanent"]


# SAE J2012 (ISO 15031-6), from memory
@pytest.mark.parametrize(
    ("code", "generic"),
    [
        ("P0133", True),
        ("P1133", False),
        ("P2133", True),
        ("P3133", False),
        ("P3400", True),
        ("P3F00", True),
        ("C0312", True),
        ("C1312", False),
        ("C2312", False),
        ("B2312", False),
        ("U0100", True),
        ("U3000", True),
    ],
)
def test_who_says_what_a_code_means(code, generic):
    assert is_generic(code) is generic
    assert TroubleCode(code, "stored").words


def test_codes_can_be_typed_as_such():
    result = run_sum("diagnostic-codes", {"replies": "p0420, P0133; 43 01 33 00 00 00 00"})
    assert result.values["codes"] == "P0420, P0133"
    assert [row[1] for row in result.tables[0].rows] == ["as typed", "as typed", "stored"]


def test_airbag_codes_bring_a_caution():
    assert any("Airbag" in warning for warning in run_sum("diagnostic-codes", {"replies": "B0012"}).warnings)


@pytest.mark.parametrize(
    ("replies", "message"),
    [
        ("41 01 83 07 65 04", "must begin with 43"),
        ("43", "number of codes comes next|odd|read it again"),
        ("43 03 01 33", "says 3 codes, but holds 2 bytes"),
        ("43 01 01 33 04 20", "has another number"),
        ("P0G33", "not a trouble code"),
        ("P4000", "not a trouble code"),
        ("hello", "not bytes in hex"),
    ],
)
def test_what_is_no_reply_is_refused(replies, message):
    bus = "can" if replies == "43" else "any"
    with pytest.raises(SumError, match=message):
        run_sum("diagnostic-codes", {"replies": replies, "bus": bus})


def test_edges_are_refused():
    with pytest.raises(SumError, match="not two bytes"):
        decode_code(256, 0)
    with pytest.raises(SumError, match="odd number"):
        decode_reply(parse_reply("43 01 02 03"), can=False)
    with pytest.raises(SumError, match="more than 256 bytes"):
        parse_reply("00" * 257)
    with pytest.raises(SumError, match="no bytes"):
        parse_reply(" , ")


@given(st.text(st.sampled_from("0123456789ABCDEFPCUx ,.-GZ٣"), max_size=40) | st.text(max_size=40))
def test_any_text_is_read_or_refused_never_worse(text):
    for parse in (parse_codes_or_reply, parse_reply, parse_vin):
        try:
            value = parse(text)
        except SumError:
            continue
        assert len(value) > 0
