"""What holds for every brake sum."""

import subprocess
import sys
from importlib import resources

import pytest

from onceapart.sums.registry import Status, load_family
from onceapart.sums.run import run_example

SUMS = load_family("brakes").sums
every_sum = pytest.mark.parametrize("each", SUMS, ids=lambda each: each.name)


@every_sum
def test_brakes_can_kill_is_said_with_every_sum(each):
    assert "Brakes can kill" in each.cautions[0]
    assert "licensed mechanic" in each.cautions[0]


@every_sum
def test_a_table_of_rules_gives_each_row_a_status_and_defers(each):
    for table in run_example(each).tables:
        if "rules" in table.title:
            assert "inspector" in table.title
            assert all(row[-1].split(" (")[0] in {"verified", "from memory"} for row in table.rows)
            assert any("inspector" in caution for caution in each.cautions)


def test_common_practice_names_no_document():
    """A figure without a source must not look as if it had one."""
    sources = {source for each in SUMS for source in each.sources}
    for source in sources:
        if source.status is Status.COMMON_PRACTICE:
            assert source.document in {"trade", "our judgement", "our estimate"}, source


def test_every_data_file_says_where_its_figures_come_from():
    folder = resources.files("onceapart.sums.brakes") / "data"
    files = [each for each in folder.iterdir() if each.name.endswith(".csv")]
    assert len(files) == 5
    for each in files:
        head = each.read_text("utf-8").splitlines()[0]
        assert head.startswith("#")


def test_no_answer_needs_scipy_and_only_plots_may():
    code = (
        "import sys\n"
        "from onceapart.sums.registry import load_family; from onceapart.sums.run import run_example\n"
        "for each in load_family('brakes').sums: run_example(each)\n"
        "print([name for name in ('scipy', 'numpy', 'matplotlib', 'pint') if name in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
