"""A rule pack of one's own: laid over the one it extends, and all that is wrong said with its line."""

from __future__ import annotations

import string
import time

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from own_packs import OWN, problems_of, write

from onceapart.errors import TradeDataError
from onceapart.trade.rules import load_pack, load_pack_file
from onceapart.trade.rules.limits import read_amount, read_limit

BASE = load_pack("us-570")


def row(pack, name):
    return next(rule for rule in pack.rules if rule.id == name)


def test_own_pack_changes_drops_and_adds(tmp_path):
    pack = load_pack_file(write(tmp_path, OWN))
    assert pack.lineage == ("club-check", "us-570", "items")
    changed, before = row(pack, "tread"), row(BASE, "tread")
    assert (changed.below.text, changed.clause, changed.source) == ("3 mm", "club 4", "club")
    assert (changed.item, changed.class_, changed.status) == (before.item, before.class_, before.status)
    assert {rule.id for rule in BASE.rules} - {rule.id for rule in pack.rules} == {"toe"}
    assert {rule.id for rule in pack.rules} - {rule.id for rule in BASE.rules} == {"tow-eye-missing"}
    unchanged = [rule for rule in pack.rules if rule.id not in ("tread", "tow-eye-missing")]
    assert unchanged == [rule for rule in BASE.rules if rule.id not in ("tread", "toe")]
    assert {*pack.sources} == {*BASE.sources, "club"}
    assert pack.unjudged("tow-eye") == ("rusty",)


def test_the_pack_that_is_extended_stays_as_it_was(tmp_path):
    before = load_pack("us-570").model_dump()
    load_pack_file(write(tmp_path, OWN))
    assert load_pack("us-570").model_dump() == before


def test_a_limit_the_other_way_round_takes_the_old_one_out(tmp_path):
    text = OWN.replace("{id: tread, below: 3 mm,", "{id: tread, above: 3 mm,")
    changed = row(load_pack_file(write(tmp_path, text)), "tread")
    assert (changed.below, changed.above.text) == (None, "3 mm")


def test_an_item_keeps_what_it_is_not_given_and_gains_words(tmp_path):
    text = OWN.replace(
        "rules:\n",
        "  - {id: discs, title: Disc, words: {blue: blue from heat}}\n"
        "  - {id: tread-depth, plausible: [0, 30]}\nrules:\n",
    )
    pack = load_pack_file(write(tmp_path, text))
    old, new = BASE.item("discs"), pack.item("discs")
    assert (new.title, new.words) == ("Disc", {**old.words, "blue": "blue from heat"})
    assert new.model_dump(exclude={"title", "words"}) == old.model_dump(exclude={"title", "words"})
    assert pack.item("tread-depth").plausible == (0, 30)
    assert pack.item("tread-depth").cures == BASE.item("tread-depth").cures


def test_dropping_an_item_drops_its_rows(tmp_path):
    text = OWN.replace("rules:\n", "  - {id: spring, drop: true}\nrules:\n")
    pack = load_pack_file(write(tmp_path, text))
    assert pack.item("spring") is None
    assert not [rule for rule in pack.rules if rule.item == "spring"]


def test_a_pack_may_stand_alone(tmp_path):
    text = OWN.replace("extends: us-570\n", "")
    lines = [line for line in text.splitlines() if "id: tread," not in line and "id: toe," not in line]
    pack = load_pack_file(write(tmp_path, "\n".join(lines)))
    assert ([rule.id for rule in pack.rules], len(pack.items)) == (["tow-eye-missing"], 1)


def line_of(text, part):
    return next(number for number, line in enumerate(text.splitlines(), 1) if part in line)


