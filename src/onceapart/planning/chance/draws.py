"""What happens in each run of a simulation: minutes of all work, and which fasteners break."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from onceapart.planning.chance.minutes import Ints, binomial, minutes_of
from onceapart.planning.chance.trouble import Trouble
from onceapart.planning.workload import Workload


@dataclass(frozen=True, eq=False)
class Draws:
    """One figure a run, for all that a workload holds, so that plans are compared on the same luck.

    An access takes the same minutes each time it comes off in a run: what is stubborn stays stubborn.
    """

    runs: int
    jobs: Mapping[str, Ints]
    access: Mapping[str, Ints]
    aftercare: Mapping[str, Ints]
    broken: tuple[Ints, ...]
    """How many break, beside the trouble's fasteners one for one."""
    getting_out: tuple[Ints, ...]
    """Minutes that these take. [min]"""

    def with_minutes(self, kind: str, name: str, minutes: int) -> Draws:
        """The same luck, but a ``job``, ``access`` or ``aftercare`` takes these minutes for sure."""
        sure = {name: np.full(self.runs, minutes)}
        match kind:
            case "job":
                return replace(self, jobs={**self.jobs, **sure})
            case "access":
                return replace(self, access={**self.access, **sure})
            case _:
                return replace(self, aftercare={**self.aftercare, **sure})

    def unbroken(self, places: frozenset[int]) -> Draws:
        """The same luck, but these fasteners, by position, come for sure."""

        def kept(drawn: tuple[Ints, ...]) -> tuple[Ints, ...]:
            return tuple(np.zeros_like(one) if at in places else one for at, one in enumerate(drawn))

        return replace(self, broken=kept(self.broken), getting_out=kept(self.getting_out))


def draw(workload: Workload, trouble: Trouble, *, runs: int, seed: int) -> Draws:
    """Draw everything.

    Parameters
    ----------
    workload : Workload
    trouble : Trouble
    runs, seed : int
        Each piece of work has a stream of its own out of the seed and its id: the same figures whatever
        else there is.

    Returns
    -------
    Draws
        Minutes, and fasteners with theirs. [min]
    """

    def minutes(kind: str, name: str) -> Ints:
        spread = trouble.spread(kind, name, workload)
        if spread.good == spread.bad:
            return np.full(runs, spread.typical)
        return minutes_of(spread).drawn(_stream(seed, kind, name).random(runs))

    broken, getting_out = [], []
    times: dict[tuple[str, str], int] = {}
    for one in trouble.fasteners:
        # The same kind met twice at one place is told apart by counting.
        nth = times[one.of, one.part] = times.get((one.of, one.part), 0) + 1
        stream = _stream(seed, "fastener", one.of, one.part, str(nth))
        number = binomial(one.count, one.chance).drawn(stream.random(runs))
        taken = np.zeros(runs, dtype=np.int64)
        each = minutes_of(one.getting_out)
        for so_many in range(1, int(number.max(initial=0)) + 1):
            hit = np.flatnonzero(number >= so_many)
            taken[hit] += each.drawn(stream.random(len(hit)))
        broken.append(number)
        getting_out.append(taken)
    return Draws(
        runs=runs,
        jobs={job.id: minutes("job", job.id) for job in workload.jobs},
        access={access.id: minutes("access", access.id) for access in workload.access},
        aftercare={care.id: minutes("aftercare", care.id) for care in workload.aftercare},
        broken=tuple(broken),
        getting_out=tuple(getting_out),
    )


def _stream(seed: int, *names: str) -> np.random.Generator:
    words = hashlib.sha256("\n".join(names).encode()).digest()
    key = [int.from_bytes(words[at : at + 4], "big") for at in range(0, 16, 4)]
    return np.random.default_rng([seed, *key])
