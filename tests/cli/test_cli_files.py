"""Files given to commands: sound, broken, and none at all."""

from __future__ import annotations

import io
import sys
from pathlib import Path

import pytest
from cli_cases import BROKEN, IMPOSSIBLE, SMALL, Run

from onceapart.workshop import parse_workshop

WITH_FILE = ["check", "plan", "compare"]


@pytest.mark.parametrize("command", WITH_FILE)
def test_all_problems_are_said_with_line_value_rule_and_way_out(
    run: Run, command: str, tmp_path: Path
) -> None:
    file = tmp_path / "garage.yaml"
    file.write_text(BROKEN, encoding="utf-8")
    ran = run(command, str(file))
    assert ran.status == 2
    assert ran.out == ""
    said = " ".join(ran.err.split())
    assert f"{file}: 3 problems" in ran.err.replace("\n", "") or "3 problems" in said
    for problem in (
        "line 5, hour_worth: 12,00 money has a decimal point, not a comma; write 12.00",
        "line 9, jobs[0].minutes: 1.5 minutes are whole numbers",
        "line 15, stints[0].date: 7 March a date is year-month-day",
    ):
        assert problem in said


def test_json_of_an_unusable_file_is_nothing_at_all(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "garage.yaml"
    file.write_text(BROKEN, encoding="utf-8")
    ran = run("plan", str(file), "--json")
    assert (ran.status, ran.out) == (2, "")


@pytest.mark.parametrize("command", WITH_FILE)
@pytest.mark.parametrize("name", ["no-such.yaml", ".", "a\nb.yaml"])
def test_a_file_that_is_not_there_is_said(run: Run, command: str, name: str) -> None:
    ran = run(command, name)
    assert ran.status == 2
    assert ran.out == ""
    assert "1 problem\n" in ran.err
    assert "check the name" in ran.err or "name the workshop file in it" in ran.err


def test_a_recipe_that_is_not_there_is_a_problem_of_the_file(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "garage.yaml"
    file.write_text(
        SMALL.replace("minutes: 15, parts: {wren/bulb: 1}", "recipe: drop-lnk, place: front"), "utf-8"
    )
    ran = run("check", str(file))
    assert ran.status == 2
    assert "line 9, jobs[0].recipe: drop-lnk" in ran.err
    assert "did you mean drop-link?" in ran.err


def test_a_sound_file_is_told_in_a_sentence(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "garage.yaml"
    file.write_text(SMALL, encoding="utf-8")
    ran = run("check", str(file))
    assert (ran.status, ran.err) == (0, "")
    said = " ".join(ran.out.split())
    assert said == (
        "Quay Lane: the file is fine. It has 1 car, 1 job (0 may be left), 1 offer of 1 seller and 1 stint "
        "on Sat 7 Mar."
    )


def test_what_no_plan_can_mend_is_worth_knowing_but_no_problem(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "garage.yaml"
    text = SMALL.replace("parts: {wren/bulb: 1}}", "parts: {wren/lamp: 1}, tools: [press]}")
    file.write_text(text.replace("\njobs:", "\ntools: [{id: press}]\njobs:"), encoding="utf-8")
    ran = run("check", str(file))
    assert ran.status == 0
    said = " ".join(ran.out.split())
    assert "needs 1 of wren/lamp, 0 on the shelf, and no offer has it" in said
    assert "needs the tool press, which is not there and has no price" in said
    assert run("plan", str(file)).status == 3


def test_an_impossible_file_is_sound(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "garage.yaml"
    file.write_text(IMPOSSIBLE, encoding="utf-8")
    assert run("check", str(file)).status == 0


def test_a_file_is_read_from_standard_input(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    for text, status in ((SMALL, 0), (BROKEN, 2)):
        monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(text.encode())))
        ran = run("check", "-")
        assert ran.status == status
    assert "standard input: 3 problems" in ran.err


def test_the_demo_is_written_once_and_reads_back(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "mine.yaml"
    ran = run("demo", "--write", str(file))
    assert (ran.status, ran.err) == (0, "")
    assert str(file) in ran.out.replace("\n", "")
    assert parse_workshop(file.read_bytes()).name == "Weir Street"
    assert "# " in file.read_text(encoding="utf-8")
    file.write_text("mine", encoding="utf-8")
    again = run("demo", "--write", str(file))
    assert again.status == 2
    assert "there is a file of this name already" in " ".join(again.err.split())
    assert file.read_text(encoding="utf-8") == "mine", "another file is left alone"


@pytest.mark.parametrize("name", ["no/such/folder/mine.yaml", "."])
def test_a_demo_that_cannot_be_written_is_said(run: Run, name: str, tmp_path: Path) -> None:
    ran = run("demo", "--write", str(tmp_path / name))
    assert (ran.status, ran.out) == (2, "")
    assert ran.err


def test_recipes_are_listed_and_shown(run: Run) -> None:
    from onceapart.trade import load_recipe, recipe_ids, recipe_text

    listed = run("recipes")
    assert (listed.status, listed.err) == (0, "")
    for recipe_id in recipe_ids():
        assert f"\n{recipe_id} " in listed.out
    shown = run("recipes", "cv-boot")
    assert shown.out == recipe_text(load_recipe("cv-boot"))
    missing = run("recipes", "cvboot")
    assert (missing.status, missing.out) == (2, "")
    assert "did you mean cv-boot?" in missing.err
