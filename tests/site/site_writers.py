"""What the processes of ``site_apart`` do, told line by line on standard input.

A line is printed by a writer once the site has told it that something is kept.
"""

from __future__ import annotations

import datetime as dt
import itertools
import json
import os
import sys
import traceback

import django

os.environ["DJANGO_SETTINGS_MODULE"] = "onceapart.site.settings"
django.setup()

from django.core.management import call_command  # noqa: E402
from django.db import connection, connections  # noqa: E402

from onceapart.bench.entries import Noted  # noqa: E402
from onceapart.demo import demo_text  # noqa: E402
from onceapart.site.store import versions  # noqa: E402
from onceapart.site.store.models import RecordEntry, Version  # noqa: E402
from onceapart.site.store.record import DatabaseRecord  # noqa: E402
from onceapart.workshop import Workshop  # noqa: E402

NOON = dt.datetime(2026, 3, 5, 12, tzinfo=dt.UTC)
PART = "counted"


def begin() -> None:
    call_command("migrate", verbosity=0)
    versions.take_in(demo_text(), at=NOON)


def one_more(workshop: Workshop) -> Workshop:
    return workshop.model_copy(
        update={"shelf": {**workshop.shelf, PART: workshop.shelf.get(PART, 0) + 1}},
    )


def change(who: str, times: int) -> None:
    for at in range(times) if times else itertools.count():
        version = versions.change(f"{who} {at}", one_more, at=NOON, who=who)
        print(version.number, f"{who} {at}", flush=True)


def note(who: str, times: int) -> None:
    for at in range(times) if times else itertools.count():
        entry = DatabaseRecord().append(Noted(id=f"{who}-{at}", time=NOON, who=who, words=f"note {at}"))
        print(entry.number, entry.id, flush=True)


def same(who: str, times: int) -> None:
    """Several processes keep the very same entries: each is kept once."""
    for at in range(times):
        entry = DatabaseRecord().append(Noted(id=f"same-{at}", time=NOON, words=f"note {at}"))
        print(entry.number, entry.id, flush=True)


def look(who: str, times: int) -> None:
    now = versions.current()
    assert now is not None
    sound = "ok"
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA integrity_check")
            sound = cursor.fetchone()[0]
    print(
        json.dumps(
            {
                "sound": sound,
                "counted": now.workshop.shelf.get(PART, 0),
                "versions": dict(Version.objects.values_list("number", "what")),
                "entries": dict(RecordEntry.objects.values_list("number", "uid")),
            }
        )
    )


DEEDS = {"change": change, "note": note, "same": same, "look": look}


def start(deed: str, who: str, times: str, path: str) -> int:
    """Do a deed in a process of its own, with what it prints in a file."""
    pid = os.fork()
    if pid:
        return pid
    try:
        out = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
        os.dup2(out, sys.stdout.fileno())
        DEEDS[deed](who, int(times))
        sys.stdout.flush()
    except BaseException:
        traceback.print_exc()
        os._exit(1)
    os._exit(0)


if __name__ == "__main__":
    for line in sys.stdin:
        word, *words = line.split()
        if word == "begin":
            begin()
            connections.close_all()  # each process makes its own
            answer: object = "begun"
        elif word == "start":
            answer = start(*words)
        else:
            answer = os.waitstatus_to_exitcode(os.waitpid(int(words[0]), 0)[1])
        print(answer, flush=True)
