"""``onceapart sum``: every sum listed, described, run and drawn from the command line."""

from __future__ import annotations

import json
import re
import shlex
import subprocess
import sys
from pathlib import Path
from xml.etree import ElementTree

import pytest
from cli_cases import Run
from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len
from test_cli_speed import processor_seconds

from onceapart.cli.sum_page import example_lines, fitted_widths, quoted
from onceapart.cli.sums import split_inputs
from onceapart.sums.present import shown_lines
from onceapart.sums.registry import Sum, all_sums, family_names, find_sum, load_family
from onceapart.sums.run import run_example

SUMS = all_sums()
ROOT = Path(__file__).parents[2]
every_sum = pytest.mark.parametrize("each", SUMS, ids=lambda each: each.name)


def flat(text: str) -> str:
    return " ".join(text.split())


def fits(text: str) -> bool:
    return all(cell_len(line) <= 80 and line == line.rstrip() for line in text.splitlines())


def test_the_list_names_every_sum_with_its_question(run: Run) -> None:
    ran = run("sum")
    assert (ran.status, ran.err) == (0, "")
    assert fits(ran.out)
    assert "\x1b" not in ran.out
    said = flat(ran.out)
    for family in map(load_family, family_names()):
        assert f"\n{family.title}\n" in f"\n{ran.out}"
        for each in family.sums:
            assert f"{each.name} {each.question}" in said


def test_a_family_is_listed_alone(run: Run) -> None:
    said = run("sum", "tyres").out
    assert "tyre-change" in said
    assert "bolt-" not in said


@every_sum
def test_a_sum_is_described_in_full(run: Run, each: Sum) -> None:
    ran = run("sum", each.name)
    assert (ran.status, ran.err) == (0, "")
    said = flat(ran.out)
    beyond = [line for line in ran.out.splitlines() if cell_len(line) > 80]
    assert not beyond
    assert each.question in said
    for one in each.inputs:
        assert f" {one.name} {one.label}: " in said
        if one.default is not None:
            assert f"Taken as {one.default} if left out." in said
    for words in (*(one.label for one in each.outputs), *each.cautions, *map(str, each.sources)):
        assert flat(words) in said


@every_sum
def test_the_example_shown_runs_as_it_stands(run: Run, each: Sum) -> None:
    words = shlex.split("\n".join(example_lines(each, 78)).replace("\\\n", " "))
    assert words[:3] == ["onceapart", "sum", each.name]
    shown, example = json.loads(run(*words[1:], "--json").out), run("sum", each.name, "--example", "--json")
    assert shown["values"] == json.loads(example.out)["values"]


@every_sum
def test_an_answer_has_all_its_parts_in_80_columns(run: Run, each: Sum) -> None:
    ran = run("sum", each.name, "--example")
    result = run_example(each)
    assert (ran.status, ran.err) == (0, "")
    assert fits(ran.out)
    assert "\x1b" not in ran.out
    said = flat(ran.out)
    if result.verdict:
        assert f"Verdict: {result.verdict}" in said
    for words in (*result.reasons, *result.warnings, *each.cautions, *(one.title for one in result.tables)):
        assert flat(words) in said
    for line in shown_lines(each.outputs, result):
        # Where both wrap, they stand beside each other line by line.
        assert set(f"{line.label} {line.words}".split()) <= set(said.split())
    for status in {one.status for one in each.sources}:
        assert f" {status.value.capitalize()} " in said
    assert ("`--drawing FILE.svg`" in said) == bool(result.drawing)
    assert ("`--plot FILE.png`" in said) == (result.plot is not None)


def test_each_input_is_shown_as_it_was_read(run: Run) -> None:
    said = flat(run("sum", "bolt-grip", "bolt=M10x60", "grip=1 3/4 in").out)
    assert "1 3/4 in = 44.45 mm" in said
    assert "34 mm (no unit typed, so taken as mm)" in flat(
        run("sum", "bolt-grip", "bolt=M10x60", "grip=34").out
    )


