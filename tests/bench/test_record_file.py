"""The record file: added to by many at once, killed at any moment, damaged, and still worth its words."""

from __future__ import annotations

import datetime as dt
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from record_cases import entries, note

from onceapart.bench.entries import Corrected, Noted, RecordMended, entry_of, entry_to_json
from onceapart.bench.record import RecordError, RecordFile, RecordFileError, record_path
from onceapart.bench.record_lines import read_lines

NURSERY = """
import os, random, signal, sys, time
from onceapart.bench.entries import Noted, now
from onceapart.bench.record import RecordFile
path, plan = sys.argv[1], sys.argv[2]

def child(who, count, size):
    # Adds entries, and says each one that was confirmed.
    here, there = os.pipe()
    process = os.fork()
    if process:
        os.close(there)
        return process, here
    record = RecordFile(path, patience=60)
    for at in range(count):
        kept = record.append(Noted(id=f"{who}-{at}", time=now(), who=who, words=f"{at} " + "x" * size))
        os.write(there, f"{kept.id} {kept.number}\\n".encode())
    os._exit(0)

def said(here):
    with os.fdopen(here) as pipe:
        return pipe.read()

if plan == "together":
    children = [child(f"p{at}", 40, 40) for at in range(4)]
    for process, here in children:
        sys.stdout.write(said(here))
        assert os.waitpid(process, 0)[1] == 0
else:
    chance = random.Random(int(plan))
    for turn in range(40):
        process, here = child(f"k{turn}", 100_000, 1_900)
        pipe = os.fdopen(here)
        for _ in range(chance.randrange(3)):
            sys.stdout.write(pipe.readline())
        time.sleep(chance.uniform(0.0, 0.004))
        os.kill(process, signal.SIGKILL)
        assert os.waitstatus_to_exitcode(os.waitpid(process, 0)[1]) == -signal.SIGKILL
        sys.stdout.write(pipe.read() + f"killed {turn}\\n")
        kept = RecordFile(path).entries()  # readable after each kill
        sys.stdout.write(f"kept {len(kept)}\\n")
"""


