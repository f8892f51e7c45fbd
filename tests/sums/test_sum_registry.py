"""Walk every sum: units, ranges, sources, cautions, examples that run, docstrings, and what loading costs."""

import importlib
import inspect
import json
import pkgutil
import re
import subprocess
import sys
from xml.etree import ElementTree

import pytest

import onceapart.sums
from onceapart.errors import SumError
from onceapart.sums.inputs import ChoiceInput, Input, QuantityInput, RowsInput, TextInput
from onceapart.sums.plots import plot_svg
from onceapart.sums.present import as_plain, shown_lines, shown_rows
from onceapart.sums.registry import Status, all_sums, family_names, find_sum, load_family
from onceapart.sums.result import Output
from onceapart.sums.run import run_example, run_sum
from onceapart.sums.units import KINDS, UNITS

SUMS = all_sums()
every_sum = pytest.mark.parametrize("each", SUMS, ids=lambda each: each.name)


def _inputs(inputs):
    for each in inputs:
        yield each
        if isinstance(each, RowsInput):
            yield from _inputs(each.columns)


def test_names_are_unique_and_begin_with_their_family():
    names = [each.name for each in SUMS]
    assert len(names) == len(set(names))
    for family in family_names():
        for each in load_family(family).sums:
            assert re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", each.name)
            assert family.startswith(each.name.partition("-")[0]), each.name


@every_sum
def test_every_input_has_a_unit_and_a_range(each):
    names = [one.name for one in each.inputs]
    assert len(names) == len(set(names))
    for one in _inputs(each.inputs):
        assert re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", one.name)
        assert one.label[0].isupper()
        assert one.accepts
        if isinstance(one, QuantityInput):
            assert one.unit in KINDS[one.unit_kind]
            assert one.low < one.high
        if isinstance(one, ChoiceInput):
            assert len(one.choices) >= 2
        if isinstance(one, TextInput):
            assert one.what


@every_sum
def test_examples_and_defaults_of_inputs_can_be_read(each):
    for one in _inputs(each.inputs):
        assert one.read(one.example).typed == one.example.strip()
        if one.default is not None:
            assert one.read(None).value is not None
            assert not one.optional


@every_sum
def test_the_answer_takes_each_input_by_name_and_unit(each):
    wanted = {one.python_name for one in each.inputs}
    taken = inspect.signature(each.answer).parameters
    assert wanted == set(taken)


@every_sum
def test_every_sum_has_sources_and_words(each):
    assert each.question.endswith("?")
    assert each.title
    assert each.sources
    for source in each.sources:
        assert source.document
        assert isinstance(source.status, Status)
    for output in each.outputs:
        assert isinstance(output, Output)
        assert output.unit is None or output.unit in UNITS


@every_sum
def test_a_sum_that_can_hurt_has_a_caution(each):
    assert each.cautions or not each.can_hurt


@every_sum
def test_the_example_runs_and_can_be_shown(each):
    result = run_example(each)
    for system in ("metric", "imperial"):
        lines = shown_lines(each.outputs, result, system)
        assert lines or result.tables
        shown_rows(result, system)
    assert json.loads(json.dumps(as_plain(each.outputs, result)))["inputs"]
    if result.drawing:
        assert ElementTree.fromstring(result.drawing).tag.endswith("svg")
    for text in (*result.reasons, *result.warnings):
        assert text[0] == text[0].upper()


@every_sum
def test_the_example_answers_twice_alike(each):
    assert as_plain(each.outputs, run_example(each)) == as_plain(each.outputs, run_example(each))


@every_sum
def test_the_plot_if_any_can_be_drawn(each):
    result = run_example(each)
    if result.plot is not None:
        assert "<svg" in plot_svg(result.plot())


@every_sum
def test_nonsense_in_any_one_input_is_refused_by_name(each):
    for one in each.inputs:
        with pytest.raises(SumError, match=re.escape(one.name)):
            run_sum(each.name, {**each.example, one.name: "9**9**9**9"})


