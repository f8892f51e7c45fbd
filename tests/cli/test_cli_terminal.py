"""What a person at a terminal sees: bold letters, and lines no longer than the screen."""

from __future__ import annotations

import fcntl
import os
import pty
import re
import struct
import subprocess
import termios
from pathlib import Path

import pytest
from cli_cases import nasty
from rich.cells import cell_len

CODES = re.compile(r"\x1b\[[0-9;?]*[a-zA-Z]")


def at_terminal(program: Path, columns: int, *arguments: str) -> str:
    """Run with standard output and error on a terminal of so many columns; what it shows."""
    ours, theirs = pty.openpty()
    fcntl.ioctl(theirs, termios.TIOCSWINSZ, struct.pack("HHHH", 24, columns, 0, 0))
    keep = {
        key: value for key, value in os.environ.items() if key not in ("COLUMNS", "NO_COLOR", "FORCE_COLOR")
    }
    process = subprocess.Popen(
        [program, *arguments],
        stdin=theirs,
        stdout=theirs,
        stderr=theirs,
        env={**keep, "TERM": "xterm-256color"},
    )
    os.close(theirs)
    shown = b""
    while True:
        try:
            more = os.read(ours, 65536)
        except OSError:  # the other side has closed
            break
        if not more:
            break
        shown += more
    os.close(ours)
    assert process.wait(timeout=60) == 0, shown
    return shown.decode().replace("\r\n", "\n")


@pytest.mark.parametrize("columns", [80, 56, 200])
def test_lines_fit_the_terminal(program: Path, columns: int, tmp_path: Path) -> None:
    file = tmp_path / "garage.yaml"
    file.write_text(nasty(), encoding="utf-8")
    shown = at_terminal(program, columns, "plan", str(file))
    assert "\x1b[1m" in shown, "headings are bold"
    lines = CODES.sub("", shown).split("\n")
    assert max(map(cell_len, lines)) <= columns
    assert max(map(cell_len, lines)) > min(columns, 100) - 12, "the room there is gets used"


def test_a_quick_search_leaves_no_trace_of_its_progress(program: Path) -> None:
    shown = at_terminal(program, 80, "demo")
    last = CODES.sub("", shown).rstrip().split("\n")[-1]
    assert "look right." in last