def test_json_is_all_there_is(run: Run) -> None:
    answer = json.loads(run("sum", "bolt-substitute", "--example", "--json").out, parse_constant=pytest.fail)
    assert answer["format"] == "onceapart-sum/1"
    assert answer["verdict"] == "stopgap"
    assert {one["status"] for one in answer["sources"]} >= {"verified", "from memory"}
    described = json.loads(run("sum", "bolt-substitute", "--json").out)
    assert [one["name"] for one in described["inputs"]] == [
        one.name for one in find_sum("bolt-substitute").inputs
    ]
    assert [one["name"] for one in json.loads(run("sum", "--json").out)] == [each.name for each in SUMS]


def test_imperial_shows_imperial_units(run: Run) -> None:
    metric, imperial = (
        flat(run("sum", "bolt-torque", "--example", *option).out) for option in ((), ("--imperial",))
    )
    assert "Torque for it 88 N·m" in metric
    assert "Torque for it 65 lb·ft" in imperial


def test_an_input_replaces_that_of_the_example(run: Run) -> None:
    said = flat(run("sum", "bolt-substitute", "--example", "found=M10x50 10.9").out)
    assert "Verdict: as good" in said


@pytest.mark.parametrize(
    "words",
    [
        ["bolt=M10x60", "grip=1 3/4 in"],
        ["bolt=M10x60", "grip=1", "3/4", "in"],
        ["bolt", "=", "M10x60", "grip", "=1", "3/4", "in"],
        ["BOLT=M10x60", "grip= 1 3/4 in "],
    ],
)
def test_blanks_may_stand_anywhere(words: list[str]) -> None:
    assert split_inputs(words) == ({"bolt": "M10x60", "grip": "1 3/4 in"}, [])


@given(
    st.dictionaries(
        st.from_regex(r"[a-z][a-z0-9-]{0,9}", fullmatch=True),
        st.text(min_size=1).filter(lambda text: text == text.strip()),
    )
)
def test_inputs_in_words_of_their_own_come_back_as_typed(typed: dict[str, str]) -> None:
    assert split_inputs([f"{name}={text}" for name, text in typed.items()]) == (typed, [])


def test_all_problems_are_said_at_once(run: Run) -> None:
    ran = run("sum", "bolt-torque", "x", "bolt=M99", "surface=wet", "grip=3", "torque=1e99 Nm", "--reused")
    assert (ran.status, ran.out) == (2, "")
    assert fits(ran.err)
    said = flat(ran.err)
    assert said.startswith("bolt-torque: 6 problems")
    for problem in (
        "'x' belongs to no input; write it as input=value",
        "'--reused' no such option; an input is written input=value",
        "'grip' no such input; bolt-torque takes bolt,",
        "bolt (Bolt) 'M99': M99 is not in the table; it has M5,",
        "surface (Surface) 'wet': not one of the choices; choose from",
        "torque (Torque to check) '1e99 Nm'",
    ):
        assert problem in said


def test_an_input_given_twice_is_refused(run: Run) -> None:
    ran = run("sum", "bolt-grip", "bolt=M10x60", "grip=3 mm", "grip=30 mm")
    assert ran.status == 2
    assert "grip given twice, '3 mm' and '30 mm'" in flat(ran.err)


def test_inputs_that_do_not_go_together_are_said(run: Run) -> None:
    ran = run("sum", "brake-band", "--example", "band-inner=300 mm")
    assert (ran.status, ran.out) == (2, "")
    assert "brake-band: " in ran.err


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["bolt-torqe"], "no such sum; there is bolt-torque"),
        (["bolt=M10"], "name the sum before its inputs"),
        (["--example"], "name the sum first"),
        (["bolts", "bolt=M10"], "name the sum first"),
        (["bolt-torque", "--plot", "a.png"], "give inputs, or --example"),
        (["bolt-torque", "--example", "--plot", "a.pdf"], "a plot is written as .svg or .png"),
        (["bolt-substitute", "--example", "--drawing", "a.png"], "a drawing is written as .svg"),
        (["9" * 3000], "no such sum"),
    ],
)
def test_what_makes_no_sense_is_refused_with_a_way_out(run: Run, arguments: list[str], words: str) -> None:
    ran = run("sum", *arguments)
    assert (ran.status, ran.out) == (2, "")
    assert words in flat(ran.err)


