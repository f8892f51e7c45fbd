"""Many processes write at once, and processes are killed while they write."""

from __future__ import annotations

import signal
from collections.abc import Iterator
from pathlib import Path

import pytest
from site_apart import SiteApart, site_apart


@pytest.fixture
def site(tmp_path: Path) -> Iterator[SiteApart]:
    with site_apart(tmp_path) as made:
        yield made


def test_no_change_and_no_entry_is_lost_when_many_write_at_once(site: SiteApart) -> None:
    changing = [site.start("change", f"w{at}", 4) for at in range(3)]
    noting = [site.start("note", f"n{at}", 15) for at in range(3)]
    noting += [site.start("same", "x", 15) for _ in range(2)]
    assert [writer.wait() for writer in (*changing, *noting)] == [0] * 8
    found = site.look()
    assert found["counted"] == 3 * 4
    assert len(found["versions"]) == 1 + 3 * 4
    assert len(found["entries"]) == 3 * 15 + 15
    for writers, kept, times in ((changing, found["versions"], 4), (noting, found["entries"], 15)):
        for writer in writers:
            assert len(writer.lines()) == times
            assert set(writer.lines()) <= set(kept.items())


def test_what_was_said_to_be_kept_survives_a_kill(site: SiteApart) -> None:
    said: dict[str, set[tuple[int, str]]] = {"change": set(), "note": set()}
    for round_ in range(2):
        writers = {deed: site.start(deed, f"{deed}-{round_}") for deed in said}
        writers["change"].wait_for(3)
        writers["note"].wait_for(8)
        for writer in writers.values():
            writer.kill()
        for deed, writer in writers.items():
            assert writer.wait() == -signal.SIGKILL
            said[deed].update(writer.lines())
    found = site.look()
    assert len(said["change"]) >= 6
    assert len(said["note"]) >= 16
    assert said["change"] <= set(found["versions"].items())
    assert said["note"] <= set(found["entries"].items())
    assert found["counted"] == len(found["versions"]) - 1
