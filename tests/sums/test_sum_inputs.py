"""Inputs and running: ranges, defaults, all errors at once."""

import pytest

from onceapart.errors import SumError
from onceapart.sums import run
from onceapart.sums.inputs import ChoiceInput, QuantityInput, RowsInput, TextInput, YesNoInput
from onceapart.sums.registry import Source, Status, Sum
from onceapart.sums.result import Output, Result

GRIP = QuantityInput(name="grip", label="Clamped thickness", unit="mm", low=1, high=400, example="22 mm")
PLATES = QuantityInput(
    name="plates", label="Plates", unit="", low=1, high=4, whole=True, default="2", example="2"
)
METAL = ChoiceInput(
    name="metal", label="Metal", example="steel", choices={"steel": "", "cast-iron": "", "aluminium": ""}
)
DRY = YesNoInput(name="dry", label="Dry", example="yes", optional=True)
READINGS = RowsInput(
    name="readings",
    label="Readings",
    example="0 km: 8.0 mm; 5000 km: 7.1 mm",
    least=2,
    columns=(
        QuantityInput(
            name="at", label="Distance", unit="km", kind="distance", low=0, high=1e6, example="5000 km"
        ),
        QuantityInput(name="depth", label="Depth", unit="mm", low=0, high=20, example="7.1 mm"),
        TextInput(name="by", label="By", parse=str.upper, what="initials", example="a", default="-"),
    ),
)


def _echo(**arguments):
    return Result(values={"said": str(sorted(arguments.items()))})


EXAMPLE = Sum(
    name="test-sum",
    title="Test",
    question="What came in?",
    inputs=(GRIP, PLATES, METAL, DRY),
    outputs=(Output(name="said", label="Said", unit=None),),
    sources=(Source("none", "", Status.DERIVED),),
    example={},
    answer=_echo,
)


@pytest.fixture
def one_sum(monkeypatch):
    monkeypatch.setattr(run, "find_sum", lambda name: EXAMPLE)


def test_the_sum_gets_units_in_its_argument_names(one_sum):
    result = run.run_sum("test-sum", {"grip": '3/4"', "metal": "Cast Iron", "dry": "Yes"})
    assert (
        result.values["said"] == "[('dry', True), ('grip_mm', 19.05), ('metal', 'cast-iron'), ('plates', 2)]"
    )


def test_readings_say_what_was_taken_for_granted(one_sum):
    grip, plates, _, dry = run.run_sum("test-sum", {"grip": "22", "metal": "steel"}).readings
    assert (grip.words, grip.note) == ("22 mm", "no unit typed, so taken as mm")
    assert (plates.value, plates.note) == (2, "not given, so taken as this")
    assert dry.value is None


def test_all_wrong_inputs_are_told_at_once(one_sum):
    typed = {"grip": "900", "plates": "2.5", "metal": "stel", "dry": "maybe", "colour": "red"}
    with pytest.raises(run.SumInputsError) as caught:
        run.run_sum("test-sum", typed)
    said = str(caught.value)
    assert len(caught.value.problems) == 5
    assert "grip: '900' (900 mm): must be 1 to 400 mm; measure again, or add the unit" in said
    assert "whole number" in said
    assert "did you mean steel?" in said
    assert "write yes or no" in said
    assert "colour" in said
    assert "takes dry, grip, metal, plates" in said


def test_a_needed_input_left_out_or_blank_is_told_with_an_example(one_sum):
    with pytest.raises(run.SumInputsError, match="grip: not given, but needed; for instance 22 mm"):
        run.run_sum("test-sum", {"grip": "  ", "metal": "steel"})


@pytest.mark.parametrize("edge", ["1 mm", "400 mm"])
def test_the_ends_of_the_range_are_allowed(edge):
    assert GRIP.read(edge).value in {1, 400}


def test_rows_are_read_and_the_last_column_may_be_left_out():
    read = READINGS.read("0 km: 8,0 mm; 5000: 7.1 mm: b\n")
    assert read.value == ((0, 8.0, "-"), (5000, 7.1, "B"))
    assert read.note == "no unit typed, so taken as km"


def test_one_column_gives_plain_values():
    sizes = RowsInput(name="sizes", label="Sizes", example="1 mm; 2 mm", columns=(GRIP,))
    assert sizes.python_name == "sizes_mm"
    assert sizes.read("1 mm; 2 in").value == (1, 50.8)


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("0 km: 8 mm", "1 rows: must be 2 to 200"),
        ("0 km: 8 mm; 5: 99 mm", r"row 2, depth: '99 mm': must be 0 to 20 mm"),
        ("0 km: 8 mm; 5", "row 2, depth: not given"),
        ("0: 1: 2: 3; 4: 5", "row 1: 4 columns: at most 3"),
        ("0: 1;" * 10000, "longer than 20000"),
    ],
)
def test_a_wrong_row_is_named(typed, says):
    with pytest.raises(SumError, match=says):
        READINGS.read(typed)


def test_long_text_is_refused_before_it_is_parsed():
    name = TextInput(name="t", label="T", parse=lambda text: 1 / 0, what="a thread", example="M10")
    with pytest.raises(SumError, match="longer than 120"):
        name.read("M" * 10**6)


def test_a_sum_that_breaks_its_promise_is_a_fault_of_ours(one_sum, monkeypatch):
    monkeypatch.setattr(run, "find_sum", lambda name: _with_answer(Result(values={})))
    with pytest.raises(AssertionError, match="promised"):
        run.run_sum("test-sum", {"grip": "22", "metal": "steel"})


def test_an_answer_without_a_finite_value_is_refused(one_sum, monkeypatch):
    monkeypatch.setattr(run, "find_sum", lambda name: _with_answer(Result(values={"said": float("nan")})))
    with pytest.raises(SumError, match="no finite answer"):
        run.run_sum("test-sum", {"grip": "22", "metal": "steel"})


def _with_answer(result):
    return Sum(
        name="test-sum",
        title="",
        question="",
        inputs=EXAMPLE.inputs,
        outputs=EXAMPLE.outputs,
        sources=(),
        example={},
        answer=lambda **_: result,
    )
