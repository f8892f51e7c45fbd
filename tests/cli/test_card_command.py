"""`onceapart card`: what a mechanic reads at the car, and what is said when there is no card."""

from __future__ import annotations

import json
import re
from itertools import groupby
from pathlib import Path

import pytest
from cli_cases import BROKEN, IMPOSSIBLE, SMALL, Run, nasty

from onceapart.bench.card import job_card
from onceapart.bench.card_model import Card
from onceapart.cli.card_page import show_card
from onceapart.cli.files import prepare
from onceapart.demo import demo_text, read_demo
from onceapart.planning.plan import Aim, Plan, StintWork
from onceapart.planning.plan_file import plan_to_json
from onceapart.planning.solve import best_plan
from onceapart.trade import apply_recipes

DAYS = tuple(stint.date.isoformat() for stint in read_demo().workshop.stints)


@pytest.fixture
def demo(tmp_path: Path) -> str:
    path = tmp_path / "demo.yaml"
    path.write_text(demo_text(), encoding="utf-8")
    return str(path)


@pytest.fixture(scope="module")
def planned(tmp_path_factory: pytest.TempPathFactory) -> str:
    """The demo's plan, saved, so that not every test has to plan."""
    found = prepare(read_demo())
    path = tmp_path_factory.mktemp("planned") / "plan.json"
    answer = best_plan(found.workload, Aim.BALANCE)
    path.write_text(json.dumps(plan_to_json(found.workload, answer)), encoding="utf-8")
    return str(path)


@pytest.fixture
def small(tmp_path: Path) -> str:
    path = tmp_path / "small.yaml"
    path.write_text(SMALL, encoding="utf-8")
    return str(path)


def flat(text: str) -> str:
    return " ".join(text.split())


@pytest.mark.parametrize("day", DAYS)
def test_the_page_has_a_box_for_each_step_and_a_blank_for_each_figure(
    run: Run, demo: str, planned: str, day: str
) -> None:
    ran, data = (run("card", demo, "--stint", day, "--plan", planned, *more) for more in ([], ["--json"]))
    assert (ran.status, ran.err, data.status, data.err) == (0, "", 0, "")
    told = json.loads(data.out)
    assert max(map(len, ran.out.splitlines())) <= 80
    numbers = [int(found) for found in re.findall(r"^  \[ \] +(\d+)  ", ran.out, re.MULTILINE)]
    assert numbers == list(range(1, len(told["steps"]) + 1))
    text = flat(ran.out)
    for step in told["steps"]:
        assert flat(step["words"]) in text or step["kind"] == "measure"
    blanks = [f for step in told["steps"] for f in step["fasteners"] if f["torque"]]
    assert text.count("____ Nm (manual)") == len(blanks)
    measured = [m for step in told["steps"] for m in step["measurements"]]
    assert len(re.findall("____ (?!Nm)", text)) == len(measured)
    for one in told["lay_out"]["parts"]:
        assert one["id"] in text
    for word in (*told["lay_out"]["hand_tools"], *told["lay_out"]["consumables"]):
        assert word in text
    for caution in (c for step in told["steps"] for c in step["cautions"]):
        assert flat(caution["text"]) in text or caution["id"].startswith("no-makeshift-")
    if not told["steps"]:
        return
    assert "not released until" in text
    assert "The tool advises" in text


@pytest.mark.parametrize("day", DAYS)
def test_there_is_a_heading_for_each_place_one_walks_to(run: Run, demo: str, planned: str, day: str) -> None:
    asked = ("card", demo, "--stint", day, "--plan", planned)
    out, steps = run(*asked).out, json.loads(run(*asked, "--json").out)["steps"]
    walked = [key for key, _ in groupby((one["car"], one["phase"], one["place"]) for one in steps)]
    places = [place.replace("-", " ").capitalize().replace("All", "The car") for _, _, place in walked]
    assert [line for line in out.splitlines() if line in places] == places


