"""Serving the site: the database brought up to date, the demo on the first run, then requests until the end.

``prepare`` sets up Django; nothing of it is loaded before, since its settings are read from the environment.
"""

from __future__ import annotations

import os
import signal
import socket
import sqlite3
from collections.abc import Callable, Iterable
from contextlib import closing
from pathlib import Path
from types import FrameType

from onceapart.errors import OnceapartError

MAX_BODY = 16_000_000
"""Bytes of a request: a photo and what is sent with it."""
THREADS = 6


class NotServedError(OnceapartError):
    """The site can't be started; the message says why and the way out."""


def prepare(hosts: Iterable[str] = (), *, is_open: bool = False, say: Callable[[str], None] = print) -> None:
    """Set up the site in this process, with its database up to date and something to show.

    Parameters
    ----------
    hosts : iterable of str
        Names and addresses that it is called by, besides this machine's own.
    is_open : bool
        Whether others than this machine may come, by the passphrase.
    say : callable
        Told what a person should know.

    Raises
    ------
    NotServedError
        A setting or the database is no good.
    """
    known = [name for name in os.environ.get("ONCEAPART_HOSTS", "").split(",") if name.strip()]
    os.environ["ONCEAPART_HOSTS"] = ",".join([*known, *hosts])
    os.environ["ONCEAPART_OPEN"] = "yes" if is_open else "no"
    os.environ["DJANGO_SETTINGS_MODULE"] = "onceapart.site.settings"
    os.umask(0o077)  # what is made in the data folder is for its owner alone
    import django
    from django.core.exceptions import ImproperlyConfigured
    from django.db import DatabaseError

    try:
        django.setup()
        _bring_up_to_date(say)
        _load_the_demo(say)
    except ImproperlyConfigured as error:
        raise NotServedError(str(error)) from None
    except DatabaseError as error:
        said = str(error).strip().splitlines()[0] if str(error).strip() else type(error).__name__
        raise NotServedError(
            f"the database can't be used: {said}; see that it runs and its address is right"
        ) from None


def _bring_up_to_date(say: Callable[[str], None]) -> None:
    from django.core.management import call_command
    from django.db import connection
    from django.db.migrations.executor import MigrationExecutor

    executor = MigrationExecutor(connection)
    missing = executor.migration_plan(executor.loader.graph.leaf_nodes())
    if not missing:
        return
    if executor.loader.applied_migrations and connection.vendor == "sqlite":
        path = Path(connection.settings_dict["NAME"])
        copy = free_name(path.with_name(f"{path.name}.before-{missing[0][0].name}"))
        copy_database(path, copy)
        say(f"The database is brought up to date; as it was it is kept as {copy}")
    call_command("migrate", verbosity=0, interactive=False)


def copy_database(path: Path, copy: Path) -> None:
    """A copy of a SQLite database as it is at one moment, whoever writes to it."""
    with closing(sqlite3.connect(path)) as source, closing(sqlite3.connect(copy)) as target:
        source.backup(target)


def free_name(path: Path) -> Path:
    """This path, or with a number behind it where there is such a file."""
    count, found = 1, path
    while found.exists():
        count, found = count + 1, path.with_name(f"{path.name}-{count + 1}")
    return found


def _load_the_demo(say: Callable[[str], None]) -> None:
    from django.utils import timezone

    from onceapart.site.server.first_run import demo_for
    from onceapart.site.store.models import Version
    from onceapart.site.store.versions import take_in

    if Version.objects.exists():
        return
    now = timezone.now()
    take_in(demo_for(timezone.localdate(now)), at=now, what="Demo loaded: two invented cars")
    say("It begins with the demo, two invented cars. Under File you take in a workshop of your own.")


def listen(addresses: Iterable[str], port: int) -> list[socket.socket]:
    """Sockets that wait for requests at these addresses.

    Raises
    ------
    NotServedError
        One of them can't be had.
    """
    sockets: list[socket.socket] = []
    for address in addresses:
        one = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
        one.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            one.bind((address, port))
            one.listen(128)  # who comes before all is ready waits
        except (OSError, OverflowError) as error:
            for other in (*sockets, one):
                other.close()
            why = getattr(error, "strerror", None) or str(error)
            way_out = "another program has it, or this one runs already; take another with --port"
            raise NotServedError(f"port {port} of {address} can't be had ({why}): {way_out}") from None
        sockets.append(one)
    return sockets


def serve(sockets: list[socket.socket]) -> None:
    """Serve at these sockets until Ctrl-C or a request to end (SIGTERM); then end all that was started."""
    import waitress

    from onceapart.site.store.runs import end_worker, look
    from onceapart.site.wsgi import application

    look()  # plans that were asked for before the last end are made now
    server = waitress.create_server(
        application,
        sockets=sockets,
        threads=THREADS,
        ident="onceapart",
        max_request_body_size=MAX_BODY,
        max_request_header_size=64_000,
        connection_limit=200,
        clear_untrusted_proxy_headers=False,  # no proxy is trusted; the door sees by them that there is one
    )

    def end(_number: int, _frame: FrameType | None) -> None:
        raise SystemExit

    before = signal.signal(signal.SIGTERM, end)
    try:
        server.run()  # returns at Ctrl-C and SystemExit
    finally:
        signal.signal(signal.SIGTERM, before)
        server.close()
        end_worker()
