"""The record: entries kept in order, added to and never changed. Here as a file beside the workshop file."""

from __future__ import annotations

import os
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol

from onceapart.bench.entries import Corrected, Entry, RecordMended, new_id, now, says_the_same
from onceapart.bench.record_lines import Lines, Torn, entry_line, header, read_lines, sum_of
from onceapart.errors import FileProblemsError, OnceapartError, Problem

try:
    import fcntl
except ImportError:  # pragma: no cover - a system without POSIX locks
    fcntl = None  # type: ignore[assignment]

MAX_BYTES = 100_000_000
"""Largest record read: some three hundred thousand entries."""
PATIENCE = 10.0
"""Seconds to wait for another process to be done with the file."""
_FIRST_WAIT, _LONGEST_WAIT = 0.001, 0.05


class RecordFileError(FileProblemsError):
    """A record cannot be used as it is; carries all its problems."""


class RecordError(OnceapartError):
    """An entry could not be taken; the message gives value, rule and way out."""


class Store(Protocol):
    """Keeps entries in order. What is done with them is a pure fold, the same for every store."""

    def append(self, entry: Entry) -> Entry:
        """Keep an entry for good and give it back with its number.

        An entry whose ``id`` is kept already, and says the same, is not kept twice: the first comes back.
        Raises RecordError if it can't be kept, and then nothing of it is.
        """

    def entries(self) -> tuple[Entry, ...]:
        """All entries in the order of their numbers."""


@dataclass(frozen=True)
class Look:
    """A record as it stands: its entries, what a cut-off write left, and the last checksum."""

    entries: tuple[Entry, ...]
    torn: Torn | None
    last_sum: str


def record_path(workshop_file: str | os.PathLike[str]) -> Path:
    """Where the record of a workshop file is.

    >>> record_path("garage.yaml").name
    'garage.record.jsonl'
    """
    path = Path(workshop_file)
    return path.with_name(f"{path.stem or path.name}.record.jsonl")


