"""``onceapart snag``: when it goes otherwise; the ways on, and choosing one."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Annotated

import typer

from onceapart.cli.plan import JsonOption
from onceapart.cli.record_bench import Bench, File, OdometerOption, WhoOption, at_bench, made, refuse
from onceapart.cli.replan_load import PlanOption, TodayOption, day_typed, standing, time_now

if TYPE_CHECKING:
    from onceapart.bench.replan import Left
    from onceapart.bench.state import Snag
    from onceapart.bench.ways import WayOn
    from onceapart.bench.ways_choose import Choice, Chosen


def add_to(app: typer.Typer) -> None:
    """Add the command."""
    app.command("snag")(snag)


def snag(
    file: File,
    car: Annotated[
        str, typer.Argument(metavar="[CAR|NUMBER]", help="The car; or a snag's number. None lists all.")
    ] = "",
    kind: Annotated[
        str,
        typer.Argument(
            metavar="[KIND]",
            help="broken-fastener, seized-fastener, wrong-part, bad-part, short-of-time, damage-found, "
            "left-unfinished or missing-tool.",
        ),
    ] = "",
    steps: Annotated[
        list[str] | None,
        typer.Argument(metavar="[STEP]...", help="Steps, jobs or access where it is.", show_default=False),
    ] = None,
    words: Annotated[str | None, typer.Option("--words", metavar="WORDS", help="What happened.")] = None,
    job: Annotated[str | None, typer.Option("--job", metavar="JOB", help="The job it is in.")] = None,
    part: Annotated[
        str | None, typer.Option("--part", metavar="PART", help="The part, or spare fastener, it is about.")
    ] = None,
    tool: Annotated[
        str | None, typer.Option("--tool", metavar="TOOL", help="The tool that is missing.")
    ] = None,
    danger: Annotated[
        bool | None,
        typer.Option("--dangerous/--harmless", help="Whether the car is dangerous as it stands."),
    ] = None,
    way: Annotated[
        str | None, typer.Option("--way", metavar="N", help="Choose this way on: its number, or its id.")
    ] = None,
    close: Annotated[
        str | None, typer.Option("--close", metavar="HOW", help="It is settled, and how.")
    ] = None,
    minutes: Annotated[
        int | None, typer.Option("--minutes", metavar="N", min=0, help="Minutes it takes, if you know.")
    ] = None,
    price: Annotated[
        str | None, typer.Option("--price", metavar="PRICE", help="What is paid, if you know.")
    ] = None,
    check: Annotated[
        list[str] | None,
        typer.Option(
            "--check", metavar="NAME=VALUE", help="A figure for the bolt sum; given again and again."
        ),
    ] = None,
    what: Annotated[
        str | None, typer.Option("--what", metavar="WORDS", help="Stopgap: what went in.")
    ] = None,
    where: Annotated[
        str | None, typer.Option("--where", metavar="WORDS", help="Stopgap: where it is.")
    ] = None,
    system: Annotated[
        str | None, typer.Option("--system", metavar="SYSTEM", help="Stopgap: brakes, exhaust and so on.")
    ] = None,
    until: Annotated[
        str | None, typer.Option("--until", metavar="DATE", help="Stopgap: its last day.")
    ] = None,
    distance: Annotated[
        str | None, typer.Option("--distance", metavar="KM", help='Stopgap: as in "300 km".')
    ] = None,
    speed: Annotated[
        str | None, typer.Option("--speed", metavar="SPEED", help='Stopgap: as in "60 km/h".')
    ] = None,
    stands: Annotated[bool, typer.Option("--stands", help="Stopgap: to stand on, not to drive on.")] = False,
    signed: Annotated[
        str | None, typer.Option("--sign", metavar="NAME", help="Stopgap: who signs for it.")
    ] = None,
    recipe: Annotated[
        str | None, typer.Option("--recipe", metavar="RECIPE", help="Recipe of the new job.")
    ] = None,
    place: Annotated[
        str | None, typer.Option("--place", metavar="PLACE", help="Place of the new job.")
    ] = None,
    plan: PlanOption = None,
    today: TodayOption = None,
    who: WhoOption = None,
    odometer: OdometerOption = None,
    as_json: JsonOption = False,
) -> None:
    """Open a snag, show the ways on from it, choose one.

    `onceapart snag mine.yaml wren broken-fastener wren-exhaust` opens it and shows the ways, each with its
    minutes, its price and what it means; the same with --way 2 chooses one. `onceapart replan mine.yaml`
    then plans what is left.
    """
    bench = at_bench(file)
    if not car:
        _list(bench, as_json=as_json)
        return
    number = int(car) if car.isdecimal() else None
    if number is not None and (kind or steps):
        refuse(f"{car}: a snag's number stands alone; leave {kind} out")
    if number is None and not kind:
        refuse(f"{car}: what happened there? Give a kind of snag, as in broken-fastener")
    found = (
        _numbered(bench, number)
        if number is not None
        else _opened(bench, car, kind, steps or [], words, job, part, tool, danger, today, who, odometer)
    )
    if close is not None:
        from onceapart.bench.entries import SnagClosed

        bench.add(made(SnagClosed, snag=found.opened.id, how=close, who=who))
        print(f"Snag {found.opened.number} is closed.")
        return
    from onceapart.bench.ways import ways_on

    needs_plan = found.opened.part is not None or way is not None
    left = standing(bench, plan, today, needs_plan=needs_plan and not bench.state.ordered).left
    ways = ways_on(bench.work, bench.state, left, found.opened)
    if way is None:
        _show(bench, left, found, ways, as_json=as_json)
        return
    from onceapart.bench.ways_choose import Choice

    choice = Choice(
        time=time_now(today), who=who, minutes=minutes, price=_price(price), odometer=odometer, what=what,
        where=where, system=system, until=None if until is None else day_typed("--until", until),
        distance=distance, speed=speed, stands=stands, signed_by=signed, check=_inputs(check or []),
        recipe=recipe, place=place,
    )  # fmt: skip
    _choose(bench, file, left, found, _way(ways, way), choice)


def _opened(
    bench: Bench,
    car: str,
    kind: str,
    steps: list[str],
    words: str | None,
    job: str | None,
    part: str | None,
    tool: str | None,
    danger: bool | None,
    today: str | None,
    who: str | None,
    odometer: str | None,
) -> Snag:
    """The snag that is meant: one that is open already, or a new one, which is kept."""
    from pydantic import ValidationError

    from onceapart.bench.entries import SnagOpened
    from onceapart.bench.snag import SnagError, kind_of, same_snag, snag_entry

    try:
        entry = snag_entry(
            bench.work, bench.state, car, kind_of(kind), steps, time=time_now(today), words=words, job=job,
            part=part, tool=tool, dangerous=danger, who=who, odometer=odometer,
        )  # fmt: skip
    except SnagError as error:
        refuse(str(error))
    except ValidationError as error:
        one = error.errors(include_url=False)[0]
        refuse(f"{one['loc'][0] if one['loc'] else 'snag'}: {one['msg']}")
    same = same_snag(bench.state, entry)
    if same is not None:
        return same
    before = bench.release(car).is_released
    kept = bench.add(entry)
    assert isinstance(kept, SnagOpened)
    if before and not bench.release(car).is_released:
        from onceapart.cli.screen import say

        say(f"{bench.car(car).name} is NOT RELEASED any more.")
    return _numbered(bench, kept.number)


def _numbered(bench: Bench, number: int) -> Snag:
    found = next((one for one in bench.state.snags if one.opened.number == number), None)
    if found is None:
        numbers = ", ".join(str(one.opened.number) for one in bench.state.open_snags()) or "none"
        refuse(f"{number}: there is no snag with this number; open are {numbers}")
    if not found.is_open and found.closed is not None:
        refuse(f"{number}: this snag is closed ({found.closed.how}); open another if it is not settled")
    return found


def _way(ways: tuple[WayOn, ...], typed: str) -> WayOn:
    """The way that was meant by its number or id."""
    numbers = [one for one in ways if one.number and str(one.number) == typed]
    named = numbers or [one for one in ways if one.way.id == typed]
    if len(named) == 1:
        return named[0]
    if named:
        refuse(f"--way {typed}: there are {len(named)} of these; choose by number")
    last = max((one.number for one in ways), default=0)
    return refuse(f"--way {typed}: there is no such way; they are numbered 1 to {last}")


def _choose(bench: Bench, file: str, left: Left, found: Snag, way: WayOn, choice: Choice) -> None:
    from onceapart.bench.snag import SnagError, where_of
    from onceapart.bench.ways_choose import choose
    from onceapart.cli.snag_page import add_chosen

    where = where_of(bench.work, bench.state, found.opened)
    try:
        chosen = choose(bench.work, bench.state, left, found.opened, where, way, choice)
    except SnagError as error:
        refuse(str(error))
    _write_jobs(file, chosen)
    for entry in chosen.entries:
        bench.add(entry)
    from onceapart.cli.page import Page

    page = Page()
    add_chosen(page, bench, found, way, chosen)
    page.show()


def _write_jobs(file: str, chosen: Chosen) -> None:
    """New jobs go into the file first: a stopgap without its job is worse than the job alone."""
    if not chosen.jobs:
        return
    from pathlib import Path

    from onceapart.cli.files import say_problems
    from onceapart.errors import FileProblemsError
    from onceapart.trade import apply_recipes
    from onceapart.workshop import parse_with_lines
    from onceapart.workshop.files import replace_file
    from onceapart.workshop.insert import with_entries
    from onceapart.workshop.reading import read_bytes

    try:
        was = read_bytes(file)
        text = with_entries(was.decode("utf-8"), "jobs", chosen.jobs, file)
        parsed = parse_with_lines(text, file)
        apply_recipes(parsed.workshop, source=file, line_of=parsed.line_of)
        replace_file(Path(file), text.encode(), was=was)
    except FileProblemsError as error:
        say_problems(error)
        raise typer.Exit(2) from None


def _show(bench: Bench, left: Left, found: Snag, ways: tuple[WayOn, ...], *, as_json: bool) -> None:
    from onceapart.cli.snag_page import add_snag, ways_to_json

    if as_json:
        typer.echo(json.dumps(ways_to_json(bench, found, ways), indent=2, ensure_ascii=False))
        return
    from onceapart.cli.page import Page

    page = Page()
    add_snag(page, bench, left, found, ways)
    page.show()


def _list(bench: Bench, *, as_json: bool) -> None:
    from onceapart.cli.page import Page
    from onceapart.cli.snag_page import add_list, list_to_json

    if as_json:
        typer.echo(json.dumps(list_to_json(bench), indent=2, ensure_ascii=False))
        return
    page = Page()
    add_list(page, bench)
    page.show()


def _price(typed: str | None) -> int | None:
    from onceapart.workshop.money import parse_money

    if typed is None:
        return None
    try:
        return parse_money(typed)
    except ValueError as error:
        refuse(f"--price {typed}: {error}")


def _inputs(typed: list[str]) -> dict[str, str]:
    found = {}
    for one in typed:
        name, equals, value = one.partition("=")
        if not equals:
            refuse(f'--check {one}: a figure has its name; write --check grip="32 mm"')
        found[name.strip()] = value.strip()
    return found
