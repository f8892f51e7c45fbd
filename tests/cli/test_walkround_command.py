"""``onceapart walkround``: a list one can print and take along, and a form for the file."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from cli_cases import Run
from test_inspect_command import WREN


@pytest.fixture
def wren(tmp_path: Path) -> str:
    file = tmp_path / "wren.yaml"
    file.write_text(WREN, encoding="utf-8")
    return str(file)


def test_it_goes_round_stage_by_stage(run: Run, wren: str) -> None:
    ran = run("walkround", wren)
    assert (ran.status, ran.err) == (0, "")
    stages = ["1. Cold", "2. Engine running", "3. A short drive", "4. Up on stands", "5. Done", "Cautions"]
    at = [ran.out.index(stage) for stage in stages]
    assert at == sorted(at)
    assert ran.out.count("wheel off\n") == 4
    assert "Axle stands on firm ground" in ran.out
    boxes = [line for line in ran.out.splitlines() if line.startswith("    [ ] ")]
    blanks = [line for line in boxes if "________" in line]
    assert len(blanks) > 100
    assert any(line.endswith("________ mm") for line in blanks)
    assert "(last looked at over a year ago)" in ran.out
    assert "leave it out if brakes or steering are in doubt" in ran.out


def test_all_is_more(run: Run, wren: str) -> None:
    def boxes(*more: str) -> int:
        return run("walkround", wren, *more).out.count("[ ]")

    assert boxes("--all") > boxes()


def test_the_form_filled_in_can_be_put_into_the_file(run: Run, wren: str, tmp_path: Path) -> None:
    form = run("walkround", wren, "--form").out
    (line,) = [line for line in form.splitlines() if "item: brake-servo" in line]
    file = tmp_path / "more.yaml"
    file.write_text(f"{WREN}{line}\n", encoding="utf-8")
    ran = run("check", str(file))
    assert ran.status == 2
    assert "a blank of a form is not filled in; fill it in, or take the whole line out" in ran.err
    file.write_text(f"{WREN}{line.replace('____', 'dead')}\n", encoding="utf-8")
    assert run("check", str(file)).status == 0
    assert "Brake servo" in run("inspect", str(file)).out.partition("Major")[0]


def test_json(run: Run, wren: str) -> None:
    (car,) = json.loads(run("walkround", wren, "--json").out)["cars"]
    assert [leg["state"] for leg in car["walks"]] == ["cold", "engine-running", "on-the-road", "on-stands"]
    assert len(car["walks"][-1]["wheels_off"]) == 4
    assert all(task["check"] for leg in car["walks"] for task in leg["tasks"])
