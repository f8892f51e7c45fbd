"""Verdicts, walks and proposals as plain data for JSON."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from typing import Any

from onceapart.inspection.proposing import Proposal, Proposals, Reason
from onceapart.inspection.reading import Flag, Reading
from onceapart.inspection.verdicts import INSPECTOR, CarVerdict, ItemVerdict
from onceapart.inspection.walking import Leg
from onceapart.inspection.wear import Projection
from onceapart.inspection.wording import asked_words, limit_words
from onceapart.trade.rules import Pack, Rule

FORMAT = "onceapart-inspection/1"


def inspection_to_json(verdicts: Iterable[CarVerdict]) -> dict[str, Any]:
    """What an inspection would say of some cars; figures in the unit of their item, dates as text."""
    return {"format": FORMAT, "decides": INSPECTOR, "cars": [_car(one) for one in verdicts]}


def _car(one: CarVerdict) -> dict[str, Any]:
    return {
        "car": one.car.id,
        "name": one.car.name,
        "rules": _pack(one.pack),
        "today": one.today.isoformat(),
        "inspection": _day(one.on),
        "outcome": str(one.outcome),
        "worst_possible": str(one.worst_possible),
        "verdicts": [_item(each, one) for each in one.verdicts],
        "not_checked": [_item(each, one) for each in one.unchecked],
        "without_rule": [_reading(each) for each in one.unruled],
        "flagged": [_flag(each, one) for each in one.flagged],
        "problems": [
            {"where": each.where, "value": each.value, "rule": each.rule, "way_out": each.way_out}
            for each in one.problems
        ],
        "missing": dict(one.missing),
    }


def _pack(pack: Pack) -> dict[str, Any]:
    return {
        "id": pack.id,
        "title": pack.title,
        "sources": {key: source.title for key, source in pack.sources.items()},
    }


def _item(one: ItemVerdict, car: CarVerdict) -> dict[str, Any]:
    item = one.item
    found: dict[str, Any] = {
        "item": item.id,
        "title": item.title,
        "place": one.place,
        "system": item.system,
        "verdict": str(one.verdict),
        "worst": str(one.worst),
        "rules": [rule_to_json(rule) for rule in one.rules],
        "asked": asked_words(one),
        "limits": [
            {"rule": row.rule.id, "limit": row.limit, "unit": item.unit, "words": limit_words(row, item)}
            for row in one.limits
        ],
    }
    if one.readings:
        found["readings"] = [_reading(each) for each in one.readings]
        found["unknown"] = [
            {"name": each.name, "title": each.title, "ask": each.ask, "write": each.write}
            for each in one.unknown
        ]
        found["old"] = one.is_old
        found["ahead"] = None if one.projection is None else _ahead(one.projection)
        found["no_forecast"] = one.cannot_project or None
    else:
        found |= {"how": item.how, "stage": item.stage, "check": item.check}
        found["missing"] = car.missing.get(item.id)
    return found


def rule_to_json(rule: Rule) -> dict[str, Any]:
    """A row of a pack."""
    return {
        "id": rule.id,
        "class": rule.class_,
        "clause": rule.clause,
        "source": rule.source,
        "status": rule.status,
        "note": rule.note,
    }


def _reading(one: Reading) -> dict[str, Any]:
    return {
        "finding": one.index,
        "item": one.item.id,
        "place": one.place,
        "amount": one.amount,
        "unit": one.item.unit,
        "words": list(one.words),
        "date": one.date.isoformat(),
        "odometer_km": one.odometer_km,
        "note": one.note,
        "photo": one.photo,
        "worked_out": one.worked_out or None,
    }


def _ahead(one: Projection) -> dict[str, Any]:
    return {
        "on": one.on.isoformat(),
        "level": {"low": one.level.low, "typical": one.level.typical, "high": one.level.high},
        "becomes": str(one.becomes),
        "may_become": str(one.may_become),
        "rules": [rule_to_json(rule) for rule in one.rules],
        "reached": _day(one.reached),
        "reached_earliest": _day(one.reached_earliest),
        "readings": one.readings,
        "by": "distance" if one.by_distance else "days",
        "doubts": list(one.doubts),
    }


def _flag(flag: Flag, car: CarVerdict) -> dict[str, Any]:
    as_it_stands = car.as_it_stands(flag)
    return {
        "finding": flag.index,
        "item": flag.finding.item,
        "place": flag.finding.place,
        "key": flag.key,
        "doubt": str(flag.doubt),
        "value": flag.value,
        "rule": flag.rule,
        "way_out": flag.way_out,
        "as_it_stands": None if as_it_stands is None else str(as_it_stands.verdict),
    }


def walk_to_json(legs: Iterable[Leg]) -> list[dict[str, Any]]:
    """Walks round a car."""
    return [
        {
            "state": leg.state,
            "wheels_off": list(leg.wheels_off),
            "tasks": [
                {
                    "item": task.item.id,
                    "title": task.item.title,
                    "place": task.place,
                    "stage": task.item.stage,
                    "how": task.item.how,
                    "check": task.item.check,
                    "unit": task.item.unit,
                    "words": list(task.item.words),
                    "why": str(task.why),
                }
                for task in leg.tasks
            ],
        }
        for leg in legs
    ]


def proposals_to_json(proposals: Proposals) -> dict[str, Any]:
    """Jobs that put right what fails."""
    return {
        "jobs": [proposal_to_json(one) for one in proposals.jobs],
        "uncured": [{**_reason(one.reason), "why": one.why} for one in proposals.uncured],
        "tools": list(proposals.tools),
    }


def proposal_to_json(one: Proposal) -> dict[str, Any]:
    """A job with its reasons."""
    return {
        "id": one.id,
        "car": one.car,
        "recipe": one.recipe,
        "place": one.place,
        "need": str(one.need),
        "is_there": one.there is not None,
        "reasons": [_reason(reason) for reason in one.reasons],
    }


def _reason(reason: Reason) -> dict[str, Any]:
    return {
        "item": reason.verdict.item.id,
        "place": reason.verdict.place,
        "class": str(reason.klass),
        "by_the_inspection": reason.is_ahead,
        "sure": reason.is_sure,
    }


def _day(day: dt.date | None) -> str | None:
    return None if day is None else day.isoformat()
