"""``onceapart rules``: packs listed and shown, and one's own checked."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from cli_cases import Run
from rich.cells import cell_len

from onceapart.trade.rules import load_pack, pack_ids
from onceapart.trade.rules.describe import STATUS_WORDS

OWN = """\
format: onceapart-rules/1
id: club-check
title: Club check
about: What our club asks for.
extends: us-570
sources:
  club: {title: Rules of the club, seen: the club's own paper}
rules:
  - {id: tread, below: 3 mm, clause: club 4, source: club}
  - {id: toe, drop: true}
"""


def flat(text: str) -> str:
    return " ".join(text.split())


def fits(text: str) -> bool:
    return all(cell_len(line) <= 80 and line == line.rstrip() for line in text.splitlines())


def test_the_list_names_every_pack_with_its_rows(run: Run) -> None:
    ran = run("rules", "list")
    assert (ran.status, ran.err) == (0, "")
    assert fits(ran.out)
    rows = {line.split()[0]: line.split() for line in ran.out.splitlines() if line and line[0].islower()}
    for name in pack_ids():
        pack = load_pack(name)
        memory = sum(rule.status == "from memory" for rule in pack.rules)
        assert rows[name][-2:] == [str(len(pack.rules)), str(memory)]
    data = json.loads(run("rules", "list", "--json").out)
    assert [one["id"] for one in data] == list(pack_ids())


@pytest.mark.parametrize("name", pack_ids())
def test_a_pack_is_shown_with_each_row_its_clause_source_and_status(run: Run, name: str) -> None:
    ran = run("rules", "show", name)
    assert (ran.status, ran.err) == (0, "")
    assert fits(ran.out)
    assert "\x1b" not in ran.out
    said = flat(ran.out)
    pack = load_pack(name)
    assert "an inspector decide" in said
    assert all(flat(note) in said for note in pack.notes)
    for rule in pack.rules:
        assert f"[{rule.clause}; {rule.source}; {STATUS_WORDS[rule.status]}]" in said, rule.id


def test_the_worst_class_comes_first_and_is_marked_in_words(run: Run) -> None:
    said = run("rules", "show", "eu-2014-45", "--item", "brake-fluid-level").out
    assert said.index("DANGEROUS  none-seen") < said.index("major      well-below")
    assert said.index("major      well-below") < said.index("minor      below-min")


def test_an_item_is_shown_with_check_words_cautions_and_cures(run: Run) -> None:
    ran = run("rules", "show", "us-570", "--item", "brake-hose")
    assert fits(ran.out)
    said = flat(ran.out)
    item = load_pack("us-570").item("brake-hose")
    assert item is not None
    assert flat(item.check) in said
    assert "Axle stands on firm ground" in said
    assert "brake-hose at that axle" in said
    for word, meaning in item.words.items():
        assert f"{word} {meaning}" in said
    assert "neither passed nor failed by this pack" in said, "Part 570 does not speak of a leaking hose"
    data = json.loads(run("rules", "show", "us-570", "--item", "brake-hose", "--json").out)
    assert [row["clause"] for row in data["rules"]] == ["570.5(e)"]


def test_a_pack_as_json_has_all_its_rows(run: Run) -> None:
    data = json.loads(run("rules", "show", "eu-2014-45", "--json").out)
    rows = [row for item in data["items"] for row in item["rules"]]
    assert len(rows) == len(load_pack("eu-2014-45").rules)
    assert all(row["clause"] and row["source"] in data["sources"] and row["status"] for row in rows)


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["show", "us-57"], "did you mean us-570?"),
        (["show", "us-570", "--item", "bolts"], "rules show items"),
        (["show", "us-570", "--item", "brake-hosee"], "did you mean brake-hose?"),
        (["check", "none.yaml"], "can't be read"),
    ],
)
def test_what_is_not_there_is_said_with_a_way_out(run: Run, arguments: list[str], said: str) -> None:
    ran = run("rules", *arguments)
    assert (ran.status, ran.out) == (2, "")
    assert said in flat(ran.err)


def test_checking_a_good_pack_says_what_it_changes(run: Run, tmp_path: Path) -> None:
    (tmp_path / "club.yaml").write_text(OWN, encoding="utf-8")
    ran = run("rules", "check", str(tmp_path / "club.yaml"))
    assert (ran.status, ran.err) == (0, "")
    assert "Club check: the pack is fine." in ran.out
    assert "changes 1 row of us-570: tread." in flat(ran.out)
    assert "drops 1 row of us-570: toe." in flat(ran.out)


def test_checking_a_bad_pack_says_all_that_is_wrong_with_lines(run: Run, tmp_path: Path) -> None:
    text = OWN.replace("below: 3 mm", "below: 3 psi").replace("id: toe", "id: to").replace("about:", "abuot:")
    (tmp_path / "club.yaml").write_text(text, encoding="utf-8")
    ran = run("rules", "check", str(tmp_path / "club.yaml"))
    assert (ran.status, ran.out) == (2, "")
    assert fits(ran.err.replace(str(tmp_path), ""))
    for part in ("line 4", "abuot", "line 10", "nothing with this id to drop"):
        assert part in flat(ran.err), ran.err


def test_rules_alone_shows_its_help(run: Run) -> None:
    ran = run("rules")
    for name in ("list", "show", "check"):
        assert f"  {name} " in ran.out + ran.err
