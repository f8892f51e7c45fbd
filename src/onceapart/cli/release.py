"""``onceapart release``: may a car go on the road? Its checks, their answers, and the grant."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Annotated, Any

import typer

from onceapart.cli.record_bench import (
    Bench,
    File,
    OdometerOption,
    WhoOption,
    at_bench,
    made,
    refuse,
    why_words,
)

if TYPE_CHECKING:
    from onceapart.bench.release import CarRelease
    from onceapart.bench.release_checks import DueCheck

NOT_GRANTED = 1
"""Exit status where a grant was asked for and something stands against it."""
CAUTION = (
    "The tool advises; whoever signs decides. If anything feels, sounds or smells wrong, stop and have it "
    "looked at by a licensed mechanic."
)
BOXES = {"open": "[ ]", "yes": "[x]", "no": "[-]", "too early": "[?]"}


def add_to(app: typer.Typer) -> None:
    """Add the command."""
    app.command("release")(release)


def release(
    file: File,
    car: Annotated[
        str, typer.Argument(metavar="[CAR]", help="The car; none shows how all of them stand.")
    ] = "",
    yes: Annotated[
        list[str] | None,
        typer.Option("--yes", metavar="CHECK[=VALUE]", help="This check is in order; may be given again."),
    ] = None,
    no: Annotated[
        list[str] | None,
        typer.Option("--no", metavar="CHECK[=WORDS]", help="This check is not in order; may be given again."),
    ] = None,
    grant: Annotated[bool, typer.Option("--grant", help="Let the car go on the road; needs --who.")] = False,
    withdraw: Annotated[
        str | None, typer.Option("--withdraw", metavar="WHY", help="Take the release back.")
    ] = None,
    who: WhoOption = None,
    odometer: OdometerOption = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print JSON and nothing else.")] = False,
) -> None:
    """Show whether a car may go on the road, and answer its checks.

    The checks follow from what was done. Each needs an answer after the last work it looks at: the pedal is
    hard before the engine starts, and all is in order before the car moves. Exit status 1 if a grant was
    asked for and something stands against it.
    """
    bench = at_bench(file)
    if not car:
        if yes or no or grant or withdraw:
            refuse(f"which car? There is {', '.join(one.id for one in bench.workshop.cars)}")
        _show_all(bench, as_json=as_json)
        return
    bench.car(car)
    if odometer:
        _check_odometer(bench, car, odometer)
    _answer(bench, car, yes or [], no or [], who, odometer)
    if withdraw is not None:
        from onceapart.bench.entries import ReleaseWithdrawn

        bench.add(made(ReleaseWithdrawn, car=car, why=withdraw, who=who, odometer=odometer))
    is_refused = grant and not _grant(bench, car, who, odometer)
    found = bench.release(car, odometer)
    if as_json:
        typer.echo(json.dumps(_as_json(found), indent=2, ensure_ascii=False))
    else:
        _show(bench, found)
    if is_refused:
        from onceapart.cli.screen import say

        say("The release was not granted: see why above.")
        raise typer.Exit(NOT_GRANTED)


def _check_odometer(bench: Bench, car: str, odometer: str) -> None:
    from onceapart.bench.entries import Noted
    from onceapart.bench.state import km_of

    made(Noted, car=car, odometer=odometer, words="read")  # says what is wrong with it
    before = bench.state.odometers.get(car)
    if before and km_of(odometer) < before.km:
        refuse(f"{odometer}: the odometer stood at {before.text} on {before.day}; read it again")


def _answer(
    bench: Bench, car: str, yes: list[str], no: list[str], who: str | None, odometer: str | None
) -> None:
    """Keep the answers; those of the pedal come before those with the engine running or the car moving."""
    from onceapart.bench.entries import CheckAnswered
    from onceapart.bench.release import answers_too_early

    found = bench.release(car, odometer)
    known = [*(check.id for check in found.checks), *(one.id for one in found.follow_ups)]
    answers = [(*_check_named(one, known, car), "yes") for one in yes]
    answers += [(*_check_named(one, known, car), "no") for one in no]
    for check, text, answer in sorted(answers, key=lambda one: bench.work.rank_of_check(one[0])):
        if answer == "yes":
            before = answers_too_early(bench.entries, car, bench.work, check)
            if before:
                names = ", ".join(one.id.removeprefix(f"{car}/") for one in before)
                refuse(f"{check.removeprefix(f'{car}/')}: first answer {names}; nothing more was noted")
        said = {"value" if answer == "yes" else "words": text or None}
        bench.add(
            made(CheckAnswered, car=car, check=check, answer=answer, who=who, odometer=odometer, **said)
        )


def _check_named(typed: str, known: list[str], car: str) -> tuple[str, str]:
    """The check that was meant, and what stands behind its =; exits if that isn't clear."""
    from onceapart.workshop.values import nearest

    name, _, text = typed.partition("=")
    short = {one.removeprefix(f"{car}/"): one for one in known}
    exact = [one for one in known if name in (one, one.removeprefix(f"{car}/"))]
    found = exact or [one for one in known if one.endswith(f"/{name}")]
    if len(found) > 1:
        each = ", ".join(one.removeprefix(f"{car}/") for one in found)
        refuse(f"{name}: there are {len(found)} of these; answer each: {each}")
    if not found:
        near = nearest(name, list(short))
        way_out = f"did you mean {near}?" if near else f"there is {', '.join(short) or 'none to answer'}"
        refuse(f"{name}: this check is not due on {car}; {way_out}")
    return found[0], text.strip()


