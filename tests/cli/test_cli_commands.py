"""Every command: it has help, stands in the docs, and does not load what it does not need."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
import typer
from cli_cases import Run

from onceapart.cli.app import COMMANDS, loaded
from onceapart.cli.plan import AimName
from onceapart.planning.plan import Aim

PAGE = (Path(__file__).parents[2] / "docs" / "cli.md").read_text(encoding="utf-8")


def every_command() -> list[tuple[str, Any]]:
    """Commands and the commands below them, with what one types."""
    found, waiting = [], [(name, loaded(name)) for name in COMMANDS]
    while waiting:
        typed, command = waiting.pop(0)
        found.append((typed, command))
        waiting += [(f"{typed} {name}", one) for name, one in getattr(command, "commands", {}).items()]
    return found


@pytest.mark.parametrize(("typed", "command"), every_command(), ids=[name for name, _ in every_command()])
def test_each_command_has_help_and_stands_in_the_docs(run: Run, typed: str, command: Any) -> None:
    ran = run(*typed.split(), "--help")
    assert ran.status == 0
    assert ran.err == ""
    assert ran.out.startswith(f"Usage: onceapart {typed}")
    assert command.help is not None
    assert command.help.strip().split("\n")[0] in " ".join(ran.out.split())
    assert f"`onceapart {typed}" in PAGE
    options = {name for one in command.params for name in one.opts if name.startswith("--")} - {"--help"}
    for option in options:
        assert option in ran.out
        assert f"{option}" in PAGE, f"docs/cli.md does not tell of {option}"


def test_the_help_lists_all_commands_in_short(run: Run) -> None:
    ran = run("--help")
    for name in COMMANDS:
        (line,) = re.findall(rf"^  {name} .*$", ran.out, re.MULTILINE)
        assert line.endswith("."), line
        assert not line.endswith("..."), "the first sentence is too long for the list"
    assert all(len(line) <= 80 for line in ran.out.splitlines())
    assert run().out == ran.out or run().err == ran.out, "without arguments it shows the help"


def test_the_docs_name_no_command_that_is_not_there() -> None:
    named = set(re.findall(r"`onceapart ([a-z]+)", PAGE)) | set(
        re.findall(r"^\$ onceapart ([a-z]+)", PAGE, re.M)
    )
    assert named <= set(COMMANDS)


def test_aims_are_those_of_planning(run: Run) -> None:
    assert [aim.value for aim in AimName] == [aim.value for aim in Aim]
    for aim in Aim:
        assert aim in run("plan", "--help").out
        assert f"`{aim}`" in PAGE


def test_the_version_is_that_of_the_package(run: Run) -> None:
    text = (Path(__file__).parents[2] / "pyproject.toml").read_text(encoding="utf-8")
    version = re.search(r'^version = "(.*)"$', text, re.MULTILINE)
    assert version is not None
    assert run("--version").out == f"onceapart {version[1]}\n"


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["pan"], "Did you mean 'plan'"),
        (["plan"], "FILE"),
        (["plan", "x.yaml", "--aim", "fast"], "least-work"),
        (["plan", "x.yaml", "--seconds", "-1"], "--seconds"),
        (["plan", "x.yaml", "--secnds", "1"], "--seconds"),
    ],
)
def test_what_is_not_understood_is_said_with_a_way_out(run: Run, arguments: list[str], said: str) -> None:
    ran = run(*arguments)
    assert ran.status == 2
    assert ran.out == ""
    assert said in ran.err


def test_help_loads_nothing_that_is_slow() -> None:
    program = (
        "import sys; from onceapart.cli import main\n"
        "sys.argv = ['onceapart', '--help']\n"
        "try: main()\n"
        "except SystemExit: pass\n"
        "print(sorted({name.split('.')[0] for name in sys.modules}), file=sys.stderr)"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    loaded_now = set(re.findall(r"'(\w+)'", done.stderr))
    assert "typer" in loaded_now
    assert not loaded_now & {"pydantic", "rich", "numpy", "highspy", "ruamel", "scipy"}


def test_the_rest_of_a_command_is_loaded_late(run: Run) -> None:
    """A recipe is shown without the solver."""
    program = (
        "import sys; from onceapart.cli import main\n"
        "sys.argv = ['onceapart', 'recipes', 'drop-link']\n"
        "try: main()\n"
        "except SystemExit: pass\n"
        "assert 'highspy' not in sys.modules and 'numpy' not in sys.modules"
    )
    subprocess.run([sys.executable, "-c", program], capture_output=True, check=True)


def test_a_module_may_add_a_command_with_commands_below_it(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    def add_to(app: typer.Typer) -> None:
        below = typer.Typer(help="Weigh things.")
        below.command("one")(lambda: typer.echo("weighed"))
        below.callback()(lambda: None)
        app.add_typer(below, name="weigh")

    monkeypatch.setitem(sys.modules, "a_module_of_its_own", SimpleNamespace(add_to=add_to))
    monkeypatch.setitem(COMMANDS, "weigh", "a_module_of_its_own")
    assert run("weigh", "one").out == "weighed\n"
    assert "weigh " in run("--help").out
