"""A rule pack of one's own for the tests, and reading one that is no good."""

from __future__ import annotations

from pathlib import Path

import pytest

from onceapart.errors import Problem, TradeDataError
from onceapart.trade.rules import load_pack_file

OWN = """\
format: onceapart-rules/1
id: club-check
title: Club check
about: What our club asks for before a rally.
extends: us-570
sources:
  club: {title: Rules of the club, seen: the club's own paper}
facts:
  plate: {title: Plate behind the wheel, ask: Is there one?, words: {"yes": it is there, "no": it is not}}
items:
  - id: tow-eye
    title: Tow eye
    at: car
    place: front
    system: body
    how: look
    stage: on-the-ground
    check: Screw it in and look at the thread.
    words:
      rusty: rusty
      missing: missing
rules:
  - {id: tread, below: 3 mm, clause: club 4, source: club}
  - {id: toe, drop: true}
  - id: tow-eye-missing
    item: tow-eye
    class: minor
    seen: [missing]
    when: {fact: {plate: "yes"}}
    clause: club 7
    source: club
    status: common practice
"""
"""Changes a row, drops a row, and adds an item with a row, to the pack of 49 CFR 570."""


def write(folder: Path, text: str | bytes) -> Path:
    path = folder / "own.yaml"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return path


def problems_of(path: Path) -> tuple[Problem, ...]:
    """Problems of a pack that is no good; each has a rule and a way out."""
    with pytest.raises(TradeDataError) as caught:
        load_pack_file(path)
    assert caught.value.source == str(path)
    for problem in caught.value.problems:
        assert problem.rule
        assert problem.way_out
        assert "workshop file" not in f"{problem.rule} {problem.way_out}", "a pack is no workshop file"
        assert "recipes.md" not in problem.way_out, "a pack has a page of its own"
    return caught.value.problems