@pytest.mark.parametrize(
    ("old", "new", "at", "value", "said"),
    [
        ("title: Club check", "titel: Club check", "titel", "titel", "`title`"),
        ("extends: us-570", "extends: us-57", "extends", "us-57", "did you mean us-570"),
        ("id: club-check", "id: eu-2014-45", "id: eu-2014-45", "eu-2014-45", "an id of its own"),
        ("source: club\n", "source: clib\n", "source: clib", "clib", "did you mean club?"),
        ("    clause: club 7\n", "", "- id: tow-eye-missing", "", "needs clause, too"),
        ("    status: common practice\n", "", "- id: tow-eye-missing", "", "needs status, too"),
        ("status: common practice", "status: sure", "status: sure", "sure", "verified, from memory"),
        ("class: minor", "class: severe", "class: severe", "severe", "minor, major, dangerous"),
        ("seen: [missing]", "seen: [misssing]", "seen: [miss", "misssing", "did you mean missing?"),
        ("seen: [missing]", "seen: [sound]", "- id: tow-eye-missing", "", "fails nothing"),
        ("seen: [missing]", "below: 3 mm", "    below: 3 mm", "3 mm", "seen, not measured"),
        ("seen: [missing]", "seen: [missing]\n    above: 1", "- id: tow-eye-missing", "", "just one"),
        ("below: 3 mm", "seen: [worn]", "id: tread", "worn", "measured, not seen"),
        ("below: 3 mm", "below: 3", "id: tread", "3", "mm, cm, m, in".replace(", ", " or ")),
        ("below: 3 mm", "below: 3 psi", "id: tread", "3 psi", "correct the unit"),
        ("below: 3 mm", "below: three mm", "id: tread", "three mm", "1.6 mm"),
        ("below: 3 mm", "below: markd", "id: tread", "markd", "did you mean marked?"),
        ("below: 3 mm", "below: plate x 2", "id: tread", "plate x 2", "same quantity"),
        ("{id: tread,", "{id: tred,", "id: tred,", "tred", "did you mean tread?"),
        ("{id: toe, drop", "{id: to, drop", "id: to,", "to", "nothing with this id to drop"),
        ("drop: true", "drop: perhaps", "drop: perhaps", "perhaps", "`drop: true`"),
        ("drop: true", "drop: true, class: minor", "drop: true", "class", "take this out"),
        ("item: tow-eye", "item: tow-eie", "item: tow-eie", "tow-eie", "did you mean tow-eye?"),
        ('{plate: "yes"}', '{plat: "yes"}', "plat:", "plat", "did you mean plate?"),
        ('{plate: "yes"}', "{plate: maybe}", "plate: maybe", "maybe", "yes, no"),
        ('{plate: "yes"}', "{plate: {up-to: 3 mm}}", "up-to", "", "yes, no"),
        ('{fact: {plate: "yes"}}', "{axle: front}", "{axle: front}", "", "no axle is known"),
        ('{fact: {plate: "yes"}}', "{}", "when: {}", "a map", "says something"),
        ('{fact: {plate: "yes"}}', "{registered: {}}", "registered", "a map", "`from`, `before`"),
        ("missing: missing", "sound: fine", "- id: tow-eye", "", "`sound` is a word of every item"),
        ("    words:\n      rusty: rusty\n      missing: missing\n", "", "- id: tow-eye", "", "measured or"),
        ("how: look", "how: sniff", "how: sniff", "sniff", "look, shake"),
        ("stage: on-the-ground", "stage: on-stands", "- id: tow-eye", "", "axle-stands"),
        ("place: front", "cautions: [axle-stand]", "axle-stand]", "axle-stand", "did you mean axle-stands"),
        ("    place: front", "    cures: [{recipe: hrn, at: car}]", "hrn", "hrn", "recipe"),
        ("    place: front", "    cures: [{recipe: horn, at: car}]", "recipe: horn", "car", "engine-bay"),
        ("    place: front", "    cures: [{recipe: tyres, at: axle}]", "recipe: tyres", "axle", "`at: car`"),
        ("car\n    place: front", "axle\n    cures: [{recipe: brake-pads, at: axle}]", "pads", "", "disc"),
        ("at: car\n    place: front", "at: corner\n    place: front", "- id: tow-eye", "", "`at: car`"),
    ],
)  # fmt: skip
def test_what_is_wrong_is_said_with_line_value_and_way_out(tmp_path, old, new, at, value, said):
    assert old in OWN
    text = OWN.replace(old, new, 1)
    problems = problems_of(write(tmp_path, text))
    lines = {problem.line for problem in problems}
    assert line_of(text, at) in lines, problems
    told = [f"{problem.value} {problem.rule}; {problem.way_out}" for problem in problems]
    assert any(said in one and value in one for one in told), told


