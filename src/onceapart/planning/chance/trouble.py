"""What may go otherwise than planned, as the simulation takes it; and where it comes from."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property

from onceapart.planning.workload import Workload
from onceapart.trade.schema import Recipe, Spread
from onceapart.trade.trouble import fasteners_of, spreads_of
from onceapart.workshop import Workshop

BROKEN = 1 / 4
"""Share of the fasteners that are seized or shear which break, round off or lose their thread, so that
they have to be drilled or cut out and a new one goes in. The others come after a fight, and that is what
the bad case of the minutes is for. Common practice, no source."""
GETTING_OUT = Spread(good=8, typical=20, bad=60)
"""Minutes to drill, cut or pull out one broken fastener, beyond those of the work it is in.
Common practice, no source. [min]"""
TRIP = 30
"""Minutes to the counter and back for what is not in the house. Common practice, no source. [min]"""
POST = 7
"""Days that the post takes where no seller says. [days]"""


@dataclass(frozen=True)
class Fastener:
    """Fasteners of one kind met at one piece of work.

    ``chance`` is that one of them breaks, each by itself. ``renew``: a new one goes in anyway and is in the
    house, so a broken one costs its minutes but no wait.
    """

    of: str
    """Id of the job, or of the access."""
    part: str
    """Part id of a new one."""
    count: int
    chance: float
    is_access: bool = False
    getting_out: Spread = GETTING_OUT
    """Minutes that one broken one takes. [min]"""
    renew: bool = False
    what: str = ""
    thread: str = ""


@dataclass(frozen=True)
class Trouble:
    """Spreads of minutes by id, and fasteners. Work without a spread takes the minutes it is planned with.

    ``due`` is the day of each car's inspection. ``trip`` is what it takes to get a new fastener over the
    counter; None where there is no counter, and the work waits ``post`` days for one. [min, days]
    """

    jobs: Mapping[str, Spread] = field(default_factory=dict)
    access: Mapping[str, Spread] = field(default_factory=dict)
    aftercare: Mapping[str, Spread] = field(default_factory=dict)
    fasteners: tuple[Fastener, ...] = ()
    due: Mapping[str, dt.date] = field(default_factory=dict)
    trip: int | None = TRIP
    post: int = POST
    assumed: frozenset[str] = frozenset()
    """Ids whose good and bad case nobody gave, so that a usual share of the minutes was taken."""

    @cached_property
    def at_job(self) -> dict[str, tuple[int, ...]]:
        """Positions of the fasteners of each job."""
        return self._at(is_access=False)

    @cached_property
    def at_access(self) -> dict[str, tuple[int, ...]]:
        """Positions of the fasteners of each access."""
        return self._at(is_access=True)

    def _at(self, *, is_access: bool) -> dict[str, tuple[int, ...]]:
        found: dict[str, list[int]] = defaultdict(list)
        for at, one in enumerate(self.fasteners):
            if one.is_access == is_access:
                found[one.of].append(at)
        return {name: tuple(places) for name, places in found.items()}

    def spread(self, kind: str, name: str, workload: Workload) -> Spread:
        """Minutes of a ``job``, ``access`` or ``aftercare``. [min]"""
        given, planned = {
            "job": (self.jobs, workload.job),
            "access": (self.access, workload.access_by_id),
            "aftercare": (self.aftercare, workload.aftercare_by_id),
        }[kind]
        found = given.get(name)
        if found is None:
            minutes = planned[name].minutes  # type: ignore[index]
            found = Spread.model_construct(good=minutes, typical=minutes, bad=minutes)
        return found


def trouble_of(workshop: Workshop, recipes: Iterable[Recipe] = (), *, trip: int = TRIP) -> Trouble:
    """What may go otherwise in a workshop, by its recipes, its own figures and the rust of its cars.

    Parameters
    ----------
    workshop : Workshop
        As ``apply_recipes`` returns it.
    recipes : iterable of Recipe, optional
        The recipes of one's own that it was applied with.
    trip : int
        Minutes to the counter and back. There is one where a seller delivers on the same day, or no seller
        is known. [min]

    Returns
    -------
    Trouble
        A fastener breaks with ``BROKEN`` times the chance that it is seized or shears.

    Examples
    --------
    >>> from onceapart.demo import read_demo
    >>> from onceapart.trade import apply_recipes
    >>> trouble = trouble_of(apply_recipes(read_demo().workshop))
    >>> trouble.jobs["pickle-cv-boot"]
    Spread(good=20, typical=38, bad=85)
    """
    own = tuple(recipes)
    spreads = spreads_of(workshop, own)
    days = [seller.days for seller in workshop.sellers]
    return Trouble(
        jobs=spreads.jobs,
        access=spreads.access,
        aftercare=spreads.aftercare,
        fasteners=tuple(
            Fastener(
                of=one.of,
                part=one.part,
                count=one.count,
                chance=one.seize * BROKEN,
                is_access=one.is_access,
                renew=one.renew,
                what=one.what,
                thread=one.thread,
            )
            for one in fasteners_of(workshop, own)
        ),
        due={car.id: car.inspection.due for car in workshop.cars if car.inspection},
        trip=trip if not days or min(days) == 0 else None,
        post=min(days, default=POST),
        assumed=spreads.assumed,
    )
