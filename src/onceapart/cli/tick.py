"""``onceapart tick``: note steps as done, values measured, torques set, and hours."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from onceapart.cli.record_bench import Bench, File, OdometerOption, WhoOption, at_bench, made, refuse

if TYPE_CHECKING:
    from onceapart.bench.state_steps import KnownStep


def add_to(app: typer.Typer) -> None:
    """Add the command."""
    app.command("tick")(tick)


def tick(
    file: File,
    steps: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="[STEP[=VALUE]]...",
            help="Steps as the job card names them; a job's id is all of it. With a value, what was "
            "measured, or the torque that was set; none lists the steps there are.",
            show_default=False,
        ),
    ] = None,
    undo: Annotated[bool, typer.Option("--undo", help="Open the steps again, put back as it was.")] = False,
    start: Annotated[
        bool, typer.Option("--start", help="The clock starts, on a job if one is named.")
    ] = False,
    stop: Annotated[bool, typer.Option("--stop", help="The clock stops.")] = False,
    stint: Annotated[
        str | None,
        typer.Option("--stint", metavar="DATE", help="The stint's date or id; today's date for the clock."),
    ] = None,
    who: WhoOption = None,
    odometer: OdometerOption = None,
) -> None:
    """Note steps as done, with what was measured.

    `onceapart tick mine.yaml off:wren/front-left/wheel wren-window` notes a wheel as off and a whole job as
    done; `measure:wren-discs:run-out="0.05 mm"` a value, `on:wren/front-left/wheel="110 Nm"` a torque.
    Nothing is ever overwritten: --undo adds that a step is open again. New work takes back a release.
    """
    if start and stop:
        refuse("--start and --stop: the clock does one of the two; give one")
    bench = at_bench(file)
    if start or stop:
        _clock(bench, steps or [], is_start=start, stint=stint, who=who)
    elif steps:
        _tick(bench, steps, undo=undo, stint=stint, who=who, odometer=odometer)
    else:
        _list(bench)


def _tick(
    bench: Bench, steps: list[str], *, undo: bool, stint: str | None, who: str | None, odometer: str | None
) -> None:
    from onceapart.bench.entries import Entry, MeasuredValue, Ticked, Tightened, Unticked
    from onceapart.cli.screen import say

    wanted = _known(bench, steps)
    entries: list[Entry] = []
    for step, value in wanted:
        common = {"car": step.car, "step": step.id, "stint": stint, "who": who, "odometer": odometer}
        if undo:
            if value:
                refuse(f"{step.id}={value}: --undo takes no value; leave it out")
            entries.append(made(Unticked, **common))
            continue
        if value:
            _check_value(step, value)
        if value and step.measures:
            entries.append(made(MeasuredValue, value=value, **common))
        elif value:
            fastener = step.id.partition(":")[2]
            entries.append(made(Tightened, fastener=fastener, torque=value, **common))
        elif step.measures:
            refuse(f'{step.id}: a value is wanted; write {step.id}="{_example(step)}"')
        entries.append(made(Ticked, **common))
    cars = dict.fromkeys(step.car for step, _ in wanted)
    released = [car for car in cars if bench.release(car).is_released]
    for entry in entries:
        kept = bench.add(entry)
        if isinstance(kept, Ticked | Unticked):
            print(f"{kept.number:4}  {kept.kind}  {kept.step}")
    doubts = [one for one in bench.state.doubts if one.entry.id in {entry.id for entry in entries}]
    for doubt in doubts:
        say(f"entry {doubt.entry.number} does not count: {doubt.why}")
    for car in released:
        found = bench.release(car)
        if not found.is_released:
            say(f"{bench.car(car).name} is NOT RELEASED any more: {found.why[-1]}.")


def _known(bench: Bench, steps: list[str]) -> list[tuple[KnownStep, str]]:
    """The steps named, with their values; exits with all that are not known."""
    from onceapart.bench.state_steps import known_steps, unknown_step
    from onceapart.cli.screen import say

    known = known_steps(bench.work)
    found, unknown = [], []
    for one in steps:
        name, _, value = one.partition("=")
        step = known.get(name) or known.get(f"do:{name}")
        if step is None:
            unknown.append(unknown_step(name, known))
        else:
            found.append((step, value.strip()))
    for message in unknown:
        say(message)
    if unknown:
        refuse("nothing was noted")
    return found


def _check_value(step: KnownStep, value: str) -> None:
    """Exit if a value is not a quantity of the kind that is measured, with its unit."""
    from onceapart.errors import QuantityError
    from onceapart.sums.quantity import parse_quantity
    from onceapart.sums.units import KINDS

    kind = step.measures.quantity if step.measures else "torque"
    if kind not in KINDS:
        return
    try:
        has_unit = parse_quantity(value, KINDS[kind][0], kind).has_typed_unit
    except QuantityError as error:
        refuse(f"{step.id}: {error}")
    if not has_unit:
        refuse(f'{step.id}={value}: a value has its unit; write {step.id}="{_example(step)}"')


def _example(step: KnownStep) -> str:
    return f"9.8 {step.measures.unit}" if step.measures else "110 Nm"


def _clock(bench: Bench, jobs: list[str], *, is_start: bool, stint: str | None, who: str | None) -> None:
    from onceapart.bench.entries import Started, Stopped
    from onceapart.bench.entries import now as now_here
    from onceapart.workshop.values import nearest

    known = [job.id for job in bench.workshop.jobs]
    for job in jobs:
        if job not in known:
            near = nearest(job, known)
            refuse(
                f"{job}: there is no job with this id; "
                + (f"did you mean {near}?" if near else f"there is {', '.join(known)}")
            )
    kind = Started if is_start else Stopped
    named_jobs: list[str | None] = [*jobs] or [None]
    for name in named_jobs:
        named = {"job": name, "stint": stint or now_here().date().isoformat(), "who": who}
        kept = bench.add(made(kind, **named))
        doubts = [one.why for one in bench.state.doubts if one.entry.id == kept.id]
        if doubts:
            refuse(f"entry {kept.number} does not count: {doubts[0]}")
        print(f"{kept.number:4}  {kept.kind} at {kept.time:%H:%M}" + (f"  {name}" if name else ""))


def _list(bench: Bench) -> None:
    from onceapart.bench.state_steps import known_steps
    from onceapart.cli.page import Page

    page, state = Page(), bench.state
    page.heading(f"{bench.workshop.name}: steps")
    under = None
    for step in known_steps(bench.work).values():
        kind, _, what = step.id.partition(":")
        subject = step.job or what
        if subject != under and kind != "aftercare":
            page.heading(subject)
            under = subject
        if kind == "aftercare" and under != kind:
            page.heading("aftercare")
            under = kind
        is_done = step.id in state.done or (step.job and kind == "do" and state.is_job_done(step.job))
        page.line("", f"[{'x' if is_done else ' '}] {step.id}", indent=1)
    page.show()
