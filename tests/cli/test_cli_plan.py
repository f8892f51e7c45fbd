"""What ``plan`` and ``compare`` print: the page, JSON, and the reasons where there is no plan."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from cli_cases import IMPOSSIBLE, SMALL, Run, nasty
from rich.cells import cell_len

from onceapart.cli import solving
from onceapart.planning.answer import Answer, Progress
from onceapart.planning.cost import Cost
from onceapart.planning.plan import Aim, Plan, Status
from onceapart.planning.plan_file import plan_to_json
from onceapart.planning.proof import proof_words
from onceapart.planning.solve import best_plan
from onceapart.planning.workload import workload_from
from onceapart.workshop import read_workshop

DRAWN = re.compile("[\x1b\u2500-\u259f]")
"""Colour codes, and lines and blocks that tables are drawn with."""


@pytest.fixture
def file(tmp_path: Path) -> Callable[[str], str]:
    """Put a text into a file; its name."""

    def put(text: str) -> str:
        path = tmp_path / "garage.yaml"
        path.write_text(text, encoding="utf-8")
        return str(path)

    return put


def test_the_demo_says_things_in_their_order(run: Run) -> None:
    ran = run("demo")
    assert (ran.status, ran.err) == (0, "")
    order = [
        "Weir Street: least money and time together",
        "Money  ",
        "Time  ",
        "Ready  ",
        "Proven  ",
        "To order",
        "Fennick & Daughter: ",
        "fennick-drum-kit",
        "Tools to buy: boot-clip-pliers 11.90",
        "To do",
        "Sat 7 Mar: ",
        "jobs  ",
        "comes off  ",
        "aftercare  ",
        "hire  ",
        "Why",
        "together save",
        "waits for",
        "the same pieces from",
        "Left",
        "pickle-speakers",
        "Spare pieces",
        "Deposits to get back",
        "The tool advises",
        "inspector decide",
    ]
    at = 0
    for words in order:
        at = ran.out.find(words, at)
        assert at >= 0, f"{words} does not come where it should"
    assert "No plan is cheaper." in ran.out


def test_its_figures_are_those_of_the_plan(run: Run, file: Callable[[str], str]) -> None:
    from onceapart.demo import demo_text

    name = file(demo_text())
    told = json.loads(run("plan", name, "--json").out)
    page = " ".join(run("plan", name).out.split())
    cost = told["cost"]
    assert f"Money {cost['money'] / 100:.2f} EUR" in page
    assert f"{cost['minutes'] // 60} h {cost['minutes'] % 60} min in" in page
    assert f"All in: {cost['total'] / 100:.2f} EUR" in page
    for stint in told["stints"]:
        if stint["jobs"]:
            assert f"{stint['used']} of {stint['minutes']} min" in page
        for job in stint["jobs"]:
            assert job in page
    for order in told["orders"]:
        assert f"{order['goods'] / 100:.2f} EUR" in page
        for line in order["lines"]:
            assert f"{line['units']} {line['offer']}" in page
    for part in told["spare"]:
        assert part in page
    for left in told["left"]:
        assert f"{left['job']}: {left['why']}" in page


def test_why_tells_every_job_and_order(run: Run, file: Callable[[str], str]) -> None:
    from onceapart.demo import demo_text, read_demo

    short, full = run("demo").out, run("plan", file(demo_text()), "--why").out
    assert "Why, job by job" not in short
    assert len(short.splitlines()) < 110, "no screenful of noise"
    jobs = full.partition("Why, job by job")[2].partition("Why, order by order")[0]
    for job in read_demo().workshop.jobs:
        assert (f"  - {job.id} is done on " in jobs) == (job.id != "pickle-speakers")
    assert full.partition("Why, order by order")[2].count("  - ") >= 4


@pytest.mark.parametrize("aim", Aim)
def test_json_is_json_and_nothing_else(run: Run, file: Callable[[str], str], aim: Aim) -> None:
    name = file(SMALL)
    ran = run("plan", name, "--aim", str(aim), "--json")
    assert (ran.status, ran.err) == (0, "")
    workload = workload_from(read_workshop(name))
    assert json.loads(ran.out) == plan_to_json(workload, best_plan(workload, aim))
    assert json.loads(ran.out)["status"] == "proven"


def test_an_impossible_workshop_ends_with_3_and_its_reasons(run: Run, file: Callable[[str], str]) -> None:
    name = file(IMPOSSIBLE)
    ran = run("plan", name)
    assert (ran.status, ran.err) == (3, "")
    assert ran.out.startswith("Quay Lane: no plan is possible\n")
    assert "wren-bulb" in ran.out
    assert "75" in ran.out
    assert "60" in ran.out
    as_json = run("plan", name, "--json")
    told = json.loads(as_json.out)
    assert (as_json.status, as_json.err) == (3, "")
    assert told["status"] == "impossible"
    assert " ".join(told["why"]) != "no plan keeps all the rules", "the reasons are those of the page"
    assert all(" ".join(line.split()) in " ".join(ran.out.split()) for line in told["why"])
    assert run("compare", name).status == 3


def test_no_plan_yet_is_not_called_impossible(
    run: Run, file: Callable[[str], str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def stopped(workload: Any, aim: Aim, seconds: float | None = None) -> Answer:
        return Answer(aim, Status.GOOD, why=("stopped before a plan was found",))

    monkeypatch.setattr(solving, "find_plan", stopped)
    ran = run("plan", file(SMALL))
    assert (ran.status, ran.out) == (1, "")
    assert "stopped before a plan was found" in ran.err
    assert "impossible" not in ran.err


def test_ctrl_c_before_any_plan_ends_with_130(
    run: Run, file: Callable[[str], str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def stopped(workload: Any, aim: Aim, seconds: float | None = None) -> Answer:
        raise KeyboardInterrupt

    monkeypatch.setattr(solving, "find_plan", stopped)
    ran = run("plan", file(SMALL))
    assert (ran.status, ran.out) == (130, "")
    assert "stopped" in ran.err


def test_a_workshop_with_nothing_to_do_has_a_plan(run: Run, file: Callable[[str], str]) -> None:
    text = "format: onceapart-workshop/1\nname: Empty\ntoday: 2026-03-02\ncurrency: EUR\nhour_worth: 12.00\n"
    for command in ("plan", "compare", "check"):
        ran = run(command, file(text))
        assert (ran.status, ran.err) == (0, "")
    assert "nothing" in run("plan", file(text)).out


@pytest.mark.parametrize("which", ["demo", "nasty"])
@pytest.mark.parametrize(
    "arguments",
    [["plan"], ["plan", "--why"], ["compare"], ["check"], *(["plan", "--aim", aim] for aim in Aim)],
)
def test_without_a_terminal_it_is_plain_and_80_wide(
    run: Run, file: Callable[[str], str], which: str, arguments: list[str]
) -> None:
    from onceapart.demo import demo_text

    name = file(nasty() if which == "nasty" else demo_text())
    ran = run(arguments[0], name, *arguments[1:])
    assert ran.status == 0
    for line in ran.out.splitlines():
        assert cell_len(line) <= 80, line
        assert line == line.rstrip()
    assert not DRAWN.search(ran.out)
    assert "\N{NO-BREAK SPACE}" not in ran.out


def test_problems_are_80_wide_too(run: Run, file: Callable[[str], str]) -> None:
    broken = nasty().replace("minutes: 30", "minutes: thirty").replace("need: inspection", "need: insp")
    ran = run("check", file(broken))
    assert ran.status == 2
    assert all(cell_len(line) <= 80 for line in ran.err.splitlines())


def test_every_recipe_page_is_80_wide(run: Run) -> None:
    assert all(cell_len(line) <= 80 for line in run("recipes").out.splitlines())


def test_the_comparison_has_a_line_for_each_way(run: Run, file: Callable[[str], str]) -> None:
    from onceapart.demo import demo_text

    name = file(demo_text())
    ran, told = run("compare", name), json.loads(run("compare", name, "--json").out)
    assert (ran.status, ran.err) == (0, "")
    assert [way["name"] for way in told["ways"]] == [*Aim, "on its own", "line by line"]
    lines = ran.out.splitlines()
    for way, words in zip(told["ways"], [*Aim, "each job on its own", "cheapest line by line"], strict=True):
        (line,) = (line for line in lines if line.startswith(f"{words}  "))
        assert f" {way['money'] / 100:.2f} " in line
        assert f" {way['minutes'] // 60}:{way['minutes'] % 60:02} " in line
    assert "pickle-speakers" in ran.out


# -- how good a plan is, in words --------------------------------------------------------------------------

PRICE = Cost(goods=60000, delivery=0, aftercare=0, hire=0, tools=0, minutes=600, time=10000, worth=0)


def doubt(aim: Aim, bound: int, bound_of: str) -> str:
    answer = Answer(aim, Status.GOOD, Plan(()), PRICE, bound=bound, bound_of=bound_of)
    word, sentence = proof_words(answer, "EUR")
    assert word == "Good"
    assert sentence.endswith(" The proof is not complete.")
    return sentence.removesuffix(" The proof is not complete.")


@pytest.mark.parametrize("aim", Aim)
def test_a_proven_plan_says_what_no_plan_is(aim: Aim) -> None:
    word, sentence = proof_words(Answer(aim, Status.PROVEN, Plan(()), PRICE, bound=PRICE.total), "EUR")
    assert word == "Proven"
    assert sentence.startswith("No plan ")


@pytest.mark.parametrize(
    ("aim", "bound", "bound_of", "said"),
    [
        (Aim.BALANCE, 69880, "total", "At most 1.20 EUR could still be saved."),
        (Aim.THRIFT, 59000, "money", "At most 10.00 EUR could still be saved."),
        (Aim.LEAST_WORK, 535, "minutes", "At most 1 h 5 min could still be saved."),
        (Aim.SOONEST, 739700, "ready", "No plan is ready before Wed 25 Mar."),
        (
            Aim.THRIFT,
            69000,
            "total",
            "No plan needs less money; of those as good in that, one may cost up to 10.00 EUR less in all.",
        ),
        (Aim.BALANCE, 3, "orders", "No plan is cheaper; one as good may need fewer orders."),
        (Aim.BALANCE, 70000, "total", "No plan is cheaper; one as good may be tidier."),
        (Aim.BALANCE, -(10**12), "total", "How much better a plan could be is not known."),
    ],
)
def test_an_unproven_plan_says_how_far_it_may_be_off(aim: Aim, bound: int, bound_of: str, said: str) -> None:
    assert doubt(aim, bound, bound_of) == said


@pytest.mark.parametrize("aim", Aim)
@pytest.mark.parametrize("stage", ["root", "total", "money", "minutes", "orders", "ready"])
@pytest.mark.parametrize("best", [None, 70000.0])
@pytest.mark.parametrize("bound", [None, 69000.0, float("-inf")])
def test_progress_is_short_whatever_it_is_of(
    aim: Aim, stage: str, best: float | None, bound: float | None
) -> None:
    words = solving.progress_words(Progress(stage, best, bound, 3), aim, "EUR")
    assert 0 < len(words) < 78
    assert "inf" not in words


@pytest.mark.parametrize(
    ("aim", "last", "bound", "bound_of"),
    [
        (Aim.BALANCE, None, -(10**12), "total"),
        (Aim.BALANCE, Progress("root", 70000.0, None, 0), -(10**12), "total"),
        (Aim.BALANCE, Progress("root", 70000.0, 69000.2, 0), 69001, "total"),
        (Aim.THRIFT, Progress("root", 60000.0, 59000.0, 0), 59000, "money"),
        (Aim.THRIFT, Progress("total", 60000.0, 69500.0, 9), 69500, "total"),
        (Aim.SOONEST, Progress("total", 739700.0, 69500.0, 9), 69500, "total"),
        (Aim.BALANCE, Progress("orders", 70000.0, 2.0, 9), 2, "orders"),
        (Aim.BALANCE, Progress("total", 70000.0, float("-inf"), 9), -(10**12), "total"),
    ],
)
def test_a_search_broken_off_keeps_the_bound_it_had_shown(
    aim: Aim, last: Progress | None, bound: int, bound_of: str
) -> None:
    broken_off = Answer(aim, Status.GOOD, Plan(()), PRICE, bound=-(10**12), bound_of="total")
    found = solving.with_bound(broken_off, last)
    assert (found.bound, found.bound_of) == (bound, bound_of)
    proven = Answer(aim, Status.PROVEN, Plan(()), PRICE, bound=PRICE.total)
    assert solving.with_bound(proven, last) == proven
