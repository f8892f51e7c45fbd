"""``onceapart record``: what was done, what it took, and what is open."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Annotated

import typer

from onceapart.cli.record_bench import Bench, File, WhoOption, at_bench, made, refuse, why_words

if TYPE_CHECKING:
    from onceapart.bench.state import State

LABEL = 7


def add_to(app: typer.Typer) -> None:
    """Add the command."""
    app.command("record")(record)


def record(
    file: File,
    every: Annotated[bool, typer.Option("--all", help="List every entry.")] = False,
    note: Annotated[str | None, typer.Option("--note", metavar="WORDS", help="Add a note.")] = None,
    strike: Annotated[
        int | None,
        typer.Option(
            "--strike", metavar="N", help="Entry N does not count; needs --why. It stays where it is."
        ),
    ] = None,
    why: Annotated[str | None, typer.Option("--why", metavar="WORDS", help="Why it does not count.")] = None,
    mend: Annotated[
        bool, typer.Option("--mend", help="Make a damaged record usable; the damaged file is kept beside it.")
    ] = False,
    who: WhoOption = None,
    as_json: Annotated[
        bool, typer.Option("--json", help="Print the entries as JSON and nothing else.")
    ] = False,
) -> None:
    """Show the hours, the money and all that is open.

    The record stands beside the workshop file, as mine.record.jsonl beside mine.yaml. It is only ever added
    to; an entry that was wrong is struck by another.
    """
    if mend:
        _mend(file)
        return
    bench = at_bench(file)
    if note is not None:
        from onceapart.bench.entries import Noted

        bench.add(made(Noted, words=note, who=who))
    if strike is not None:
        _strike(bench, strike, why, who)
    if as_json:
        typer.echo(
            json.dumps(
                [one.model_dump(mode="json", exclude_none=True) for one in bench.entries],
                indent=2,
                ensure_ascii=False,
            )
        )
    elif every:
        _list(bench)
    else:
        _show(bench)


def _mend(file: str) -> None:
    from onceapart.bench.record import RecordError, RecordFile, record_path
    from onceapart.cli.files import UNUSABLE, say_problems
    from onceapart.cli.screen import say
    from onceapart.errors import FileProblemsError

    try:
        mended = RecordFile(record_path(file)).mend()
    except FileProblemsError as error:
        say_problems(error)
        raise typer.Exit(UNUSABLE) from None
    except RecordError as error:
        refuse(str(error))
    if mended is None:
        print("The record is sound; there was nothing to mend.")
        return
    say(
        f"The record can be used again. The damaged file is kept as {mended.kept_as}; every car is to be "
        "checked and released anew."
    )


def _strike(bench: Bench, number: int, why: str | None, who: str | None) -> None:
    from onceapart.bench.entries import Corrected

    if not why:
        refuse("--strike: a correction has its reason; give --why WORDS")
    found = next((one for one in bench.entries if one.number == number), None)
    if found is None:
        refuse(f"{number}: there is no such entry; `onceapart record FILE --all` lists them")
    bench.add(made(Corrected, entry=found.id, why=why, who=who))


def _list(bench: Bench) -> None:
    from onceapart.bench.entries_words import entry_words
    from onceapart.bench.state import dead_ids
    from onceapart.cli.page import Page

    page, dead = Page(), dead_ids(bench.entries)
    numbers = {one.id: one.number for one in bench.entries}
    for one in bench.entries:
        struck = "(struck) " if one.id in dead else ""
        by = f", {one.who}" if one.who else ""
        text = f"{one.time:%Y-%m-%d %H:%M}  {struck}{entry_words(one, numbers)}{by}"
        page.fact(f"{one.number:4}", text, 4)
    if not bench.entries:
        page.line("", "There is no entry yet.")
    page.show()


def _show(bench: Bench) -> None:
    from onceapart.cli.page import Page
    from onceapart.cli.words import count

    page, state = Page(), bench.state
    last = f", the last of {bench.entries[-1].time:%Y-%m-%d %H:%M}" if bench.entries else ""
    page.heading(
        f"{bench.workshop.name}: the record", f"{count(len(bench.entries), 'entry', 'entries')}{last}"
    )
    page.fact("Hours", _hours(state), LABEL)
    page.fact("Money", _money(bench, state), LABEL)
    page.items("Done", list(state.jobs_done()), LABEL)
    page.items("Off", [*state.off, *(f"{one} (raised)" for one in state.raised)], LABEL)
    for car in bench.workshop.cars:
        found = bench.release(car.id)
        page.heading(f"{car.name}: {found.status if found.is_released else found.status.upper()}")
        snags = [
            f"snag: {one.opened.snag}, {one.opened.words}" + (" (dangerous)" if one.opened.dangerous else "")
            for one in state.open_snags(car.id)
        ]
        page.sentences([*why_words(found), *snags, *found.stopgaps, *(str(one) for one in found.follow_ups)])
    if state.doubts:
        page.heading("Entries that do not count")
        page.sentences([f"entry {one.entry.number} ({one.entry.kind}): {one.why}" for one in state.doubts])
    page.show()


def _hours(state: State) -> str:
    from onceapart.cli.words import hours

    jobs = dict.fromkeys(one.job for one in state.spells if one.job)
    parts = [f"{job} {hours(state.minutes_worked(job=job))}" for job in jobs]
    running = [one for one in state.spells if one.stop is None]
    if running:
        parts.append(f"the clock runs since {running[-1].start:%Y-%m-%d %H:%M}")
    total = hours(state.minutes_worked())
    return f"{total} ({', '.join(parts)})" if parts else total


def _money(bench: Bench, state: State) -> str:
    """What was ordered with its delivery, what came without an order and had a price, ways out of snags."""
    from onceapart.cli.words import money

    offers = {one.offer for one in state.ordered if one.offer is not None}
    parts = {
        "ordered": sum(one.price + one.delivery for one in state.ordered),
        "parts that came": sum(one.price or 0 for one in state.arrived if one.offer not in offers),
        "snags": sum(way.price or 0 for snag in state.snags for way in snag.ways),
    }
    currency = bench.workshop.currency
    said = [f"{name} {money(amount, currency)}" for name, amount in parts.items() if amount]
    total = money(sum(parts.values()), currency)
    return f"{total} ({', '.join(said)})" if len(said) > 1 else total
