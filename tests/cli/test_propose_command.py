"""``onceapart propose``: jobs for what fails, what they cost, and writing them into the file."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest
from cli_cases import Run

from onceapart.cli.inspect_load import inspect_parsed
from onceapart.cli.propose_cost import costs_of
from onceapart.demo import demo_text, read_demo
from onceapart.inspection.proposing import propose
from onceapart.planning.cost import cost
from onceapart.planning.rules import broken_rules
from onceapart.workshop import parse_with_lines, parse_workshop

TYRES = "duchess-tyres-front"
CYLINDER = "pickle-wheel-cylinder-rear-left"


@pytest.fixture
def demo(tmp_path: Path) -> Path:
    file = tmp_path / "demo.yaml"
    file.write_text(demo_text(), encoding="utf-8")
    return file


def data(run: Run, file: Path, *more: str) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(run("propose", str(file), "--json", *more).out)
    return found


def test_the_demo_has_most_jobs_already_and_two_are_new(run: Run, demo: Path) -> None:
    jobs = {job["id"]: job for job in data(run, demo)["jobs"]}
    assert {name for name, job in jobs.items() if not job["is_there"]} == {TYRES, CYLINDER}
    there = {job.id: job for job in read_demo().workshop.jobs if job.recipe}
    explained = {name for name, job in jobs.items() if job["is_there"]}
    assert explained <= there.keys()
    musts = {name for name, job in there.items() if job.need.is_must}
    assert musts <= explained, "what has to be done has been found"
    (reason, *_) = jobs[TYRES]["reasons"]
    assert reason["by_the_inspection"]


def test_what_each_costs_is_planning_s_own_figure(run: Run, demo: Path) -> None:
    costs = data(run, demo)["costs"]
    alone = {one["job"]: one for one in costs["alone"]}
    # A pair by post at 98.00, over 60.00 so free of delivery; on stands, wheels, fitting 36.00.
    assert (alone[TYRES]["goods"], alone[TYRES]["delivery"]) == (9800, 0)
    # The discs: a kit for 62.00, or one by one: 2 x 19.50 and 14.50 at Farway Direct, and 4.90 delivery.
    assert (alone["pickle-front-discs"]["goods"], alone["pickle-front-discs"]["delivery"]) == (5350, 490)
    together = costs["together"]
    musts = [one for one in costs["alone"] if one["job"] != "pickle-brake-fluid"]
    assert together["money"] < sum(one["money"] for one in musts)
    assert together["minutes"] < sum(one["minutes"] for one in musts)


def test_the_one_plan_keeps_the_rules_and_costs_what_it_is_said_to() -> None:
    parsed = read_demo()
    found = inspect_parsed(parsed)
    costs = costs_of(parsed, propose(found.workshop, found.verdicts))
    assert costs.together is not None
    assert costs.together.plan is not None
    from dataclasses import replace

    musts = replace(costs.workload, jobs=tuple(job for job in costs.workload.jobs if job.is_must))
    assert costs.in_time
    assert broken_rules(musts, costs.together.plan) == []
    assert cost(musts, costs.together.plan) == costs.together.cost


def test_writing_keeps_everything_else_and_then_it_can_be_planned(run: Run, demo: Path) -> None:
    before = demo.read_text(encoding="utf-8")
    ran = run("propose", str(demo), "--write")
    assert ran.status == 0
    assert f"2 jobs written into {demo}" in " ".join(ran.out.split())
    after = demo.read_text(encoding="utf-8")
    new = [line for line in after.splitlines() if line not in before.splitlines()]
    left = [line for line in before.splitlines() if line not in after.splitlines()]
    assert left == [], "comments and all"
    assert [name for name in (TYRES, CYLINDER) if any(name in line for line in new)] == [TYRES, CYLINDER]
    old, now = parse_workshop(before), parse_workshop(after)
    assert now.jobs[: len(old.jobs)] == old.jobs
    assert now.model_copy(update={"jobs": old.jobs}) == old
    plan = json.loads(run("plan", str(demo), "--json").out)
    assert plan["status"] == "proven"
    done = {job for stint in plan["stints"] for job in stint["jobs"]}
    assert {TYRES, CYLINDER} <= done
    again = run("propose", str(demo), "--write")
    assert "Nothing was written" in again.out
    assert demo.read_text(encoding="utf-8") == after


def test_without_write_nothing_is_written(run: Run, demo: Path) -> None:
    run("propose", str(demo))
    assert demo.read_text(encoding="utf-8") == demo_text()


BARE = """\
format: onceapart-workshop/1
name: Quay Lane
today: 2026-03-02
currency: EUR
hour_worth: 12.00
cars:
  - {id: wren, name: The Wren, inspection: {due: 2026-04-11, rules: eu-2014-45}}
findings:
  - {car: wren, item: spring, place: front-left, seen: [broken], date: 2026-03-01}
  - {car: wren, item: steering-wheel, seen: [loose], date: 2026-03-01}
"""


def test_what_nobody_sells_and_what_no_recipe_cures_is_named(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "bare.yaml"
    file.write_text(BARE, encoding="utf-8")
    out = " ".join(run("propose", str(file)).out.split())
    assert "nobody sells wren/front/coil-spring" in out
    assert "the tool spring-compressor is not there and has no price" in out
    assert "Steering wheel (major): no recipe puts it right" in out


def test_tools_that_are_asked_for_are_written_too(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "bare.yaml"
    file.write_text(BARE, encoding="utf-8")
    assert run("propose", str(file), "--write").status == 0
    written = parse_with_lines(file.read_text(encoding="utf-8"), "bare").workshop
    assert [job.id for job in written.jobs] == ["wren-coil-spring-front"]
    assert "spring-compressor" in {tool.id for tool in written.tools}
    ran = run("plan", str(file))
    assert ran.status == 3, "no plan, as nobody sells springs; it says so"
    assert re.search(r"coil-spring|spring-compressor", ran.out)


def test_standard_input_can_not_be_written_to(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    import io
    import sys
    from types import SimpleNamespace

    monkeypatch.setattr(sys, "stdin", SimpleNamespace(buffer=io.BytesIO(BARE.encode())))
    ran = run("propose", "-", "--write")
    assert ran.status == 2
    assert "name a file" in ran.err


def test_nothing_wrong_needs_nothing(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "bare.yaml"
    file.write_text(BARE.replace("[broken]", "[sound]").replace("[loose]", "[sound]"), encoding="utf-8")
    ran = run("propose", str(file))
    assert ran.status == 0
    assert "0 new jobs" in ran.out
