"""Ctrl-C and a limit of seconds: the best plan so far, marked good, whichever moment it was."""

from __future__ import annotations

import json
import os
import pty
import re
import select
import signal
import subprocess
import time
from pathlib import Path

import pytest
from cli_cases import as_file

from made_workloads import made_workload
from onceapart.planning.plan_file import plan_from_json
from onceapart.planning.rules import broken_rules
from onceapart.planning.workload import workload_from
from onceapart.workshop import read_workshop


@pytest.fixture(scope="module")
def big(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A workshop whose proof takes far longer than the tests wait."""
    file = tmp_path_factory.mktemp("big") / "big.yaml"
    file.write_text(as_file(made_workload("l", 3)), encoding="utf-8")
    return file


def read_until(handle: int, words: str, seconds: float) -> str:
    """What a terminal shows until these words come up."""
    shown, end = "", time.monotonic() + seconds
    while words not in shown and time.monotonic() < end:
        if select.select([handle], [], [], 0.2)[0]:
            shown += os.read(handle, 4096).decode(errors="replace")
    return shown


def test_ctrl_c_gives_the_best_plan_so_far(program: Path, big: Path) -> None:
    """Standard error is a terminal, which shows the progress; standard output is a pipe."""
    ours, theirs = pty.openpty()
    process = subprocess.Popen([program, "plan", big, "--json"], stdout=subprocess.PIPE, stderr=theirs)
    os.close(theirs)
    try:
        shown = read_until(ours, "to save", 60)
        assert "best plan so far" in shown, shown
        process.send_signal(signal.SIGINT)
        out, _ = process.communicate(timeout=60)
    finally:
        process.kill()
        os.close(ours)
    assert process.returncode == 0
    told = json.loads(out)
    assert told["status"] == "good"
    assert 0 < told["cost"]["bound"] < told["cost"]["total"], "the bound that was shown is not lost"
    workload = workload_from(read_workshop(big))
    assert broken_rules(workload, plan_from_json(workload, told)) == []


def test_seconds_end_the_search(program: Path, big: Path) -> None:
    started = time.monotonic()
    done = subprocess.run(
        [program, "plan", big, "--seconds", "0.5"], capture_output=True, text=True, timeout=60
    )
    assert done.returncode == 0, done.stderr
    assert done.stderr == "", "no progress where there is no terminal"
    assert time.monotonic() - started < 30
    assert re.search(r"^Good +At most [0-9.]+ EUR could still be saved\.", done.stdout, re.MULTILINE), (
        done.stdout[:900]
    )