class RecordFile:
    """A record in a file: one JSON object a line, the format first, a checksum in each (see docs/record.md).

    Several processes may read and add at the same time. An entry that ``append`` gave back survives a kill
    and, as far as the disk keeps its word, a loss of power.

    Parameters
    ----------
    path : str or path-like
        The file, made by the first entry.
    on_repair : callable, optional
        Told of what a cut-off write had left, when ``append`` puts it aside.
    patience : float
        Seconds to wait while another process holds the file. [s]
    """

    def __init__(
        self,
        path: str | os.PathLike[str],
        *,
        on_repair: Callable[[Torn], None] | None = None,
        patience: float = PATIENCE,
    ) -> None:
        self.path = Path(path)
        self.torn_path = self.path.with_name(f"{self.path.name}.torn")
        """Where what was cut off is put aside, so that nothing is ever thrown away."""
        self._on_repair = on_repair
        self._patience = patience

    def entries(self) -> tuple[Entry, ...]:
        """All entries in the order of their numbers; none if there is no file yet.

        Raises
        ------
        RecordFileError
            With all problems, if the record was changed after it was written, or can't be read.
        """
        return self.look().entries

    def look(self) -> Look:
        """As ``entries``, with what a cut-off write left behind."""
        lines = self._read()
        self._refuse_damage(lines)
        return Look(lines.entries, lines.torn, lines.last_sum)

    def append(self, entry: Entry) -> Entry:
        """Add an entry behind all others, and come back when it is on the disk.

        Parameters
        ----------
        entry : Entry
            Its number is not looked at.

        Returns
        -------
        Entry
            With its number. An entry with the same id that says the same is not added again.

        Raises
        ------
        RecordFileError
            The record is damaged: nothing is added to it.
        RecordError
            The id is another entry's, the entry it corrects is not there, or the file can't be written.
        """
        try:
            with self._held(writing=True) as file:
                return self._add(file, entry)
        except OSError as error:
            raise RecordError(
                f"{self.path}: the entry was not kept ({error.strerror or error}); "
                "check the disk and the permissions, and do it again"
            ) from error

    def mend(self) -> RecordMended | None:
        """Make a damaged record usable: keep every entry that can be read, and the damaged file beside it.

        Returns
        -------
        RecordMended or None
            The entry that says so, which withdraws all releases; None if there was nothing to mend.

        Raises
        ------
        RecordFileError
            If the file is no record at all, or a later version of the program wrote in it.
        RecordError
            If it can't be written; the record is then as it was.
        """
        try:
            with self._held(writing=True) as file:
                return self._mend(file)
        except OSError as error:
            raise RecordError(
                f"{self.path}: the record was not mended ({error.strerror or error}); "
                "it is as it was; check the disk and the permissions"
            ) from error

    def _read(self) -> Lines:
        try:
            with self._held(writing=False) as file:
                return self._lines(file)
        except FileNotFoundError:
            return read_lines(b"")
        except OSError as error:
            rule = f"the record cannot be read ({error.strerror or error})"
            problem = Problem(None, "file", "", rule, "check the name, the permissions and the disk")
            raise RecordFileError(str(self.path), [problem]) from None

    def _lines(self, file: int) -> Lines:
        size = os.fstat(file).st_size
        if size > MAX_BYTES:
            problem = Problem(
                None, "file", "", f"a record has at most {MAX_BYTES:,} bytes", "begin a new one"
            )
            raise RecordFileError(str(self.path), [problem])
        data = b""
        while len(data) < size and (more := os.pread(file, size - len(data), len(data))):
            data += more
        return read_lines(data)

    def _refuse_damage(self, lines: Lines) -> None:
        if lines.problems:
            raise RecordFileError(str(self.path), lines.problems)

    def _add(self, file: int, entry: Entry) -> Entry:
        lines = self._lines(file)
        self._refuse_damage(lines)
        for kept in lines.entries:
            if kept.id == entry.id:
                if says_the_same(kept, entry):
                    return kept
                raise RecordError(
                    f"entry {entry.id}: entry {kept.number} has this id and says something else; "
                    "give the new one an id of its own"
                )
        if isinstance(entry, Corrected) and all(kept.id != entry.entry for kept in lines.entries):
            raise RecordError(
                f"entry {entry.entry}: there is no such entry to correct; "
                "`onceapart record FILE --all` lists them"
            )
        last = lines.entries[-1].number if lines.entries else 0
        numbered = entry.model_copy(update={"number": last + 1})
        start = self._repair(file, lines)
        first = header() if not lines.last_sum else b""
        new = first + entry_line(numbered, lines.last_sum or sum_of(first))
        try:
            _write(file, (b"\n" if lines.needs_break else b"") + new)
            os.fsync(file)
        except OSError:
            os.ftruncate(file, start)
            raise
        if first:
            _sync_folder(self.path)
        return numbered

    def _repair(self, file: int, lines: Lines) -> int:
        """Put what was cut off aside; the length of the file then. [bytes]"""
        if lines.torn is None:
            return lines.end
        aside = os.open(self.torn_path, os.O_WRONLY | os.O_APPEND | os.O_CREAT, 0o666)
        try:
            _write(aside, lines.torn.data + b"\n")
            os.fsync(aside)
        finally:
            os.close(aside)
        os.ftruncate(file, lines.end)
        if self._on_repair:
            self._on_repair(lines.torn)
        return lines.end

    def _mend(self, file: int) -> RecordMended | None:
        lines = self._lines(file)
        if not lines.problems:
            return None
        foreign = [problem for problem in lines.problems if problem.where == "kind"]
        if foreign or (not lines.entries and lines.problems[0].where == "format"):
            raise RecordFileError(str(self.path), foreign or lines.problems)
        kept_as = _free_name(self.path)
        damaged = tuple(dict.fromkeys(problem.line or 1 for problem in lines.problems))
        last = lines.entries[-1].number if lines.entries else 0
        mended = RecordMended(id=new_id(), time=now(), number=last + 1, lines=damaged, kept_as=kept_as.name)
        data = header()
        last_sum = sum_of(data)
        for entry in (*lines.entries, mended):
            line = entry_line(entry, last_sum)
            data, last_sum = data + line, sum_of(line)
        fresh = self.path.with_name(f"{self.path.name}.new")
        aside = os.open(fresh, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, os.fstat(file).st_mode & 0o777)
        try:
            _write(aside, data)
            os.fsync(aside)
        finally:
            os.close(aside)
        os.link(self.path, kept_as)
        os.replace(fresh, self.path)
        _sync_folder(self.path)
        return mended

    @contextmanager
    def _held(self, *, writing: bool) -> Iterator[int]:
        """The file, locked: by one who writes alone, by those who read together."""
        if fcntl is None:  # pragma: no cover
            raise RecordError(f"{self.path}: this system has no file locks; keep the record on one that has")
        until = time.monotonic() + self._patience
        flags = os.O_RDWR | os.O_CREAT | os.O_APPEND if writing else os.O_RDONLY
        while True:
            file = os.open(self.path, flags | getattr(os, "O_CLOEXEC", 0), 0o666)
            try:
                self._lock(file, fcntl.LOCK_EX if writing else fcntl.LOCK_SH, until)
                # A mended record is another file under the same name: the lock has to be on that one.
                if os.path.samestat(os.fstat(file), os.stat(self.path)):
                    yield file
                    return
            finally:
                os.close(file)

    def _lock(self, file: int, how: int, until: float) -> None:
        wait = _FIRST_WAIT
        while True:
            try:
                fcntl.flock(file, how | fcntl.LOCK_NB)
                return
            except BlockingIOError:
                if time.monotonic() > until:
                    raise RecordError(
                        f"{self.path}: another process has held the record for {self._patience:g} s; "
                        "end it, or try again"
                    ) from None
                time.sleep(wait)
                wait = min(2 * wait, _LONGEST_WAIT)


def _write(file: int, data: bytes) -> None:
    """All of the bytes, in one go where the system lets us."""
    while data:
        data = data[os.write(file, data) :]


def _sync_folder(path: Path) -> None:
    """Make a new name in a folder last."""
    folder = os.open(path.parent, os.O_RDONLY)
    try:
        os.fsync(folder)
    finally:
        os.close(folder)


def _free_name(path: Path) -> Path:
    """A name for the damaged file that nothing has yet."""
    at = 1
    while (found := path.with_name(f"{path.name}.damaged-{at}")).exists():
        at += 1
    return found