def told_by(path: Path, plan: str) -> list[list[str]]:
    """What a process of its own said, whose children added to the record; the words of each line."""
    done = subprocess.run(
        [sys.executable, "-c", NURSERY, str(path), plan], capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    return [line.split() for line in done.stdout.splitlines()]


def test_many_processes_lose_and_mix_nothing(tmp_path: Path) -> None:
    path = tmp_path / "garage.record.jsonl"
    confirmed = told_by(path, "together")
    kept = RecordFile(path).entries()
    assert len(confirmed) == 160
    assert sorted([one.id, str(one.number)] for one in kept) == sorted(confirmed)
    assert [one.number for one in kept] == list(range(1, 161))
    for process in range(4):  # each one's own entries stand in its own order
        own = [one.id for one in kept if one.who == f"p{process}"]
        assert own == [f"p{process}-{at}" for at in range(40)]


def test_a_kill_at_any_moment_loses_nothing_confirmed(tmp_path: Path) -> None:
    """Forty children are killed at random moments while they add; their lines are long, to be hit."""
    path = tmp_path / "garage.record.jsonl"
    confirmed: dict[str, int] = {}
    kills = 0
    for first, second in told_by(path, "20260307"):
        if first == "killed":
            kills += 1
        elif first == "kept":
            assert len(confirmed) <= int(second) <= len(confirmed) + kills, "each kill had one under way"
        else:
            confirmed[first] = int(second)
    kept = {one.id: one.number for one in RecordFile(path).entries()}
    assert kills == 40
    assert confirmed, "something was written before the kills"
    assert confirmed.items() <= kept.items()
    assert sorted(kept.values()) == list(range(1, len(kept) + 1))
    assert RecordFile(path).append(note("after all", 1)).number == len(kept) + 1


def written(path: Path, count: int = 3) -> bytes:
    record = RecordFile(path)
    for at in range(count):
        record.append(note(f"entry {at}, with a ü and a 車", at))
    return path.read_bytes()


def test_cut_off_at_every_byte_of_the_last_line(tmp_path: Path) -> None:
    path = tmp_path / "garage.record.jsonl"
    whole = written(path)
    start = whole.rindex(b"\n", 0, len(whole) - 1) + 1
    before = RecordFile(path).entries()
    for cut in range(start, len(whole)):
        path.write_bytes(whole[:cut])
        told: list[object] = []
        record = RecordFile(path, on_repair=told.append)
        look = record.look()
        is_torn = start < cut < len(whole) - 1
        only_break_is_missing = cut == len(whole) - 1
        assert look.entries == (before if only_break_is_missing else before[:-1])
        assert (look.torn is not None) == is_torn
        if look.torn:
            assert look.torn.data == whole[start:cut]
            assert "never confirmed" in str(look.torn)
        assert path.read_bytes() == whole[:cut], "reading changes nothing"
        added = record.append(note("the next", 9))
        assert record.entries() == (*look.entries, added)
        assert [str(one) for one in told] == ([str(look.torn)] if look.torn else [])
        aside = record.torn_path
        assert (aside.read_bytes() if aside.exists() else b"") == (
            whole[start:cut] + b"\n" if is_torn else b""
        )
        aside.unlink(missing_ok=True)


def test_cut_off_within_the_first_line(tmp_path: Path) -> None:
    path = tmp_path / "garage.record.jsonl"
    whole = written(path, 1)
    end = whole.index(b"\n")
    for cut in range(end + 1):
        path.write_bytes(whole[:cut])
        record = RecordFile(path)
        assert record.entries() == ()
        record.append(note("first", 0))
        assert [one.number for one in record.entries()] == [1]
        assert path.read_bytes().startswith(whole[: end + 1])


def test_zeros_that_a_loss_of_power_left_are_a_torn_end(tmp_path: Path) -> None:
    path = tmp_path / "garage.record.jsonl"
    whole = written(path)
    for tail in (b"\0" * 300, b'{"number":4' + b"\0" * 20 + b'"}\n'):
        path.write_bytes(whole + tail)
        record = RecordFile(path)
        assert len(record.entries()) == 3
        assert record.look().torn is not None
        assert record.append(note("next", 5)).number == 4
        assert record.look().torn is None


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_any_change_before_the_last_line_is_noticed(tmp_path: Path, data: st.DataObject) -> None:
    """Any byte changed, any line taken out, doubled or exchanged, anywhere but at the very end."""
    path = tmp_path / "garage.record.jsonl"
    if not path.exists():
        written(path, 4)
    whole = path.read_bytes()
    lines = whole.splitlines(keepends=True)
    how = data.draw(st.sampled_from(["byte", "drop", "double", "exchange"]))
    at = data.draw(st.integers(0, len(lines) - 2))
    if how == "byte":
        place = data.draw(st.integers(0, len(lines[at]) - 1))
        other = data.draw(st.integers(0, 255).filter(lambda byte: byte != lines[at][place]))
        lines[at] = lines[at][:place] + bytes([other]) + lines[at][place + 1 :]
    elif how == "drop":
        del lines[at]
    elif how == "double":
        lines.insert(at, lines[at])
    else:
        lines[at], lines[at + 1] = lines[at + 1], lines[at]
    changed = b"".join(lines)
    found = read_lines(changed)
    assert found.problems
    assert all(problem.line and problem.rule and problem.way_out for problem in found.problems)
    assert min(problem.line or 0 for problem in found.problems) <= at + 2, "the place is named"


def test_a_changed_record_is_refused_with_line_and_way_out_and_can_be_mended(tmp_path: Path) -> None:
    path = tmp_path / "garage.record.jsonl"
    whole = written(path)
    damaged = whole.replace(b"entry 1", b"entry X")
    path.write_bytes(damaged)
    record = RecordFile(path)
    with pytest.raises(RecordFileError) as caught:
        record.entries()
    (problem,) = caught.value.problems
    assert problem.line == 3
    assert "--mend" in problem.way_out
    with pytest.raises(RecordFileError):
        record.append(note("more", 4))
    assert path.read_bytes() == damaged, "nothing is added to a damaged record"

    mended = record.mend()
    assert isinstance(mended, RecordMended)
    assert mended.lines == (3,)
    kept = record.entries()
    assert [getattr(one, "words", "") for one in kept[:-1]] == [
        f"entry {n}, with a ü and a 車" for n in "0X2"
    ]
    assert kept[-1] == mended
    assert (tmp_path / mended.kept_as).read_bytes() == damaged
    assert record.mend() is None, "there is nothing more to mend"
    assert record.append(note("goes on", 5)).number == 5


def test_mending_keeps_what_can_be_read_and_goes_on_counting(tmp_path: Path) -> None:
    path = tmp_path / "garage.record.jsonl"
    lines = written(path, 5).splitlines(keepends=True)
    path.write_bytes(b"".join([*lines[:2], b"spilt coffee\n", *lines[3:]]))
    record = RecordFile(path)
    record.mend()
    assert [one.number for one in record.entries()] == [1, 3, 4, 5, 6]


def test_a_file_that_is_no_record_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "garage.record.jsonl"
    path.write_text("format: onceapart-workshop/1\nname: Quay Lane\n")
    record = RecordFile(path)
    for act in (record.entries, record.mend, lambda: record.append(note("x", 1))):
        with pytest.raises(RecordFileError) as caught:
            act()
        assert caught.value.problems[0].line == 1
    assert path.read_text().startswith("format: onceapart-workshop/1")


def test_entries_of_a_later_version_are_neither_dropped_nor_misread(tmp_path: Path) -> None:
    from onceapart.bench.record_lines import seal, sum_of

    path = tmp_path / "garage.record.jsonl"
    whole = written(path, 1)
    body = '{"number":2,"kind":"weighed","id":"a1","time":"2026-03-07T09:00:00Z","car":"wren"}'
    later = whole + seal(body, sum_of(whole.splitlines()[-1]))
    path.write_bytes(later)
    record = RecordFile(path)
    for act in (record.entries, record.mend):
        with pytest.raises(RecordFileError, match="the version that wrote it"):
            act()
    assert path.read_bytes() == later


def test_the_same_entry_sent_twice_counts_once(tmp_path: Path) -> None:
    record = RecordFile(tmp_path / "garage.record.jsonl")
    first = note("once", 1)
    kept = record.append(first)
    again = first.model_copy(update={"time": first.time + dt.timedelta(minutes=5)})
    assert record.append(again) == kept
    assert record.entries() == (kept,)
    with pytest.raises(RecordError, match="says something else"):
        record.append(first.model_copy(update={"words": "twice"}))


def test_a_correction_names_an_entry_that_is_there(tmp_path: Path) -> None:
    record = RecordFile(tmp_path / "garage.record.jsonl")
    with pytest.raises(RecordError, match="no such entry"):
        record.append(Corrected(time=note("x", 1).time, entry="a1", why="undo"))
    assert record.entries() == ()


def test_a_held_record_is_waited_for_and_then_told(tmp_path: Path) -> None:
    import fcntl

    path = tmp_path / "garage.record.jsonl"
    written(path, 1)
    with path.open("rb") as held:
        fcntl.flock(held, fcntl.LOCK_EX)
        for act in (
            RecordFile(path, patience=0.05).entries,
            lambda: RecordFile(path, patience=0.05).append(note("x", 2)),
        ):
            with pytest.raises(RecordError, match="another process"):
                act()
    assert len(RecordFile(path).entries()) == 1


def test_a_full_disk_leaves_the_record_as_it_was(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The disk takes half of the line and no more."""
    path = tmp_path / "garage.record.jsonl"
    whole = written(path)
    real = os.write

    def half(file: int, data: bytes) -> int:
        if len(data) < 60:
            raise OSError(28, "No space left on device")
        return real(file, data[: len(data) // 2])

    monkeypatch.setattr(os, "write", half)
    with pytest.raises(RecordError, match="No space left on device"):
        RecordFile(path).append(note("too much", 4))
    monkeypatch.undo()
    assert path.read_bytes() == whole


def test_no_folder_and_no_file(tmp_path: Path) -> None:
    assert RecordFile(tmp_path / "none.record.jsonl").entries() == ()
    with pytest.raises(RecordError, match="not kept"):
        RecordFile(tmp_path / "nowhere" / "none.record.jsonl").append(note("x", 1))
    assert record_path("a/garage.yaml") == Path("a/garage.record.jsonl")


@settings(max_examples=150, deadline=None)
@given(entries())
def test_an_entry_comes_back_as_it_was(entry) -> None:
    line = entry_to_json(entry)
    assert "\n" not in line
    assert entry_of(json.loads(line)) == entry


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(entries(), max_size=6, unique_by=lambda one: one.id))
def test_a_record_gives_back_what_was_put_in(tmp_path: Path, wanted) -> None:
    record = RecordFile(tmp_path / "garage.record.jsonl")
    record.path.unlink(missing_ok=True)
    kept = [record.append(one) for one in wanted if not isinstance(one, Corrected)]
    assert record.entries() == tuple(kept)
    assert [one.number for one in kept] == list(range(1, len(kept) + 1))


def test_the_file_can_be_read_by_eye(tmp_path: Path) -> None:
    path = tmp_path / "garage.record.jsonl"
    RecordFile(path).append(Noted(id="a1", time=note("x", 0).time, words="Türe klemmt"))
    first, second = path.read_text(encoding="utf-8").splitlines()
    assert first.startswith('{"format":"onceapart-record/1","sum":"')
    assert second.startswith(
        '{"number":1,"kind":"noted","id":"a1","time":"2026-03-07T09:00:00+01:00","words":"Türe klemmt"'
    )
