"""``onceapart paper calendar``, ``sheet`` and ``write-up``: files are written once, the same each time."""

from __future__ import annotations

from pathlib import Path

import pytest
from cli_cases import IMPOSSIBLE, SMALL, Run
from icalendar import Calendar

TIME = "2026-03-05T18:00+01:00"
OPTIONS = {
    "calendar": ("a.ics", ("--at", TIME)),
    "sheet": ("a.xlsx", ("--at", TIME)),
    "write-up": ("a.md", ("--job", "wren-bulb")),
}


@pytest.fixture
def file(tmp_path: Path) -> str:
    path = tmp_path / "mine.yaml"
    path.write_text(SMALL, encoding="utf-8")
    return str(path)


@pytest.mark.parametrize("paper", OPTIONS)
def test_it_is_written_once_and_the_same_each_time(run: Run, file: str, tmp_path: Path, paper: str) -> None:
    name, options = OPTIONS[paper]
    first, second = tmp_path / name, tmp_path / f"second-{name}"
    ran = run("paper", paper, file, "--out", str(first), *options)
    assert ran.status == 0, ran.err
    assert "written" in ran.err
    again = run("paper", paper, file, "--out", str(first), *options)
    assert again.status == 2
    assert "left alone" in again.err
    run("paper", paper, file, "--out", str(second), *options)
    assert first.read_bytes() == second.read_bytes() != b""


@pytest.mark.parametrize("paper", OPTIONS)
def test_without_a_plan_there_is_none(run: Run, tmp_path: Path, paper: str) -> None:
    name, options = OPTIONS[paper]
    path = tmp_path / "no.yaml"
    path.write_text(IMPOSSIBLE, encoding="utf-8")
    assert run("paper", paper, str(path), "--out", str(tmp_path / name), *options).status == 3
    assert not (tmp_path / name).exists()


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (("calendar", "--out", "a.txt"), "written as .ics"),
        (("calendar", "--out", "a.ics", "--from", "9 o'clock"), "write it as in 09:00"),
        (("calendar", "--out", "a.ics", "--at", "today"), "write it as in 2026-03-07T18:30"),
        (("sheet", "--out", "a.xls"), "written as .xlsx"),
        (("write-up", "--out", "a.pdf"), "written as .md or .html"),
        (("write-up", "--out", "a.md"), "give --job ID or --stint DATE"),
        (("write-up", "--out", "a.md", "--job", "x", "--stint", "y"), "give --job ID or --stint DATE"),
        (("write-up", "--out", "a.md", "--job", "wren-bulp"), "did you mean wren-bulb?"),
        (("write-up", "--out", "a.md", "--stint", "2026-03-08"), "no such stint"),
        (("write-up", "--out", "a.md", "--job", "wren-bulb", "--date", "now"), "write it as in 2026-03-07"),
    ],
)
def test_what_cannot_be_made_is_said(
    run: Run,
    file: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    arguments: tuple[str, ...],
    says: str,
) -> None:
    monkeypatch.chdir(tmp_path)
    paper, *options = arguments
    ran = run("paper", paper, file, *options)
    assert ran.status == 2
    assert says in " ".join(ran.err.split())
    assert [path.name for path in tmp_path.iterdir()] == ["mine.yaml"]


def test_stints_begin_when_asked(run: Run, file: str, tmp_path: Path) -> None:
    run("paper", "calendar", file, "--out", str(tmp_path / "a.ics"), "--from", "09:30")
    found = Calendar.from_ical((tmp_path / "a.ics").read_bytes()).walk("VEVENT")
    assert any(str(one.decoded("dtstart")) == "2026-03-07 09:30:00" for one in found)


def test_the_write_up_takes_in_the_record(run: Run, file: str, tmp_path: Path) -> None:
    run("tick", file, "do:wren-bulb")
    run("paper", "write-up", file, "--out", str(tmp_path / "a.html"), "--stint", "2026-03-07")
    text = (tmp_path / "a.html").read_text(encoding="utf-8")
    assert "Done on" in text
    assert "Quay Lane" not in text
    run("paper", "write-up", file, "--out", str(tmp_path / "b.html"), "--stint", "2026-03-07", "--private")
    assert "Quay Lane" in (tmp_path / "b.html").read_text(encoding="utf-8")
