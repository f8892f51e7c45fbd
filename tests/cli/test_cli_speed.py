"""How long a person waits: processor time of the whole process, the least of three runs."""

from __future__ import annotations

import os
import subprocess
from pathlib import Path

import pytest


def processor_seconds(program: Path, *arguments: str) -> float:
    process = subprocess.Popen([program, *arguments], stdout=subprocess.DEVNULL)
    _, status, used = os.wait4(process.pid, 0)
    process.returncode = os.waitstatus_to_exitcode(status)
    assert process.returncode == 0
    return used.ru_utime + used.ru_stime


@pytest.mark.parametrize(("arguments", "seconds"), [(["--help"], 0.3), (["demo"], 1.5)], ids=["help", "demo"])
def test_the_wait_is_short(program: Path, arguments: list[str], seconds: float) -> None:
    assert min(processor_seconds(program, *arguments) for _ in range(3)) < seconds
