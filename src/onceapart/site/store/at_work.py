"""Whether somebody is making plans: a lock on a file that the system takes back when the process ends."""

from __future__ import annotations

import fcntl
import time
from collections.abc import Iterator
from contextlib import contextmanager

from django.conf import settings


@contextmanager
def at_work(patience: float = 0.0) -> Iterator[bool]:
    """Be the one who makes plans, if nobody else is; the lock is given back at the end, or by dying.

    Parameters
    ----------
    patience : float
        Seconds to wait for somebody who is just looking. [s]

    Yields
    ------
    bool
        Whether it is so.
    """
    end = time.monotonic() + patience
    with (settings.DATA / "plans.lock").open("a") as file:
        while True:
            try:
                fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
            except BlockingIOError:
                if time.monotonic() >= end:
                    yield False
                    return
                time.sleep(0.05)
            else:
                yield True  # closing the file gives the lock back
                return