def test_an_unknown_sum_names_near_ones():
    with pytest.raises(SumError, match="no such sum; there is"):
        find_sum("blot-torque")
    with pytest.raises(SumError, match="no such sum"):
        find_sum("")


HEAVY = ("scipy", "numpy", "matplotlib", "pint", "pydantic", "django", "highspy", "ortools")


def test_loading_and_answering_every_sum_needs_no_heavy_library():
    """Only a plot may load one."""
    code = (
        "import sys; from onceapart.sums.registry import all_sums;"
        "from onceapart.sums.run import run_example;"
        "[run_example(each) for each in all_sums()];"
        f"print([name for name in {HEAVY!r} if name in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_all_sums_together_start_and_answer_in_half_a_second():
    """Processor time of a fresh interpreter, without plots; the best of three, as others work too."""
    code = (
        "import time; from onceapart.sums.registry import all_sums;"
        "from onceapart.sums.run import run_example;"
        "[run_example(each) for each in all_sums()]; print(time.process_time())"
    )
    seconds = [
        float(subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout)
        for _ in range(3)
    ]
    assert min(seconds) < 0.5


def test_asking_for_one_sum_loads_its_family_only():
    for family in family_names():
        name = load_family(family).sums[0].name
        code = (
            f"import sys; from onceapart.sums.registry import find_sum; find_sum({name!r});"
            "print(sorted(m.split('.')[2] for m in sys.modules if m.endswith('.catalogue')))"
        )
        done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
        assert done.stdout.strip() == str([family])


def _engineering_functions():
    """Public functions of the families that give figures back."""
    for info in pkgutil.walk_packages(onceapart.sums.__path__, "onceapart.sums."):
        if info.name.count(".") < 3 or info.ispkg or info.name.endswith(".catalogue"):
            continue
        module = importlib.import_module(info.name)
        for name, function in vars(module).items():
            is_own = inspect.isfunction(function) and function.__module__ == info.name
            if is_own and not name.startswith("_"):
                gives = str(inspect.signature(function).return_annotation)
                if gives in {"float", "Band", "int"} or gives.startswith(("tuple[float", "list[float")):
                    yield function


ENGINEERING = list(_engineering_functions())
SECTIONS = ("Parameters", "Returns", "Notes", "Examples", "References")


@pytest.mark.parametrize("function", ENGINEERING, ids=lambda function: function.__qualname__)
def test_engineering_functions_are_documented_in_the_fixed_order(function):
    doc = inspect.getdoc(function) or ""
    found = [
        line
        for line, rule in zip(doc.splitlines(), doc.splitlines()[1:], strict=False)
        if rule.startswith("---")
    ]
    assert [section for section in found if section in SECTIONS] == found
    assert found == sorted(found, key=SECTIONS.index)
    assert {"Parameters", "Returns", "Examples", "References"} <= set(found)
    assert re.search(r"References\n-+\n(.*\n)*\s*\.\. \[1\]", doc)


@pytest.mark.parametrize("function", ENGINEERING, ids=lambda function: function.__qualname__)
def test_engineering_functions_give_a_unit_for_each_figure(function):
    doc = inspect.getdoc(function) or ""
    parameters = doc.partition("Parameters\n")[2].partition("Returns\n")[0]
    returns = doc.partition("Returns\n")[2].partition("Examples\n")[0]
    named = set(re.findall(r"\w+", " ".join(re.findall(r"^(\S.*?) :", parameters, re.MULTILINE))))
    assert set(inspect.signature(function).parameters) <= named
    for entry in re.split(r"^(?=\S.* : )", parameters, flags=re.MULTILINE)[1:]:
        if re.match(r"[^\n]* : .*\b(float|int)\b", entry):
            assert re.search(r"\[[^\]]+\]", entry), entry
    assert re.search(r"\[[^\]]+\]", returns)


def test_inputs_are_abstract():
    bare = Input(name="x", label="X", example="1")
    with pytest.raises(NotImplementedError):
        bare.read("1")
    with pytest.raises(NotImplementedError):
        _ = bare.accepts
