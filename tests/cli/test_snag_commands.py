"""``snag``, ``order`` and ``replan`` from the command line: what a person types and reads."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest
from cli_cases import Run

from onceapart.bench.record import RecordFile, record_path
from onceapart.workshop import read_workshop

SHOWN = Path(__file__).parents[2] / "docs" / "shown"
DAY = ("--today", "2026-03-14")


@pytest.fixture
def file(tmp_path: Path) -> str:
    """The workshop of the documentation with its record: a nut is seized, and the arm is the wrong one."""
    for name in ("snag.yaml", "snag.record.jsonl"):
        shutil.copy(SHOWN / name, tmp_path)
    return str(tmp_path / "snag.yaml")


@pytest.fixture
def fresh(tmp_path: Path) -> str:
    """The same without a record."""
    shutil.copy(SHOWN / "snag.yaml", tmp_path / "fresh.yaml")
    return str(tmp_path / "fresh.yaml")


def kinds(file: str) -> list[str]:
    return [entry.kind for entry in RecordFile(record_path(file)).entries()]


def test_a_snag_is_opened_once_and_its_ways_are_shown(run: Run, fresh: str) -> None:
    first = run("snag", fresh, "wren", "broken-fastener", "wren-exhaust", "--words", "stud sheared", *DAY)
    assert first.status == 0
    assert first.out.startswith("Snag 1: broken fastener (The Wren, 2026-03-14)")
    assert "stud sheared" in first.out
    assert "common practice, without a source" in " ".join(first.out.split())
    assert all(len(line) <= 80 for line in first.out.splitlines())
    assert run("snag", fresh, "wren", "broken", "wren-exhaust", *DAY).out == first.out
    assert kinds(fresh) == ["snag opened"]
    assert "1 broken fastener: The Wren, stud sheared" in run("snag", fresh).out


def test_choosing_by_the_same_words_or_by_number(run: Run, fresh: str) -> None:
    shown = json.loads(run("snag", fresh, "wren", "seized", "wren-arm", *DAY, "--json").out)
    heat = next(way for way in shown["ways"] if way["way"] == "heat")
    ran = run("snag", fresh, "wren", "seized", "wren-arm", "--way", str(heat["number"]), *DAY)
    assert ran.status == 0
    assert "Snag 1: Heat" in ran.out
    assert run("snag", fresh, "1", "--way", "oil-and-shock", "--minutes", "12", *DAY).status == 0
    assert kinds(fresh) == ["snag opened", "way chosen", "way chosen"]
    (listed,) = json.loads(run("snag", fresh, "--json").out)
    assert listed["ways"] == ["heat", "oil-and-shock"]
    assert run("snag", fresh, "1", "--close", "it came").out == "Snag 1 is closed.\n"
    assert "0 open snags (1 closed)" in run("snag", fresh).out


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["wrem", "broken", "wren-arm"], "did you mean wren?"),
        (["wren", "brokn-fastener"], "broken-fastener"),
        (["wren"], "Give a kind of snag"),
        (["wren", "broken", "wren-am"], "wren-arm"),
        (["99"], "open are 18, 19"),
        (["18", "broken"], "stands alone"),
        (["19", "--way", "77"], "numbered 1 to"),
        (["19", "--way", "part-order"], "choose by number"),
        (["19", "--way", "leave-it"], "must be done"),
        (["18", "--way", "substitute"], "--check"),
        (["18", "--way", "substitute", "--check", "grip"], "has its name"),
        (["18", "--way", "heat", "--price", "3,00"], "--price 3,00"),
        (["18", "--way", "fastener-stopgap"], "--what"),
        (["18", "--way", "heat", "--today", "2026-02-30"], "no such day"),
        (["18", "--way", "heat", "--plan", "none.json"], "can't be read"),
    ],
)
def test_what_is_not_understood_is_said_and_nothing_is_noted(
    run: Run, file: str, arguments: list[str], said: str
) -> None:
    before = Path(record_path(file)).read_bytes(), Path(file).read_bytes()
    ran = run("snag", file, *arguments, *([] if "--today" in arguments else DAY))
    assert ran.status == 2
    assert ran.out == ""
    assert said in " ".join(ran.err.split())
    assert (Path(record_path(file)).read_bytes(), Path(file).read_bytes()) == before


def test_a_stopgap_comes_with_its_job_in_the_file_and_is_shown(run: Run, file: str) -> None:
    ran = run(
        "snag", file, "18", "--way", "fastener-stopgap", "--what", "wire", "--where", "ball joint", *DAY
    )  # fmt: skip
    assert ran.status == 0
    text = " ".join(ran.out.split())
    assert "DO NOT DRIVE" in text
    assert "Job wren-arm-make-good makes it good." in text
    jobs = {job.id: job for job in read_workshop(file).jobs}
    assert jobs["wren-arm-make-good"].need == "safety"
    assert "# A small workshop with a record beside it" in Path(file).read_text(encoding="utf-8")
    again = run("replan", file, *DAY)
    assert again.status == 0
    assert "wren-arm-make-good" in again.out


def test_replan_says_what_moves_and_what_it_costs(run: Run, file: str) -> None:
    ran = run("replan", file, *DAY)
    assert ran.status == 0
    assert all(len(line) <= 80 for line in ran.out.splitlines())
    text = " ".join(ran.out.split())
    assert "wren-arm moves from 14 March to" in text
    assert "To order now: post-" in text
    assert "its inspection, due 11 April, holds" in text
    assert "on-its-way" not in text, "what stands for orders on their way is nobody's business"


def test_orders_are_noted_once_and_the_next_plan_builds_on_them(run: Run, file: str, tmp_path: Path) -> None:
    first = json.loads(run("replan", file, *DAY, "--json").out)
    ordered = run("replan", file, *DAY, "--order")
    assert "The orders are noted." in ordered.out
    again = json.loads(run("replan", file, *DAY, "--json").out)
    assert again["orders"] == [] or all(one["seller"] == "on-its-way" for one in again["orders"])
    assert again["in_all"] == first["in_all"]
    assert (
        again["spent"]["money"]
        == first["spent"]["money"] + first["cost"]["goods"] + first["cost"]["delivery"]
    )
    saved = tmp_path / "saved.json"
    saved.write_text(json.dumps(first), encoding="utf-8")
    held = run("replan", file, *DAY, "--plan", str(saved))
    assert "Nothing changes" in held.out


def test_a_saved_first_plan_is_what_is_compared_with(run: Run, file: str, tmp_path: Path) -> None:
    saved = tmp_path / "plan.json"
    saved.write_text(run("plan", file, "--aim", "thrift", "--json").out, encoding="utf-8")
    by_file, by_plan = (json.loads(run("replan", file, *DAY, *more, "--json").out)
                        for more in ((), ("--plan", str(saved))))  # fmt: skip
    assert by_file["cost"] == by_plan["cost"], "the record notes the orders, so the plan does not matter"
    assert by_file["changes"] != by_plan["changes"]


def test_the_plan_s_orders_are_taken_as_placed_until_one_is_noted(run: Run, fresh: str) -> None:
    shown = run("order", fresh, *DAY)
    assert "by the plan; nothing is noted" in shown.out
    assert "post-a-discs" in shown.out
    assert kinds(fresh) == []
    assert run("order", fresh, "counter-arm", *DAY).status == 0
    assert kinds(fresh) == ["ordered"] * (len(shown_orders(shown.out)) + 1)
    assert run("order", fresh, *DAY).out.count("counter-arm") == 1


def shown_orders(out: str) -> list[str]:
    return [line for line in out.splitlines() if "EUR" in line and line.startswith("  ") and ":" in line]


def test_what_came_and_what_is_late(run: Run, file: str) -> None:
    assert run("order", file, "post-a-arm", "post-b-link=2", *DAY).status == 0
    late = run("order", file, "--late", "post-b-link=2026-03-25", *DAY)
    assert "post-b-link" in late.out
    assert "due Wed 25 Mar" in " ".join(late.out.split())
    came = run("order", file, "--came", "lower-arm", *DAY)
    assert came.status == 0
    assert "1 wren/front-left/lower-arm" in came.out.partition("In hand")[2]
    assert run("order", file, "--wrong", "drop-link=2", *DAY).status == 0
    assert "drop-link" not in run("order", file, *DAY).out.partition("Coming")[2].partition("In hand")[0]


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["post-a-am"], "did you mean post-a-arm?"),
        (["post-a-arm=two"], "a whole number is wanted"),
        (["--came", "lower-am"], "no part with this id"),
        (["--late", "counter-arm=2026-03-20"], "no such order is noted"),
        (["--late", "post-b-arm=soon"], "no such day"),
    ],
)
def test_orders_that_are_none_are_refused(run: Run, file: str, arguments: list[str], said: str) -> None:
    before = Path(record_path(file)).read_bytes()
    ran = run("order", file, *arguments, *DAY)
    assert ran.status == 2
    assert said in " ".join(ran.err.split())
    assert Path(record_path(file)).read_bytes() == before


def test_minutes_left_as_a_person_says(run: Run, file: str) -> None:
    none = json.loads(run("replan", file, *DAY, "--minutes-left", "0", "--json").out)
    assert none["stints"][0]["minutes"] == 0
    some = json.loads(run("replan", file, *DAY, "--minutes-left", "2026-03-14=200", "--json").out)
    assert some["stints"][0]["minutes"] == 200
    for typed, said in (("x", "whole minutes"), ("2026-03-15=5", "today's stints are")):
        ran = run("replan", file, *DAY, "--minutes-left", typed)
        assert ran.status == 2
        assert said in ran.err


def test_too_late_is_said_with_what_would_free_it(run: Run, file: str) -> None:
    ran = run("replan", file, "--today", "2026-04-06")
    assert ran.status == 3
    assert "no plan is possible" in ran.out
    assert json.loads(run("replan", file, "--today", "2026-04-06", "--json").out)["status"] == "impossible"


def test_a_broken_saved_plan_is_refused(run: Run, file: str, tmp_path: Path) -> None:
    saved = tmp_path / "bad.json"
    for text in ("{", "[]", '{"stints": [], "in_all": {}}', '{"stints": 5}'):
        saved.write_text(text, encoding="utf-8")
        ran = run("replan", file, *DAY, "--plan", str(saved))
        assert ran.status == 2, text
        assert "bad.json" in ran.err


def test_a_file_from_standard_input_has_no_record(run: Run) -> None:
    for command in ("replan", "order", "snag"):
        assert "name the file" in run(command, "-").err


def test_the_card_of_a_stint_of_the_new_plan(run: Run, file: str) -> None:
    card = run("replan", file, *DAY, "--card", "2026-03-14")
    assert card.status == 0
    assert "job card for Sat 14 Mar 2026" in card.out
    assert "Off already  wren/front/on-stands, wren/front-left/wheel" in card.out
    assert all(len(line) <= 80 for line in card.out.splitlines())
    data = json.loads(run("replan", file, *DAY, "--card", "2026-03-14", "--json").out)
    assert data["steps"]
    ran = run("replan", file, *DAY, "--card", "2026-03-15")
    assert ran.status == 2
    assert "left are 2026-03-14" in " ".join(ran.err.split())
