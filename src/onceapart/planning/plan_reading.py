"""Reading a plan in ``format: onceapart-plan/1``, so that one made elsewhere can be judged."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Collection, Mapping
from typing import Annotated, Any, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, StrictInt, StrictStr, ValidationError
from pydantic_core import PydanticCustomError

from onceapart.errors import FileProblemsError, Problem
from onceapart.planning.plan import Aim, Plan, Status, StintWork
from onceapart.planning.workload import Workload
from onceapart.workshop.tree import Loc, shown, where_of
from onceapart.workshop.values import nearest


class PlanFileError(FileProblemsError):
    """A plan file cannot be used; carries all its problems."""


def _day(value: object) -> dt.date:
    if isinstance(value, str) and len(value) == 10:
        try:
            return dt.date.fromisoformat(value)
        except ValueError:
            pass
    raise PydanticCustomError("date", "a date is wanted")


_Date = Annotated[dt.date, BeforeValidator(_day)]
_Ids = list[StrictStr]


class _Part(BaseModel):
    model_config = ConfigDict(extra="forbid")


class _Stint(_Part):
    date: _Date
    id: StrictStr | None = None
    minutes: StrictInt | None = None
    used: StrictInt | None = None
    jobs: _Ids
    access: _Ids
    aftercare: _Ids
    hire: _Ids
    left_off: _Ids = []


class _Line(_Part):
    offer: StrictStr
    units: StrictInt = Field(ge=1)
    arrives: _Date | None = None


class _Order(_Part):
    seller: StrictStr
    goods: StrictInt | None = None
    delivery: StrictInt | None = None
    deposit: StrictInt | None = None
    lines: list[_Line]


class _Cost(_Part):
    goods: StrictInt | None = None
    delivery: StrictInt | None = None
    aftercare: StrictInt | None = None
    hire: StrictInt | None = None
    tools: StrictInt | None = None
    off_road: StrictInt | None = None
    money: StrictInt | None = None
    minutes: StrictInt | None = None
    time: StrictInt | None = None
    worth: StrictInt | None = None
    total: StrictInt | None = None
    bound: StrictInt | None = None
    bound_of: StrictStr | None = None


class _Left(_Part):
    job: StrictStr
    why: StrictStr = ""


class _PlanFile(_Part):
    format: Literal["onceapart-plan/1"]
    aim: Literal["balance", "thrift", "soonest", "least-work"] | None = None
    status: Literal["proven", "good", "impossible"] | None = None
    cost: _Cost | None = None
    stints: list[_Stint]
    orders: list[_Order]
    tools_bought: _Ids
    left: list[_Left] = []
    spare: dict[StrictStr, StrictInt] = {}
    confidence: dict[StrictStr, Any] = {}
    """What ``plan --confidence`` adds: its proof, which is not read back."""


def plan_from_json(workload: Workload, data: Mapping[str, Any]) -> Plan:
    """The plan that some data of the format describes, as plan of this workload.

    Parameters
    ----------
    workload : Workload
    data : mapping
        As ``json.load`` gives it. Wanted are ``format``, ``stints`` with date, jobs, access, aftercare and
        hire (the id where several are on a day, ``left_off`` where something is), ``orders`` with seller and
        lines, and ``tools_bought``. Stints that are not named are empty. Figures are not read: they follow
        from the plan, and ``plan_file.wrong_figures`` compares them.

    Returns
    -------
    Plan
        Whether it keeps the rules is for ``broken_rules`` to say, what it costs for ``cost``.

    Raises
    ------
    PlanFileError
        With all that is wrong: what is not of the format, and what names something that the workload does
        not have.
    """
    if isinstance(data, Mapping) and data.get("status") == Status.IMPOSSIBLE and "stints" not in data:
        way_out = "see its `why`, change the workshop and plan again"
        raise _error([Problem(None, "status", "impossible", "this file says that there is no plan", way_out)])
    try:
        file = _PlanFile.model_validate(data)
    except ValidationError as error:
        raise _error([_problem(entry) for entry in error.errors(include_url=False)]) from None
    problems: list[Problem] = []
    work = _work(workload, file, problems)
    units = _units(workload, file, problems)
    _check_names(workload.tool, file.tools_bought, ("tools_bought",), "tool", problems)
    if problems:
        raise _error(problems)
    return Plan(work, units, tuple(file.tools_bought))


def _error(problems: list[Problem]) -> PlanFileError:
    return PlanFileError("the plan", problems)


_KINDS = {
    "int_type": ("a whole number is wanted", "write it as in 2, without quotes or point"),
    "string_type": ("a text is wanted", "put it in quotes"),
    "list_type": ("a list is wanted", "write [] where there is nothing"),
    "dict_type": ("a map is wanted", "write {} where there is nothing"),
    "model_type": ("a map of keys is wanted", "write its keys, as in {...}"),
    "date": ("a date is wanted", 'write it as in "2026-03-07"'),
    "greater_than_equal": ("at least one unit is bought", "take the line out where nothing is"),
}

_WORDS: dict[str, list[str]] = {
    "format": ["onceapart-plan/1"],
    "aim": [str(aim) for aim in Aim],
    "status": [str(status) for status in Status],
}


def _problem(entry: Mapping[str, Any]) -> Problem:
    """An error of pydantic as one of ours."""
    loc: Loc = entry["loc"]
    kind, where, value = entry["type"], where_of(loc) or "plan", shown(entry["input"])
    if kind == "missing":
        way_out = "write it, as `onceapart plan --json` does"
        return Problem(None, where, "", f"`{loc[-1]}` is missing", way_out)
    if kind == "extra_forbidden":
        near = nearest(str(loc[-1]), _keys())
        return Problem(
            None, where, "", "this key is not known", f"did you mean `{near}`?" if near else "take it out"
        )
    if kind == "literal_error":
        words = _WORDS[str(loc[-1])]
        return Problem(None, where, value, f"it is one of {', '.join(words)}", "write one of these")
    rule, way_out = _KINDS.get(kind, ("it does not fit here", "write it as `onceapart plan --json` does"))
    return Problem(None, where, value, rule, way_out)


def _keys() -> list[str]:
    models: tuple[type[BaseModel], ...] = (_PlanFile, _Stint, _Order, _Line, _Cost, _Left)
    return [name for model in models for name in model.model_fields]


def _work(workload: Workload, file: _PlanFile, problems: list[Problem]) -> tuple[StintWork, ...]:
    work = [StintWork()] * len(workload.stints)
    taken: set[int] = set()
    for number, stint in enumerate(file.stints):
        where: Loc = ("stints", number)
        _check_names(workload.job, stint.jobs, (*where, "jobs"), "job", problems)
        _check_names(workload.access_by_id, stint.access, (*where, "access"), "access", problems)
        _check_names(workload.access_by_id, stint.left_off, (*where, "left_off"), "access", problems)
        _check_names(workload.aftercare_by_id, stint.aftercare, (*where, "aftercare"), "aftercare", problems)
        _check_names(workload.tool, stint.hire, (*where, "hire"), "tool", problems)
        place = _place(workload, stint, taken, where, problems)
        if place is not None:
            taken.add(place)
            work[place] = StintWork(
                tuple(stint.jobs),
                tuple(stint.access),
                tuple(stint.aftercare),
                tuple(stint.hire),
                tuple(stint.left_off),
            )
    return tuple(work)


def _place(
    workload: Workload, stint: _Stint, taken: Collection[int], where: Loc, problems: list[Problem]
) -> int | None:
    """Which stint of the workload is meant: the one of that day, or of that day and id."""
    on_day = [place for place, other in enumerate(workload.stints) if other.date == stint.date]
    named = [place for place in on_day if workload.stints[place].id == stint.id]
    if stint.id is None and len(on_day) == 1:
        named = on_day
    free = [place for place in named if place not in taken]
    if free:
        return free[0]
    label = f"{stint.date.isoformat()} {stint.id or ''}".strip()
    if named:
        rule, way_out = "this stint is there twice", "put both together"
    elif on_day:
        ids = ", ".join(str(workload.stints[place].id) for place in on_day)
        rule, way_out = "the workshop has no such stint that day", f"its stints that day are {ids}"
    else:
        days = sorted({other.date.isoformat() for other in workload.stints})
        way_out = f"its stints are on {', '.join(days)}" if days else "it has none"
        rule = "the workshop has no stint on that day"
    problems.append(Problem(None, where_of(where), label, rule, way_out))
    return None


def _units(workload: Workload, file: _PlanFile, problems: list[Problem]) -> dict[str, int]:
    units: Counter[str] = Counter()
    sellers: set[str] = set()
    for number, order in enumerate(file.orders):
        where: Loc = ("orders", number)
        _check_name(workload.seller, order.seller, (*where, "seller"), "seller", problems)
        if order.seller in sellers:
            rule = "there is one order a seller"
            problems.append(Problem(None, where_of(where), order.seller, rule, "put both together"))
        sellers.add(order.seller)
        for at, line in enumerate(order.lines):
            place: Loc = (*where, "lines", at, "offer")
            _check_name(workload.offer, line.offer, place, "offer", problems)
            if line.offer not in workload.offer:
                continue
            seller = workload.offer[line.offer].seller
            if seller != order.seller:
                rule = f"this offer is sold by {seller}, not by {order.seller}"
                way_out = f"put it into the order at {seller}"
                problems.append(Problem(None, where_of(place), line.offer, rule, way_out))
            if line.offer in units:
                rule = "this offer is there twice"
                problems.append(Problem(None, where_of(place), line.offer, rule, "put both lines together"))
            units[line.offer] += line.units
    return dict(units)


def _check_names(
    known: Collection[str], names: list[str], where: Loc, kind: str, problems: list[Problem]
) -> None:
    for number, name in enumerate(names):
        _check_name(known, name, (*where, number), kind, problems)


def _check_name(known: Collection[str], name: str, where: Loc, kind: str, problems: list[Problem]) -> None:
    if name not in known:
        near = nearest(name, list(known))
        way_out = f"did you mean {near}?" if near else "the plan may be of another workshop, or an older one"
        rule = f"the workshop has no such {kind}"
        problems.append(Problem(None, where_of(where), shown(name), rule, way_out))
