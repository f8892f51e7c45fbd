"""Trouble codes from the bytes of a reply."""

from __future__ import annotations

import re

from onceapart.sums.diagnostics import sources
from onceapart.sums.diagnostics.codes import (
    TroubleCode,
    could_be_can,
    decode_reply,
    encode_code,
)
from onceapart.sums.diagnostics.replies import Reply, parse_reply
from onceapart.sums.inputs import ChoiceInput, RowsInput, TextInput
from onceapart.sums.registry import Sum
from onceapart.sums.result import Output, Result, Table


class Codes(tuple[str, ...]):
    """Codes typed as such."""

    def __str__(self) -> str:
        return " ".join(self)


def parse_codes_or_reply(text: str) -> Codes | Reply:
    """Codes such as ``P0133 P0420``, or the bytes of a reply."""
    words = re.split(r"[\s,]+", text.strip().upper())
    if all(re.fullmatch(r"[PCBU][0-9A-Z]{4}", word, re.ASCII) for word in words):
        for word in words:
            encode_code(word)
        return Codes(words)
    return parse_reply(text)


def codes_answer(replies: tuple[Codes | Reply, ...], bus: str) -> Result:
    """Which codes does the reply hold, and who says what they mean?"""
    can = {"any": None, "can": True, "older": False}[bus]
    found: list[TroubleCode] = []
    warnings = []
    for row in replies:
        if isinstance(row, Codes):
            found += [TroubleCode(each, "as typed") for each in row]
            continue
        codes = decode_reply(row, can=can)
        found += codes
        if can is None and could_be_can(row):
            other = ", ".join(map(str, decode_reply(row, can=True)))
            warnings.append(
                f"{row}: read as from a bus before CAN. If the car has CAN it is {other}: set bus."
            )
    found = list(dict.fromkeys(found))
    if any(each.code[0] == "B" for each in found):
        warnings.append("Airbag and belt circuits: leave them to a licensed mechanic.")
    if any(each.kind == "permanent" for each in found):
        warnings.append("Permanent codes go only when the car itself finds the fault cured (from memory).")
    columns = (
        Output(name="code", label="Code", unit=None),
        Output(name="kind", label="Kind", unit=None),
        Output(name="by", label="Meaning by", unit=None),
        Output(name="words", label="Meaning (from memory)", unit=None),
    )
    rows = tuple(
        (each.code, each.kind, "standard" if each.is_generic else "maker", each.words) for each in found
    )
    return Result(
        values={
            "count": float(len(found)),
            "codes": ", ".join(map(str, dict.fromkeys(map(str, found)))) or "none",
        },
        reasons=("A code names what was seen, not the part to renew: look for the cause first.",)
        if found
        else ("No code in it.",),
        warnings=tuple(warnings),
        tables=(Table("Codes", columns, rows),) if rows else (),
    )


CODES = Sum(
    name="diagnostic-codes",
    title="Trouble codes",
    question="Which trouble codes are in this reply, and what do they mean?",
    inputs=(
        RowsInput(
            name="replies",
            label="Reply to mode 03",
            example="43 01 33 04 20 00 00",
            help="As the reader shows it, from 43 (stored), 47 (pending) or 4A (permanent) on; or the codes.",
            most=20,
            columns=(
                TextInput(
                    name="reply",
                    label="Reply",
                    parse=parse_codes_or_reply,
                    what="bytes in hex, or codes",
                    example="43 01 33 04 20 00 00",
                    longest=800,
                ),
            ),
        ),
        ChoiceInput(
            name="bus",
            label="Bus",
            choices={
                "any": "by the length of the reply",
                "can": "CAN: all US cars from 2008",
                "older": "buses before CAN",
            },
            default="any",
            example="can",
        ),
    ),
    outputs=(
        Output(name="count", label="Codes", unit=""),
        Output(name="codes", label="They are", unit=None),
    ),
    sources=(sources.CODE_BYTES, sources.CODE_WORDS),
    example={"replies": "43 01 33 04 20 00 00"},
    cautions=(
        "Codes of brakes, steering or airbags: have the work checked by a licensed mechanic; never probe an "
        "airbag connector.",
    ),
    answer=codes_answer,
)
