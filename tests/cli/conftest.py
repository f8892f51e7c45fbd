"""Running the command line in a test."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest
from cli_cases import Ran, Run

from onceapart.cli import main

PROGRAM = Path(sys.executable).with_name("onceapart")


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Run:
    """Run ``onceapart`` with these arguments, in this process and without a terminal."""

    def run_with(*arguments: str) -> Ran:
        monkeypatch.setattr(sys, "argv", ["onceapart", *arguments])
        with pytest.raises(SystemExit) as ended:
            main()
        code = ended.value.code
        captured = capsys.readouterr()
        return Ran(code if isinstance(code, int) else int(code is not None), captured.out, captured.err)

    return run_with


@pytest.fixture(scope="session")
def program() -> Path:
    """The installed program, for tests that need a process of their own."""
    assert PROGRAM.exists(), "the package is not installed beside this Python"
    return PROGRAM
