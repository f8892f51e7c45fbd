"""One writer at a time, whichever database, so that what is read before writing still holds when it is."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from enum import IntEnum

from django.db import OperationalError, connection, transaction

from onceapart.errors import OnceapartError


class Kept(IntEnum):
    """What is written to in turn. The numbers are those of the locks, any that nobody else uses."""

    WORKSHOP = 7_310_001
    RECORD = 7_310_002
    RUNS = 7_310_003


class BusyError(OnceapartError):
    """Others were writing for too long; nothing was changed."""

    def __init__(self) -> None:
        super().__init__("others were writing for too long; nothing was changed: do it once more")


@contextmanager
def writing(what: Kept) -> Iterator[None]:
    """A transaction that nobody else writes to the same during.

    SQLite has one writer at a time, from the start of the transaction on (``IMMEDIATE`` in the settings);
    PostgreSQL is asked for a lock that ends with it.

    Raises
    ------
    BusyError
        Others were writing all the while that the settings say to wait.
    """
    try:
        with transaction.atomic():
            if connection.vendor == "postgresql":
                with connection.cursor() as cursor:
                    cursor.execute("SELECT pg_advisory_xact_lock(%s)", [what.value])
            yield
    except OperationalError as error:
        if "locked" in str(error):
            raise BusyError from None
        raise