def test_pictures_are_written_once(run: Run, tmp_path: Path) -> None:
    drawing, plot, pixels = tmp_path / "bolt.svg", tmp_path / "torque.svg", tmp_path / "torque.png"
    ran = run("sum", "bolt-substitute", "--example", "--drawing", str(drawing))
    assert ran.status == 0
    assert "written" in ran.err
    for file in (plot, pixels):
        assert run("sum", "bolt-torque", "--example", "--plot", str(file)).status == 0
    for file in (drawing, plot):
        assert ElementTree.parse(file).getroot().tag == "{http://www.w3.org/2000/svg}svg"
    assert pixels.read_bytes().startswith(b"\x89PNG")
    drawing.write_text("mine")
    again = run("sum", "bolt-substitute", "--example", "--drawing", str(drawing))
    assert again.status == 2
    assert "there is a file of this name already" in flat(again.err)
    assert "Verdict: stopgap" in again.out, "the answer is not lost"
    assert drawing.read_text() == "mine"


def test_a_picture_that_is_not_there_or_cannot_be_written_is_said(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "a.svg"
    ran = run("sum", "bolt-torque", "--example", "--drawing", str(file))
    assert ran.status == 2
    assert "bolt-torque makes no drawing" in flat(ran.err)
    assert not file.exists()
    nowhere = run("sum", "bolt-substitute", "--example", "--drawing", str(tmp_path / "no" / "a.svg"))
    assert nowhere.status == 2
    assert "cannot be written" in flat(nowhere.err)


@given(st.text(max_size=40))
def test_a_quoted_value_is_one_word_of_a_shell(text: str) -> None:
    assert shlex.split(f"a={quoted(text)}") == [f"a={text}"]


@given(st.lists(st.lists(st.text("ab ", max_size=60), min_size=4, max_size=4), min_size=1, max_size=4))
def test_columns_fit_and_none_is_cut_without_need(rows: list[list[str]]) -> None:
    widths = fitted_widths(rows, 78)
    needs = [max(map(len, column)) for column in zip(*rows, strict=True)]
    assert sum(widths) + 2 * 3 <= 78
    if sum(needs) + 2 * 3 <= 78:
        assert all(width >= need for width, need in zip(widths, needs, strict=True))


def test_nothing_slow_is_imported_unless_needed() -> None:
    code = (
        "import sys; from onceapart.cli import main\n"
        "for words in ([], ['bolt-substitute'], *([n, '--example'] for n in sys.argv[1:])):\n"
        "    sys.argv = ['onceapart', 'sum', *words]\n"
        "    try: main()\n"
        "    except SystemExit as ended: assert not ended.code\n"
        "slow = {'numpy', 'scipy', 'matplotlib', 'pint', 'yaml', 'highspy', 'ortools'}\n"
        "print(sorted(slow & set(sys.modules)))"
    )
    names = [each.name for each in SUMS]
    done = subprocess.run([sys.executable, "-c", code, *names], capture_output=True, text=True, check=True)
    assert done.stdout.splitlines()[-1] == "[]"


@pytest.mark.parametrize("arguments", [[], ["raising-strut", "--example"]], ids=["list", "example"])
def test_the_wait_for_a_sum_is_short(program: Path, arguments: list[str]) -> None:
    assert min(processor_seconds(program, "sum", *arguments) for _ in range(3)) < 0.5


def test_the_page_of_sums_tells_of_each_once() -> None:
    page = (ROOT / "docs" / "sums.md").read_text(encoding="utf-8")
    rows = re.findall(r"^\| `([a-z0-9]+-[a-z0-9-]+)` \| (.*\?) \|", page, re.MULTILINE)
    assert rows == [(each.name, each.question) for each in SUMS]
