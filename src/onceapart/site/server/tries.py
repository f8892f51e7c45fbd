"""Wrong tries at the door, counted by where they come from."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from ipaddress import IPv6Address, ip_address

FREE_TRIES = 5
LONGEST_WAIT = 15 * 60
"""Seconds that somebody waits at most after wrong tries."""
MOST_PLACES = 10_000


class Tries:
    """After five wrong tries the wait doubles from a second up to a quarter of an hour.

    A try counts as wrong from the moment it begins, so that many at once are no way round the wait.
    """

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock, self._lock = clock, threading.Lock()
        self._wrong: dict[str, tuple[int, float]] = {}

    def begin(self, address: str) -> float:
        """Begin a try; seconds to wait if it may not be made yet, nought if it may."""
        place = place_of(address)
        with self._lock:
            count, last = self._wrong.get(place, (0, 0.0))
            wait = self._wait(count, last)
            if wait <= 0:
                self._wrong.pop(place, None)  # to the end of the row, where the newest are
                self._wrong[place] = (count + 1, self._clock())
                while len(self._wrong) > MOST_PLACES:
                    self._wrong.pop(next(iter(self._wrong)))
            return wait

    def passed(self, address: str) -> None:
        """A try was right: what went before is forgotten."""
        with self._lock:
            self._wrong.pop(place_of(address), None)

    def forget(self) -> None:
        """Forget all."""
        with self._lock:
            self._wrong.clear()

    def _wait(self, count: int, last: float) -> float:
        if count < FREE_TRIES:
            return 0.0
        pause = min(LONGEST_WAIT, 2.0 ** min(count - FREE_TRIES, 20))
        return max(0.0, last + pause - self._clock())


def place_of(address: str) -> str:
    """Where an address belongs: of IPv6 the network, of which one machine has all addresses.

    >>> place_of("192.168.1.20"), place_of("fe80::1:2:3:4"), place_of("?")
    ('192.168.1.20', 'fe80::', '?')
    """
    try:
        found = ip_address(address)
    except ValueError:
        return address
    if isinstance(found, IPv6Address):
        return str(IPv6Address(int(found) >> 64 << 64))
    return str(found)


TRIES = Tries()
