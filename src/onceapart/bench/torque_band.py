"""The bolt sum's torque beside a blank, where thread and class are known. The car's manual decides."""

from __future__ import annotations

import re
from functools import cache

from onceapart.bench.card_model import TorqueBand
from onceapart.errors import SumError

_THREADED = re.compile(r"M\s?[0-9]", re.ASCII)
_NOT_BY_TORQUE = ("clip", "countersunk", "splines")


def takes_torque(thread: str) -> bool:
    """Whether a fastener with such a thread is tightened to a torque that is worth writing down.

    >>> takes_torque("M12x1.5 or M14x1.5"), takes_torque("M6 or plastic clips"), takes_torque("plain pin")
    (True, False, False)
    """
    return bool(_THREADED.match(thread)) and not any(word in thread for word in _NOT_BY_TORQUE)


@cache
def torque_band(thread: str) -> TorqueBand | None:
    """What the bolt sum gives for a thread of one size and a known class; None for any other.

    Parameters
    ----------
    thread : str
        As a recipe says it.

    Returns
    -------
    TorqueBand or None
        For a joint taken apart again with threads of unknown friction, up to where the bolt is never past
        its proof load. A cross-check only. [N·m]

    Examples
    --------
    >>> torque_band("M12x1.5 or M14x1.5"), torque_band("M10x1.25")
    (None, None)
    >>> band = torque_band("M10x1.25 8.8")
    >>> round(band.low_nm), round(band.high_nm)
    (24, 32)
    """
    from onceapart.sums.bolts.designation import parse_bolt
    from onceapart.sums.bolts.torque_sum import torque_answer
    from onceapart.sums.result import Band

    try:
        bolt = parse_bolt(thread)
        if bolt.strength is None or bolt.thread.system != "metric":
            return None
        answer = torque_answer(bolt, "unknown", "reused", None, 0.0, None)
    except SumError:
        return None
    torque, most = answer.values["torque"], answer.values["most_torque"]
    assert isinstance(torque, Band)
    assert isinstance(most, float)
    return TorqueBand(torque.low, min(torque.high, most))