def test_names_of_steps_stand_below_them_if_asked_for(run: Run, demo: str, planned: str) -> None:
    asked = ("card", demo, "--stint", DAYS[0], "--plan", planned)
    names = [step["id"] for step in json.loads(run(*asked, "--json").out)["steps"]]
    lines = [line.strip() for line in run(*asked, "--ids").out.splitlines()]
    assert [line for line in lines if line in names] == names
    assert not {*names} & {line.strip() for line in run(*asked).out.splitlines()}


def test_laying_out_comes_first_and_the_road_last(run: Run, demo: str, planned: str) -> None:
    out = run("card", demo, "--stint", DAYS[0], "--plan", planned).out
    parts = (
        "Before anything else",
        "Lay out",
        "[ ]   1",
        "axle up",
        "axle down",
        "RELEASE CHECKS",
        "ON THE ROAD",
    )
    assert [out.index(one) for one in parts] == sorted(out.index(one) for one in parts)


def test_a_makeshift_is_never_shown_as_fine(run: Run, demo: str, planned: str) -> None:
    for day in DAYS:
        text = flat(run("card", demo, "--stint", day, "--plan", planned).out)
        for found in re.findall(r"[^.!]*[Mm]akeshift[^.]*\.", text):
            assert "not fit to drive on" in found or "No makeshift in" in found, found


def test_open_stopgaps_stand_at_the_top(capsys: pytest.CaptureFixture[str]) -> None:
    workshop = apply_recipes(read_demo().workshop)
    work = StintWork(("pickle-window",), ("pickle/passenger-door-card",))
    card = job_card(workshop, Plan((work,)), 0, open_stopgaps=["Clamp on the fuel hose until 1 April"])
    show_card(card)
    lines = capsys.readouterr().out.splitlines()
    assert lines[2:4] == [
        "OPEN STOPGAPS: makeshift, and not made good", "  - Clamp on the fuel hose until 1 April",
    ]  # fmt: skip
    empty = Card(**{**vars(card), "steps": (), "jobs": ()})
    show_card(empty, ["Sat 7 Mar"])
    assert "Clamp on the fuel hose" in capsys.readouterr().out


def test_a_stint_without_work_says_so_and_where_there_is_some(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "two.yaml"
    path.write_text(SMALL + "  - {date: 2026-03-08, minutes: 60}\n", encoding="utf-8")
    ran = run("card", str(path), "--stint", "2026-03-08")
    assert (ran.status, ran.err) == (0, "")
    assert "nothing to do in this stint. It has work on Sat 7 Mar." in flat(ran.out)
    assert json.loads(run("card", str(path), "--stint", "2026-03-08", "--json").out)["steps"] == []


def test_a_stint_that_is_not_there_is_told_with_those_that_are(run: Run, demo: str) -> None:
    ran = run("card", demo, "--stint", "2026-03-08")
    assert (ran.status, ran.out) == (2, "")
    assert "--stint 2026-03-08: the file has no such stint; it has 2026-03-07, 2026-03-11" in flat(ran.err)


def test_two_stints_on_a_day_are_told_apart_by_id(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "two.yaml"
    more = (
        "  - {date: 2026-03-07, minutes: 60, id: morning}\n  - {date: 2026-03-07, minutes: 60, id: evening}\n"
    )
    path.write_text(SMALL.replace("  - {date: 2026-03-07, minutes: 60}\n", more), encoding="utf-8")
    ran = run("card", str(path), "--stint", "2026-03-07")
    assert ran.status == 2
    assert "name one by its id: morning, evening" in flat(ran.err)
    assert run("card", str(path), "--stint", "morning").status == 0
    assert "7 Mar 2026 evening" in run("card", str(path), "--stint", "evening").out


def test_files_that_give_no_plan_end_as_plan_does(run: Run, tmp_path: Path) -> None:
    for text, status in ((BROKEN, 2), (IMPOSSIBLE, 3)):
        path = tmp_path / "it.yaml"
        path.write_text(text, encoding="utf-8")
        planned, ran = run("plan", str(path)), run("card", str(path), "--stint", "2026-03-07")
        assert (ran.status, ran.out, ran.err) == (status, planned.out, planned.err)


def test_a_saved_plan_gives_the_card_of_that_plan(run: Run, demo: str, tmp_path: Path) -> None:
    saved = tmp_path / "saved.json"
    saved.write_text(run("plan", demo, "--aim", "least-work", "--json").out, encoding="utf-8")
    by_file = run("card", demo, "--stint", DAYS[0], "--plan", str(saved), "--json")
    by_aim = run("card", demo, "--stint", DAYS[0], "--aim", "least-work", "--json")
    assert (by_file.status, by_file.err) == (0, "")
    assert by_file.out == by_aim.out


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (None, "cannot be read"),
        ("{", "no plan as `onceapart plan --json` writes it"),
        ("\xff", "no plan as"),
        ("[]", "saved.json"),
        ('{"format": "onceapart-plan/1", "aim": "balance", "status": "impossible", "why": []}', "no plan"),
    ],
)
def test_a_saved_plan_that_is_none_is_told(
    run: Run, small: str, tmp_path: Path, text: str | None, said: str
) -> None:
    saved = tmp_path / "saved.json"
    if text is not None:
        saved.write_text(text, encoding="latin-1")
    ran = run("card", small, "--stint", "2026-03-07", "--plan", str(saved))
    assert (ran.status, ran.out) == (2, "")
    assert said in flat(ran.err)


