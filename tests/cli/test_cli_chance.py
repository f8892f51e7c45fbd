"""What ``chance`` and ``plan --confidence`` print."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from cli_cases import IMPOSSIBLE, Run

from onceapart.cli.chance_words import percent
from onceapart.planning.plan_file import plan_from_json
from onceapart.planning.rules import broken_rules
from onceapart.planning.workload import workload_from
from onceapart.trade import apply_recipes
from onceapart.workshop import read_workshop

GARAGE = """\
format: onceapart-workshop/1
name: Quay Lane
today: 2026-03-02
currency: EUR
hour_worth: 12.00
cars:
  - {id: wren, name: The Wren, inspection: {due: 2026-03-20}}
sellers:
  - {id: counter, name: Parts counter, delivery: 0, days: 0}
  - {id: post, name: By post, delivery: 2.00, days: 10}
offers:
  - {id: arm-now, seller: counter, parts: {arm: 1}, price: 20.00}
  - {id: arm-post, seller: post, parts: {arm: 1}, price: 10.00}
  - {id: screw, seller: counter, parts: {wren/rear/bleed-screw: 1}, price: 0.40}
jobs:
  - {id: arm, car: wren, need: inspection, minutes: 60, between: [40, 150], parts: {arm: 1}}
  - {id: leak, car: wren, need: inspection, recipe: wheel-cylinder, place: rear-left, parts: {}}
  - {id: wash, car: wren, need: wish, worth: 50.00, minutes: 20}
stints:
  - {date: 2026-03-07, minutes: 230}
  - {date: 2026-03-14, minutes: 75}