def test_all_problems_come_at_once_in_the_order_of_their_lines(tmp_path):
    text = (
        OWN.replace("about: What", "abuot: What")
        .replace("how: look", "how: sniff")
        .replace("below: 3 mm", "below: 3 psi")
        .replace("{id: toe,", "{id: to,")
        .replace("class: minor", "class: severe")
        .replace("source: club}", "source: clib}")
    )
    problems = problems_of(write(tmp_path, text))
    lines = [problem.line for problem in problems]
    assert lines == sorted(lines)
    said = " ".join(f"{problem.where} {problem.value} {problem.rule}" for problem in problems)
    for part in ("abuot", "`about` is missing", "sniff", "severe", "to drop"):
        assert part in said, said
    assert len(problems) >= 5


def test_an_item_changed_under_a_row_that_came_along_is_said_at_the_item(tmp_path):
    text = OWN.replace("rules:\n", "  - {id: toe, words: {off: askew}}\nrules:\n").replace(
        "  - {id: toe, drop: true}\n", ""
    )
    (problem,) = problems_of(write(tmp_path, text))
    assert problem.line == line_of(text, "id: toe")
    assert "rule toe no longer fits" in problem.rule


def test_a_row_given_twice_is_refused(tmp_path):
    text = OWN + "  - {id: tread, below: 4 mm}\n"
    (problem,) = problems_of(write(tmp_path, text))
    assert (problem.line, problem.value) == (text.count("\n"), "tread")


@pytest.mark.parametrize(
    "text",
    [
        b"",
        b"\xff\xfe\x00",
        b"rules: [",
        b"- a list\n",
        b"just a word",
        b"format: onceapart-rules/1\nrules: 3\nitems: {a: b}\n",
        b"format: onceapart-rules/1\nrules: [3, [4], {id: [x]}, {id: {a: b}}, {drop: true}, null]\n",
        b"format: onceapart-recipe/1\nid: x\n",
        b"id: &a x\nextends: *a\n",
        b"extends: [us-570]\nid: {a: b}\nsources: [a]\nfacts: 3\ncautions: x\n",
        b"x: " + b"[" * 500 + b"]" * 500,
        b"a" * 300_000,
    ],
)  # fmt: skip
def test_what_is_no_pack_at_all_is_refused(tmp_path, text):
    assert problems_of(write(tmp_path, text))


def test_a_file_that_is_not_there_is_said(tmp_path):
    (problem,) = problems_of(tmp_path / "none.yaml")
    assert "can't be read" in problem.rule


def test_a_hostile_file_of_many_cures_is_answered_soon(tmp_path):
    cures = ", ".join(["{recipe: wheels, at: car, when: [{axle: front}, {axle: rear}]}"] * 300)
    text = OWN.replace("place: front", f"place: cabin\n    cures: [{cures}]")
    start = time.process_time()
    (problem, *_) = problems_of(write(tmp_path, text))
    assert "no car and place" in problem.rule
    assert time.process_time() - start < 20


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(at=st.integers(0, len(OWN)), piece=st.text(string.printable, max_size=12), cut=st.integers(0, 30))
def test_a_damaged_pack_is_read_or_refused_with_problems_and_never_crashes(tmp_path, at, piece, cut):
    text = OWN[:at] + piece + OWN[at + cut :]
    try:
        found: object = load_pack_file(write(tmp_path, text))
    except TradeDataError as error:
        found = error.problems
    assert found


@given(
    whole=st.integers(0, 999),
    top=st.integers(1, 63),
    bottom=st.sampled_from([2, 4, 8, 16, 32, 64]),
    unit=st.sampled_from(["in", "mm", "%", ""]),
)
def test_amounts_are_read_exactly(whole, top, bottom, unit):
    text = f"{whole} {top}/{bottom} {unit}".strip()
    amount = read_amount(text)
    assert (amount.number * bottom, amount.unit) == (whole * bottom + top, unit)


@pytest.mark.parametrize(
    "text", ["", "1/2/3 mm", "-1 mm", "1,5 mm", "1/0 in", "1e9 mm", "1 mm x 2", "marked x 0/1"]
)
def test_what_is_no_limit_is_refused(text):
    with pytest.raises(ValueError, match=r"amount"):
        read_limit(text)
