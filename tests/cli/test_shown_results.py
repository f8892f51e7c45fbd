"""scripts/shown.py keeps pages in step with the program, and says so where they are not."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path
from types import ModuleType

import pytest

SCRIPT = Path(__file__).parents[2] / "scripts" / "shown.py"


@pytest.fixture
def script(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> ModuleType:
    """The script, looking after one page in a folder of its own."""
    spec = importlib.util.spec_from_file_location("shown_script", SCRIPT)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    monkeypatch.setattr(module, "ROOT", tmp_path)
    (tmp_path / "docs").mkdir()
    return module


def page(script: ModuleType, text: str) -> Path:
    file: Path = script.ROOT / "README.md"
    file.write_text(text, encoding="utf-8")
    return file


def call(script: ModuleType, option: str, monkeypatch: pytest.MonkeyPatch) -> int:
    monkeypatch.setattr(sys, "argv", ["shown.py", option])
    status = script.main()
    assert isinstance(status, int)
    return status


STALE = "before\n<!-- shown: onceapart --version -->\nold\n<!-- end of shown -->\nafter\n"


def test_a_stale_page_is_told_and_then_written(
    script: ModuleType, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    file = page(script, STALE)
    assert call(script, "--check", monkeypatch) == 1
    assert "-old" in capsys.readouterr().out
    assert file.read_text(encoding="utf-8") == STALE, "a check writes nothing"
    assert call(script, "--write", monkeypatch) == 0
    written = file.read_text(encoding="utf-8")
    assert written.startswith(
        "before\n<!-- shown: onceapart --version -->\n```console\n$ onceapart --version\nonceapart "
    )
    assert written.endswith("```\n<!-- end of shown -->\nafter\n")
    assert call(script, "--check", monkeypatch) == 0


def test_a_part_of_the_lines_and_another_exit_status(
    script: ModuleType, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = page(
        script,
        "<!-- shown: [lines 2-3] [exit 2] onceapart check broken.yaml -->\n<!-- end of shown -->\n",
    )
    assert call(script, "--write", monkeypatch) == 0
    shown = file.read_text(encoding="utf-8").splitlines()
    assert shown[2:4] == ["$ onceapart check broken.yaml", "..."]
    assert shown[4].startswith("  line ")
    assert shown[6] == "..."


@pytest.mark.parametrize(
    "text",
    [
        "<!-- shown: onceapart check broken.yaml -->\n<!-- end of shown -->\n",
        "<!-- shown: [line 3] onceapart --version -->\n<!-- end of shown -->\n",
        "<!-- shown: onceapart --version -->\nno end\n",
        "<!-- shown: ls -->\n<!-- end of shown -->\n",
    ],
)
def test_what_can_not_be_shown_is_an_error(
    script: ModuleType, monkeypatch: pytest.MonkeyPatch, text: str
) -> None:
    page(script, text)
    with pytest.raises(script.ShownError):
        call(script, "--write", monkeypatch)