"""


@pytest.fixture
def garage(tmp_path: Path) -> str:
    path = tmp_path / "garage.yaml"
    path.write_text(GARAGE, encoding="utf-8")
    return str(path)


def test_the_page_says_things_in_their_order(run: Run, garage: str) -> None:
    ran = run("chance", garage)
    assert (ran.status, ran.err) == (0, "")
    order = [
        "Quay Lane: how likely the plan on typical minutes is to hold",
        "Chance  ",
        "Cars  ",
        "The Wren, ready by Fri 20 Mar",
        "Money  ",
        "Time  ",
        "Stints (minutes)",
        "Sat 7 Mar",
        "Sat 14 Mar",
        "Where the risk sits",
        "all work takes its typical minutes",
        "no fastener breaks",
        "Spare fasteners",
        "To order with the rest: 0.40 EUR",
        "common practice",
    ]
    at = [ran.out.index(words) for words in order]
    assert at == sorted(at)
    assert all(len(line) <= 80 for line in ran.out.splitlines())
    assert run("chance", garage).out == ran.out, "the same file gives the same figures"


def test_json_gives_the_same_facts(run: Run, garage: str) -> None:
    page = run("chance", garage).out
    data = json.loads(run("chance", garage, "--json").out)
    assert data["format"] == "onceapart-chance/1"
    assert percent(data["all_dates"]["chance"]).replace("\u00a0", " ") in page
    (car,) = data["cars"]
    assert car["in_time"] == data["all_dates"], "there is one car"
    assert car["ready_by"][-1] == pytest.approx(car["in_time"]["chance"])
    for stint in data["stints"]:
        low, high = stint["in_time"]["interval"]
        assert low <= stint["in_time"]["chance"] <= high
        assert str(stint["in_8_of_10"]) in page
    kinds = {kind["part"]: kind for kind in data["spares"]["kinds"]}
    assert kinds["wren/rear/bleed-screw"]["order"] == data["spares"]["units"]["screw"] == 1
    assert data["assumed"] == ["wash"]


def test_care_is_set_beside_typical_minutes_with_its_proof(run: Run, garage: str) -> None:
    usual = json.loads(run("chance", garage, "--json").out)["all_dates"]["chance"]
    ran = run("chance", garage, "--confidence", "0.8")
    assert ran.status == 0
    assert "Typical minutes or care" in ran.out
    assert "on fresh luck" in " ".join(ran.out.split())
    data = json.loads(run("chance", garage, "--confidence", "0.8", "--json").out)["confidence"]
    assert usual < 0.75
    assert data["reached"]
    assert data["all_dates"]["interval"][0] >= 0.8
    assert data["planned"]["total"] > 0


def test_a_plan_for_a_chance_can_be_worked_and_read_back(run: Run, garage: str) -> None:
    ran = run("plan", garage, "--confidence", "0.8")
    assert ran.status == 0
    assert re.search(r"^Holds +All dates hold with", ran.out, re.MULTILINE)
    assert "arm-now" in ran.out, "the arm is bought today, so that both stints are there for it"
    assert all(len(line) <= 80 for line in ran.out.splitlines())
    data = json.loads(run("plan", garage, "--confidence", "0.8", "--json").out)
    assert data["status"] == "good"
    assert data["confidence"]["reached"]
    workload = workload_from(apply_recipes(read_workshop(garage)))
    plan = plan_from_json(workload, data)
    assert broken_rules(workload, plan) == []
    assert plan.units["screw"] == 1, "spares are in the basket"
    assert data["cost"]["total"] == data["confidence"]["planned"]["total"]


def test_what_can_not_be_reached_is_said(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "short.yaml"
    path.write_text(GARAGE.replace("minutes: 230", "minutes: 70").replace("minutes: 75", "minutes: 150"))
    for command in ("chance", "plan"):
        ran = run(command, str(path), "--confidence", "0.95")
        assert ran.status == 4
        assert "No plan was found that holds all dates with 95 %" in ran.out
        assert re.search(r"1 h more on Sat \d+ Mar: (over )?\d+ %\.", ran.out)
    assert "Not sure" in ran.out
    assert "Holds  " not in ran.out


def test_nothing_due_is_no_chance_to_miss(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "free.yaml"
    path.write_text(GARAGE.replace(", inspection: {due: 2026-03-20}", ""))
    ran = run("chance", str(path))
    assert ran.status == 0
    assert "so no date can be missed" in ran.out
    assert json.loads(run("chance", str(path), "--json").out)["all_dates"] is None


def test_an_impossible_workshop_is_explained_as_by_plan(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "impossible.yaml"
    path.write_text(IMPOSSIBLE, encoding="utf-8")
    plain = run("plan", str(path))
    assert plain.status == 3
    for arguments in (["chance"], ["chance", "--confidence", "0.8"], ["plan", "--confidence", "0.8"]):
        ran = run(arguments[0], str(path), *arguments[1:])
        assert (ran.status, ran.out) == (3, plain.out)


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["chance", "--confidence", "80"], "--confidence"),
        (["plan", "--confidence", "1"], "--confidence"),
        (["plan", "--confidence", "0.8", "--seconds", "3"], "can't go with --seconds"),
        (["chance", "--trip", "-3"], "--trip"),
    ],
)
def test_what_makes_no_sense_is_refused(run: Run, garage: str, arguments: list[str], said: str) -> None:
    ran = run(arguments[0], garage, *arguments[1:])
    assert ran.status == 2
    assert ran.out == ""
    assert said in " ".join(ran.err.replace("│", " ").split())


def test_a_longer_way_to_the_counter_makes_spares_worth_more(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "no-screw.yaml"
    path.write_text(re.sub(r".*id: screw.*\n", "", GARAGE), encoding="utf-8")
    near, far = (
        json.loads(run("chance", str(path), "--json", "--trip", minutes).out) for minutes in ("10", "90")
    )
    worth = [{kind["part"]: kind["worth"] for kind in data["spares"]["kinds"]} for data in (near, far)]
    part = "wren/rear/bleed-screw"
    assert worth[1][part] == pytest.approx(9 * worth[0][part])
    assert far["all_dates"]["chance"] < near["all_dates"]["chance"]
