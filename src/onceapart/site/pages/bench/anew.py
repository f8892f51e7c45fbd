"""What is left of the work as things stand now, for the ways on from a snag."""

from __future__ import annotations

import datetime as dt

from onceapart.bench.replan import Left, replanned
from onceapart.site.pages.shared import Now
from onceapart.site.store.basis import basis_of
from onceapart.site.store.models import PlanRun, Version
from onceapart.site.store.runs import chosen


def left_now(now: Now, at: dt.datetime) -> Left:
    """What is left of the workshop by the record, the plan that was worked by first being the one followed.

    Parameters
    ----------
    now : Now
    at : datetime
        The present time, on the day the workshop goes by.
    """
    run = PlanRun(
        asked_at=at,
        version=Version.objects.get(pk=now.number),
        record_number=now.entries[-1].number if now.entries else 0,
        aim="balance",
        today=at.date(),
        follows=chosen(),
    )
    left = basis_of(run).left
    return left if left is not None else replanned(now.applied, now.state, None, at)
