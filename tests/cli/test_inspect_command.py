"""``onceapart inspect``: what a person sees of verdicts, and what a program gets; findings in ``check``."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from cli_cases import SMALL, Run

from onceapart.demo import demo_text

FINDINGS = """\
findings:
  - {car: wren, item: tread-depth, place: front-left, value: 1.2 mm, date: 2026-03-01}
  - {car: wren, item: pads, place: front-left, seen: [at-mark], date: 2026-03-01, note: squeals}
  - {car: wren, item: tyre, place: rear, seen: [sound], date: 2024-03-01}
  - {car: wren, item: brake-efficiency, value: 55 %, date: 2026-03-01}
  - {car: wren, item: brake-fluid-level, seen: [below-min], date: 2027-03-01}
"""
WREN = SMALL.replace("due: 2026-04-11}", "due: 2026-04-11, rules: eu-2014-45}") + FINDINGS
WRONG = WREN.replace("1.2 mm", "12 cm").replace("item: pads", "item: padds").replace("[sound]", "[soud]")


@pytest.fixture
def wren(tmp_path: Path) -> str:
    file = tmp_path / "wren.yaml"
    file.write_text(WREN, encoding="utf-8")
    return str(file)


def test_the_worst_comes_first_with_clause_source_and_status(run: Run, wren: str) -> None:
    ran = run("inspect", wren)
    assert (ran.status, ran.err) == (0, "")
    out = ran.out
    order = [
        "The Wren: do not drive (an inspector decides)",
        "Dangerous",
        "Tread depth",
        "Major",
        "Disc pads",
    ]
    order += [
        "Can't be told yet",
        "Set aside",
        "Passes",
        "Not checked yet",
        "Sources",
        "an inspector decides",
    ]
    at = [out.index(words) for words in order[:-1]]
    assert at == sorted(at)
    assert "5.2.3(e) (annex-i; verified)" in out
    assert "from memory, check" in out
    assert "Noted: squeals" in out
    assert "`registered: 2004-05-17` at the car wren" in " ".join(out.split())
    assert "over a year ago" in out
    assert "it is after today" in " ".join(out.split())


def test_lines_fit_and_end_without_blanks(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "demo.yaml"
    file.write_text(demo_text(), encoding="utf-8")
    for command in ("inspect", "walkround", "propose"):
        for line in run(command, str(file)).out.splitlines():
            assert len(line) <= 80, (command, line)
            assert line == line.rstrip()


def test_json_has_the_same_facts(run: Run, wren: str) -> None:
    (car,) = json.loads(run("inspect", wren, "--json").out)["cars"]
    assert (car["outcome"], car["rules"]["id"]) == ("do not drive", "eu-2014-45")
    worst = car["verdicts"][0]
    assert (worst["item"], worst["place"], worst["verdict"]) == ("tread-depth", "front-left", "dangerous")
    assert worst["rules"][0]["clause"] == "5.2.3(e)"
    assert worst["readings"][0]["amount"] == 1.2
    assert [flag["doubt"] for flag in car["flagged"]] == ["in the future"]
    assert car["flagged"][0]["as_it_stands"] == "minor"
    assert len(car["not_checked"]) > 100


def test_a_car_and_a_pack_can_be_chosen(run: Run, wren: str, tmp_path: Path) -> None:
    ran = run("inspect", wren, "--pack", "us-570")
    assert "570.9(a)" in ran.out
    assert "Tread depth" in ran.out
    own = tmp_path / "own.yaml"
    own.write_text(
        "format: onceapart-rules/1\nid: strict\ntitle: My own\nabout: Stricter.\nextends: eu-2014-45\n"
        "rules:\n  - {id: 5-2-3-e-dangerous, below: 3 mm}\n"
    )
    assert "at least 3 mm" in run("inspect", wren, "--pack", str(own)).out
    assert run("inspect", wren, "--car", "wren").out == run("inspect", wren).out


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["--car", "wrem"], "did you mean wren?"),
        (["--pack", "eu-2014"], "did you mean eu-2014-45?"),
        (["--pack", "./nothing.yaml"], "can't be read"),
    ],
)
def test_what_is_not_there_is_said_with_a_way_out(
    run: Run, wren: str, arguments: list[str], said: str
) -> None:
    for command in ("inspect", "walkround", "propose"):
        ran = run(command, wren, *arguments)
        assert ran.status == 2
        assert ran.out == ""
        assert said in ran.err


def test_a_pack_of_the_file_that_is_not_there(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "wren.yaml"
    file.write_text(WREN.replace("eu-2014-45", "eu-2014-54"), encoding="utf-8")
    for command in ("check", "inspect"):
        ran = run(command, str(file))
        assert ran.status == 2
        assert "line 7, cars[0].inspection.rules: eu-2014-54" in ran.err
        assert "did you mean eu-2014-45?" in ran.err


def test_without_a_pack_it_is_the_home_check(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "wren.yaml"
    file.write_text(SMALL + FINDINGS, encoding="utf-8")
    assert "(home-check)" in run("inspect", str(file)).out


def test_check_refuses_findings_that_are_simply_wrong(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "wren.yaml"
    file.write_text(WRONG, encoding="utf-8")
    ran = run("check", str(file))
    assert ran.status == 2
    said = " ".join(ran.err.split())
    assert "line 17, findings[0].value: 12 cm" in said
    assert "line 18, findings[1].item: padds" in said
    assert "did you mean pads?" in said
    assert "line 19, findings[2].seen[0]: soud" in said
    assert "did you mean sound?" in said
    assert "after today" not in said, "that is odd, not wrong"


def test_check_mentions_what_is_odd(run: Run, wren: str) -> None:
    ran = run("check", wren)
    assert ran.status == 0
    assert "findings[4].date, 2027-03-01: it is after today" in " ".join(ran.out.split())
