"""A site of its own for tests with real processes: a fresh folder and database of the kind that is tested."""

from __future__ import annotations

import json
import os
import secrets
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit, urlunsplit

WRITERS = Path(__file__).with_name("site_writers.py")
PATIENCE = 90.0
"""Seconds that a test waits for a process."""


@dataclass
class Writer:
    """A process that writes; its lines say what it was told is kept."""

    site: SiteApart
    pid: int
    path: Path

    def lines(self) -> list[tuple[int, str]]:
        """Number and words of each whole line so far."""
        whole = self.path.read_text().split("\n")[:-1]
        return [(int(line.split(" ", 1)[0]), line.split(" ", 1)[1]) for line in whole]

    def wait_for(self, lines: int) -> None:
        end = time.monotonic() + PATIENCE
        while len(self.lines()) < lines:
            assert time.monotonic() < end, "the writer does not write"
            time.sleep(0.01)

    def kill(self) -> None:
        os.kill(self.pid, signal.SIGKILL)

    def wait(self) -> int:
        """Exit status; negative for the signal that ended it."""
        return int(self.site.ask("wait", self.pid))


class SiteApart:
    """A site that only the processes started here use. All come out of one that is set up already."""

    def __init__(self, folder: Path, url: str | None) -> None:
        environment = {key: value for key, value in os.environ.items() if key != "DATABASE_URL"}
        environment |= {"ONCEAPART_DATA": str(folder)} | ({"DATABASE_URL": url} if url else {})
        self.folder = folder
        self.mother = subprocess.Popen(
            [sys.executable, str(WRITERS)],
            env=environment,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )

    def ask(self, *words: str | int) -> str:
        assert self.mother.stdin is not None
        assert self.mother.stdout is not None
        self.mother.stdin.write(" ".join(map(str, words)) + "\n")
        self.mother.stdin.flush()
        answer = self.mother.stdout.readline()
        assert answer, "the process that the others come out of has ended"
        return answer.strip()

    def start(self, deed: str, who: str, times: int = 0) -> Writer:
        """Start a writer; without a number it goes on until it is killed."""
        path = self.folder / f"said-by-{who}-{secrets.token_hex(3)}"
        path.touch()
        return Writer(self, int(self.ask("start", deed, who, times, path)), path)

    def look(self) -> dict[str, Any]:
        """What is kept, as a new process sees it."""
        path = self.folder / f"seen-{secrets.token_hex(3)}"
        assert Writer(self, int(self.ask("start", "look", "me", 0, path)), path).wait() == 0
        found: dict[str, Any] = json.loads(path.read_text())
        assert found["sound"] == "ok"
        for kind in ("versions", "entries"):
            found[kind] = {int(number): what for number, what in found[kind].items()}
            assert list(found[kind]) == list(range(1, len(found[kind]) + 1)), "numbered without gaps"
        return found

    def end(self) -> None:
        self.mother.communicate(timeout=PATIENCE)


@contextmanager
def fresh_url(url: str) -> Iterator[str]:
    """A new database beside the one of a PostgreSQL address, gone afterwards."""
    import psycopg
    from psycopg import sql

    name = sql.Identifier(fresh := f"apart_{secrets.token_hex(4)}")
    with psycopg.connect(url, autocommit=True) as connection:
        connection.execute(sql.SQL("CREATE DATABASE {}").format(name))
        try:
            yield urlunsplit(urlsplit(url)._replace(path=f"/{fresh}"))
        finally:
            connection.execute(sql.SQL("DROP DATABASE {} WITH (FORCE)").format(name))


@contextmanager
def site_apart(folder: Path) -> Iterator[SiteApart]:
    """A site with the demo in it, gone afterwards."""
    given = os.environ.get("DATABASE_URL")
    if given is not None:
        with fresh_url(given) as url:
            yield from _with_the_demo(SiteApart(folder, url))
    else:
        yield from _with_the_demo(SiteApart(folder, None))


def _with_the_demo(site: SiteApart) -> Iterator[SiteApart]:
    try:
        assert site.ask("begin") == "begun"
        yield site
    finally:
        site.end()
