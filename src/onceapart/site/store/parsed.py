"""Workshops by their text, read once: reading takes ten times as long as showing a page."""

from __future__ import annotations

import threading
from collections import OrderedDict

from onceapart.trade import apply_recipes
from onceapart.workshop import Workshop, parse_workshop

MOST = 24
"""Workshops kept in memory."""


class _Read:
    """The workshops read last."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._workshops: OrderedDict[str, Workshop] = OrderedDict()
        self._worked_out: OrderedDict[str, Workshop] = OrderedDict()

    def workshop(self, text: str) -> Workshop:
        with self._lock:
            if text in self._workshops:
                self._workshops.move_to_end(text)
                return self._workshops[text]
        return self.keep(text, parse_workshop(text))

    def keep(self, text: str, workshop: Workshop) -> Workshop:
        with self._lock:
            self._workshops[text] = workshop
            if len(self._workshops) > MOST:
                self._workshops.popitem(last=False)
        return workshop

    def worked_out(self, text: str) -> Workshop:
        with self._lock:
            if text in self._worked_out:
                return self._worked_out[text]
        found = apply_recipes(self.workshop(text))
        with self._lock:
            self._worked_out[text] = found
            if len(self._worked_out) > MOST:
                self._worked_out.popitem(last=False)
        return found


_READ = _Read()
workshop_from = _READ.workshop
"""The workshop of a text; raises WorkshopFileError."""
worked_out_from = _READ.worked_out
"""The same with its recipes applied."""
remember = _READ.keep
"""Keep the workshop of a text that was read already."""