def test_a_saved_plan_of_another_file_or_an_older_one_is_told(run: Run, small: str, tmp_path: Path) -> None:
    saved = tmp_path / "saved.json"
    told = json.loads(run("plan", small, "--json").out)
    told["stints"][0]["jobs"] = ["wren-blub"]
    saved.write_text(json.dumps(told), encoding="utf-8")
    ran = run("card", small, "--stint", "2026-03-07", "--plan", str(saved))
    assert ran.status == 2
    assert "did you mean wren-bulb?" in flat(ran.err)
    told["stints"][0]["jobs"], told["orders"] = ["wren-bulb"], []
    saved.write_text(json.dumps(told), encoding="utf-8")
    ran = run("card", small, "--stint", "2026-03-07", "--plan", str(saved))
    assert ran.status == 0
    assert "no longer fits the file" in flat(ran.err)
    assert "NOT IN HAND" in ran.out


def test_a_saved_plan_that_forgets_what_comes_off_is_refused(
    run: Run, demo: str, planned: str, tmp_path: Path
) -> None:
    told = json.loads(Path(planned).read_text(encoding="utf-8"))
    first = next(one for one in told["stints"] if one["access"])
    (gone, *_) = [one for one in first["access"] if one.endswith("/on-stands")]
    first["access"].remove(gone)
    saved = tmp_path / "saved.json"
    saved.write_text(json.dumps(told), encoding="utf-8")
    ran = run("card", demo, "--stint", first["date"], "--plan", str(saved))
    assert (ran.status, ran.out) == (2, "")
    assert f"{gone} must come off in this stint" in flat(ran.err)


def test_the_longest_names_fit_the_page(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "nasty.yaml"
    path.write_text(nasty(), encoding="utf-8")
    stints = [s["id"] for s in json.loads(run("plan", str(path), "--json").out)["stints"] if s["jobs"]]
    assert stints
    for stint in stints:
        ran = run("card", str(path), "--stint", stint)
        assert ran.status == 0
        assert max(map(len, ran.out.splitlines())) <= 80


def test_no_stint_given_is_a_usage_error(run: Run, demo: str) -> None:
    ran = run("card", demo)
    assert ran.status == 2
    assert "--stint" in ran.err