def _grant(bench: Bench, car: str, who: str | None, odometer: str | None) -> bool:
    """Grant the release if nothing stands against it; whether it holds then."""
    from onceapart.bench.entries import ReleaseGranted, now
    from onceapart.bench.release import ask_release

    if not who:
        refuse("--grant: somebody signs for it; give --who NAME")
    if bench.release(car, odometer).against:
        return False
    if odometer is None and any(one.fitted.limits.distance for one in bench.state.open_stopgaps(car)):
        refuse('--grant: a stopgap may stay for a distance; give --odometer, as in "143200 km"')
    bench.add(ask_release(bench.entries, car, bench.work, now(), who))
    bench.add(made(ReleaseGranted, car=car, who=who, odometer=odometer))
    return bench.release(car, odometer).is_released


def _show_all(bench: Bench, *, as_json: bool) -> None:
    from onceapart.cli.page import Page

    found = [bench.release(car.id) for car in bench.workshop.cars]
    if as_json:
        typer.echo(json.dumps([_as_json(one) for one in found], indent=2, ensure_ascii=False))
        return
    page = Page()
    for one in found:
        page.heading(f"{bench.car(one.car).name}: {_status(one)}")
        page.sentences(why_words(one))
        page.sentences([str(follow_up) for follow_up in one.follow_ups])
        page.sentences(one.stopgaps)
    page.show()


def _show(bench: Bench, found: CarRelease) -> None:
    from onceapart.cli.page import Page

    page = Page()
    page.heading(f"{bench.car(found.car).name}: {_status(found)}")
    page.sentences(why_words(found))
    if found.stopgaps:
        page.heading("Stopgaps")
        page.sentences(found.stopgaps)
    if found.follow_ups:
        page.heading("To follow")
        page.sentences([str(one) for one in found.follow_ups])
    if found.checks:
        page.heading("Checks, in this order")
        for check in found.checks:
            page.line(
                "", f"{BOXES[check.state]} {check.id.removeprefix(f'{found.car}/')}: {_words(check)}", 1
            )
    page.paragraph(CAUTION)
    page.show()


def _status(found: CarRelease) -> str:
    if found.granted is None:
        return found.status.upper()
    return f"{found.status}, by {found.granted.who} on {found.granted.day}"


def _words(check: DueCheck) -> str:
    if check.answer is None:
        return check.words
    said = [
        check.answer.value or "",
        check.answer.words or "",
        f"by {check.answer.who}" if check.answer.who else "",
    ]
    beside = ", ".join([f"{check.state} on {check.answer.day}", *filter(None, said)])
    return f"{check.title}: {beside}" if check.state == "yes" else f"{check.words} ({beside})"


def _as_json(found: CarRelease) -> dict[str, Any]:
    return {
        "car": found.car,
        "status": str(found.status),
        "why": list(found.why),
        "checks": [
            {"id": one.id, "title": one.title, "check": one.words, "state": str(one.state)}
            for one in found.checks
        ],
        "follow_ups": [
            {"id": one.id, "title": one.title, "from_km": one.from_km, "to_km": one.to_km}
            for one in found.follow_ups
        ],
        "stopgaps": list(found.stopgaps),
        "granted": None
        if found.granted is None
        else {"who": found.granted.who, "time": found.granted.time.isoformat()},
    }
