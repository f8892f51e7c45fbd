"""No way leads to a release with something dangerous open: any sequence of entries, beside a plain model.

The model recounts everything from its own list of what happened, each time from the start and over the whole
of it; it knows no bouts of work, no follow-up classes and nothing of how the program gets there.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field
from typing import Any

from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule
from record_cases import START

from onceapart.bench.entries import (
    CheckAnswered,
    Corrected,
    Entry,
    Limits,
    Noted,
    RecordMended,
    ReleaseAsked,
    ReleaseGranted,
    ReleaseWithdrawn,
    SnagClosed,
    SnagOpened,
    StopgapClosed,
    StopgapFitted,
    StopgapSigned,
    SumCheck,
    Ticked,
    Unticked,
)
from onceapart.bench.release import ReleaseStatus, ask_release, release_of
from onceapart.bench.release_work import work_of
from onceapart.workshop import Access, Car, Job, Workshop

WHEEL, CARD = "wren/front-left/wheel", "wren/door-card"
WORKSHOP = Workshop(
    name="Quay Lane",
    currency="EUR",
    hour_worth=1200,
    cars=(Car(id="wren", name="The Wren"), Car(id="rook", name="The Rook")),
    access=(Access(id=WHEEL, minutes=8), Access(id=CARD, minutes=15)),
    jobs=(
        Job(id="wren-window", car="wren", need="upkeep", minutes=30, access=(CARD,)),
        Job(id="wren-mend", car="wren", need="safety", minutes=30),
        Job(id="rook-window", car="rook", need="upkeep", minutes=30),
    ),
)
WORK = work_of(WORKSHOP)

# Typed by hand: what each piece of work asks for.
ANY_WORK = {"wren/nothing-left", "wren/pedal-hard"}
NOBODY_KNOWS = {"wren/steering-free", "wren/lamps-work", "wren/brakes-slow-try"}
ASKS = {
    WHEEL: {"wren/front-left/wheel-nuts"},
    CARD: set(),
    "wren-window": NOBODY_KNOWS,
    "wren-mend": NOBODY_KNOWS,
    "stopgap": NOBODY_KNOWS,
}
SLOW_TRY = "wren/brakes-slow-try"
CHECKS = sorted(ANY_WORK | NOBODY_KNOWS | ASKS[WHEEL])
RETIGHTEN = "aftercare:wren/retighten-wheels"

BOLT = {"original": "M10x50 8.8", "grip": "32 mm", "holds": "brakes"}
GOOD = SumCheck(sum="bolt-substitute", inputs={**BOLT, "found": "M10x55 10.9"}, verdict="stopgap")
WEAKER = SumCheck(sum="bolt-substitute", inputs={**BOLT, "found": "M10x60 4.6"}, verdict="stopgap")
FOR_A_BRACKET = SumCheck(
    sum="bolt-substitute", inputs={**BOLT, "found": "M10x55 10.9", "holds": "bracket"}, verdict="as good"
)
ANOTHER_SUM = SumCheck(sum="bolt-torque", inputs={}, verdict="as good")


@dataclass
class Happened:
    """One thing that happened, for the model."""

    what: str
    of: str = ""
    day: dt.date = dt.date.min
    dead: bool = False
    more: dict[str, Any] = field(default_factory=dict)


class Model:
    """The plain recount."""

    def __init__(self) -> None:
        self.all: list[Happened] = []

    def live(self) -> list[Happened]:
        return [one for one in self.all if not one.dead]

    def work_at(self) -> dict[str, int]:
        """Piece of work -> when it was last touched."""
        found: dict[str, int] = {}
        for at, one in enumerate(self.all):
            if one.what in ("touch", "stopgap") and not one.dead:
                found[one.of if one.what == "touch" else "stopgap"] = at
        return found

    def due(self) -> dict[str, int]:
        """Check -> the last work that it looks at."""
        found: dict[str, int] = {}
        touched = self.work_at()
        for work, at in touched.items():
            for check in ASKS[work]:
                found[check] = max(at, found.get(check, -1))
        for check in ANY_WORK if touched else ():
            found[check] = max(touched.values())
        return found

    def is_yes(self, check: str, *, until: int | None = None) -> bool:
        answers = [
            (at, one)
            for at, one in enumerate(self.all[:until])
            if one.what == "answer" and one.of == check and not one.dead
        ]
        if not answers or answers[-1][0] < self.due_until(until).get(check, -1):
            return False
        last = answers[-1][1]
        return last.more["answer"] == "yes" and not (check == SLOW_TRY and self.tried_too_early(until))

    def tried_too_early(self, until: int | None = None) -> bool:
        """Whether anything due was not in order when the brakes were last tried with success."""
        tries = [
            (at, one)
            for at, one in enumerate(self.all[:until])
            if one.what == "answer" and one.of == SLOW_TRY and not one.dead
        ]
        if not tries or tries[-1][1].more["answer"] == "no":
            return False
        before = Model()
        before.all = self.all[: tries[-1][0]]
        answers = {one.of: one.more["answer"] for one in before.live() if one.what == "answer"}
        return any(
            other != SLOW_TRY and (answers.get(other) == "no" or not before.is_yes(other))
            for other in {*before.due(), *(name for name, said in answers.items() if said == "no")}
        )

    def due_until(self, until: int | None) -> dict[str, int]:
        part = Model()
        part.all = self.all[:until]
        return part.due()

    def open_of(self, what: str, closing: str) -> list[Happened]:
        closed = {
            one.of
            for at, one in enumerate(self.all)
            if one.what == closing and not one.dead and (what != "stopgap" or self.is_made_good(one.of, at))
        }
        return [one for one in self.live() if one.what == what and one.more["id"] not in closed]

    def is_made_good(self, stopgap: str, until: int) -> bool:
        """Whether the job that makes a stopgap good was done since it went in, and never taken back."""
        since = int(stopgap[1:]) - 1
        return any(
            one.what == "touch" and one.of == "wren-mend" and not one.dead for one in self.all[since:until]
        )

    def danger(self, today: dt.date, km: int) -> list[str]:
        """Why the car must not go, whoever granted what."""
        found = [
            f"snag {one.more['id']}" for one in self.open_of("snag", "snag closed") if one.more["dangerous"]
        ]
        off: dict[str, bool] = {}
        for one in self.live():
            if one.what == "touch" and "off" in one.more:
                off[one.of] = one.more["off"]
        found += [f"{name} is off" for name, is_off in off.items() if is_off]
        for one in self.open_of("stopgap", "stopgap closed"):
            limits, name = one.more["limits"], f"stopgap {one.more['id']}"
            if limits.do_not_drive:
                found.append(f"{name}: not to be driven on")
            if one.more["system"] == "brakes":
                signed = one.more["signed"] or any(
                    each.what == "signed" and each.of == one.more["id"] for each in self.live()
                )
                if one.more["check"] is not GOOD or not signed:
                    found.append(f"{name}: unchecked or unsigned brakes")
            if limits.until is not None and today > limits.until:
                found.append(f"{name}: over its day")
            if limits.distance is not None and km > one.more["km"] + 200:
                found.append(f"{name}: over its distance")
        found += [check for check in self.due() if not self.is_yes(check)]
        if self.tried_too_early():
            found.append("the brakes were tried before all else was in order")
        answers = {one.of: one.more["answer"] for one in self.live() if one.what == "answer"}
        found += [f"{check}: no" for check, answer in answers.items() if answer == "no"]
        return found


class ReleaseMachine(RuleBasedStateMachine):
    """Entries of any kind in any order; after each, the program's word is held to the model's."""

    @initialize()
    def begin(self) -> None:
        self.entries: list[Entry] = []
        self.model = Model()
        self.day, self.minute, self.km = START.date(), 0, 100_000
        self.may_hold = False
        """Whether, by the model, a release was granted with nothing against it and nothing came since."""
        self.doubtful = False
        """Something before that release was corrected: the program may take the release away."""
        self.snags: list[str] = []
        self.stopgaps: list[str] = []
        self.window = False
        self.granted_at: list[int] = []
        """Places of the grants that took effect and still count."""

    def add(self, kind: type, **fields: Any) -> Entry:
        self.minute += 1
        time = START + dt.timedelta(days=(self.day - START.date()).days, minutes=self.minute % 600)
        number = len(self.entries) + 1
        entry: Entry = kind(number=number, id=f"e{number}", time=time, **fields)
        self.entries.append(entry)
        return entry

    def happened(self, what: str, of: str = "", **more: Any) -> None:
        self.model.all.append(Happened(what, of, self.day, more=more))

    def seen(self, *, is_work: bool = False) -> None:
        """The model's word on the release after something that happened."""
        if is_work or self.against():
            self.may_hold = False

    @property
    def retighten_by(self) -> int | None:
        """The odometer by which the wheels that went on before a release are to be tightened again."""
        by, is_loose = None, False
        for at, one in enumerate(self.model.all):
            if one.what == "touch" and one.of == WHEEL and not one.dead:
                is_loose = True
            elif one.what == "mended":  # all that was done before is to be looked at anew
                is_loose |= any(
                    e.what == "touch" and e.of == WHEEL and not e.dead for e in self.model.all[:at]
                )
            elif one.what == "retightened" and not one.dead:
                by = None
            elif at in self.granted_at and is_loose:
                by = None if one.more["km"] is None else one.more["km"] + 100
                is_loose = False
        return by

    def against(self) -> list[str]:
        late = self.retighten_by is not None and self.km > self.retighten_by
        return [*self.model.danger(self.day, self.km), *(["retightening"] if late else [])]

    # What can happen.

    @rule(name=st.sampled_from([WHEEL, CARD]), off=st.booleans())
    def take_off_or_put_on(self, name: str, off: bool) -> None:
        self.add(Ticked, car="wren", step=f"{'off' if off else 'on'}:{name}")
        self.happened("touch", name, off=off)
        self.seen(is_work=True)

    @rule(job=st.sampled_from(["wren-window", "wren-mend"]))
    def do_a_job(self, job: str) -> None:
        self.add(Ticked, car="wren", step=f"do:{job}:work")
        self.happened("touch", job)
        self.seen(is_work=True)

    @precondition(lambda self: any(one.of == "wren-window" for one in self.model.live()))
    @rule()
    def take_a_tick_back(self) -> None:
        before = len([one for one in self.model.live() if one.what == "touch" and one.of == "wren-window"])
        if before:
            done = self.entries and any(
                isinstance(one, Ticked) and one.step == "do:wren-window:work" for one in self.entries
            )
            last = [
                one
                for one in self.entries
                if isinstance(one, Ticked | Unticked) and one.step == "do:wren-window:work"
            ]
            if done and isinstance(last[-1], Ticked) and not self.was_corrected(last[-1]):
                self.add(Unticked, car="wren", step="do:wren-window:work")
                self.happened("touch", "wren-window")
                self.seen(is_work=True)
                return
        self.add(Noted, words="nothing to take back")
        self.happened("note")

    def was_corrected(self, entry: Entry) -> bool:
        return self.model.all[entry.number - 1].dead

    @rule(check=st.sampled_from(CHECKS), answer=st.sampled_from(["yes", "yes", "yes", "no"]))
    def answer(self, check: str, answer: str) -> None:
        self.add(CheckAnswered, car="wren", check=check, answer=answer)
        self.happened("answer", check, answer=answer)
        self.seen()

    @rule()
    def answer_all_in_order(self) -> None:
        for check in sorted(CHECKS, key=lambda one: one == SLOW_TRY):
            self.answer(check, "yes")

    @rule()
    def try_the_brakes_before_looking(self) -> None:
        self.answer(SLOW_TRY, "yes")
        for check in CHECKS:
            if check != SLOW_TRY:
                self.answer(check, "yes")
        self.grant(reads=True)

    @rule()
    def put_all_on(self) -> None:
        self.take_off_or_put_on(WHEEL, off=False)
        self.take_off_or_put_on(CARD, off=False)

    @rule(dangerous=st.booleans())
    def open_a_snag(self, dangerous: bool) -> None:
        entry = self.add(SnagOpened, car="wren", snag="damage found", words="a crack", dangerous=dangerous)
        self.snags.append(entry.id)
        self.happened("snag", dangerous=dangerous, id=entry.id)
        self.seen(is_work=dangerous)

    @precondition(lambda self: self.snags)
    @rule(data=st.data())
    def close_a_snag(self, data: st.DataObject) -> None:
        snag = data.draw(st.sampled_from(self.snags))
        is_open = any(one.more["id"] == snag for one in self.model.open_of("snag", "snag closed"))
        self.add(SnagClosed, snag=snag, how="mended")
        self.happened("snag closed" if is_open else "note", snag)
        self.seen()

    @rule(
        system=st.sampled_from(["brakes", "brakes", "exhaust"]),
        check=st.sampled_from([None, GOOD, GOOD, WEAKER, FOR_A_BRACKET, ANOTHER_SUM]),
        signed=st.booleans(),
        limit=st.sampled_from(["day", "distance", "stand"]),
    )
    def fit_a_stopgap(self, system: str, check: SumCheck | None, signed: bool, limit: str) -> None:
        limits = {
            "day": Limits(until=self.day + dt.timedelta(days=3)),
            "distance": Limits(distance="200 km"),
            "stand": Limits(do_not_drive=True),
        }[limit]
        entry = self.add(
            StopgapFitted, car="wren", what="bolt", where="caliper", system=system, limits=limits,
            job="wren-mend", signed_by="A. Finch" if signed else None, check=check,
            odometer=f"{self.km} km",
        )  # fmt: skip
        self.stopgaps.append(entry.id)
        self.happened(
            "stopgap", id=entry.id, system=system, check=check, signed=signed, limits=limits, km=self.km
        )
        self.seen(is_work=True)

    @precondition(lambda self: self.stopgaps)
    @rule(data=st.data())
    def sign_a_stopgap(self, data: st.DataObject) -> None:
        stopgap = data.draw(st.sampled_from(self.stopgaps))
        self.add(StopgapSigned, stopgap=stopgap, signed_by="B. Heron")
        self.happened("signed", stopgap)
        self.seen()

    @precondition(lambda self: self.stopgaps)
    @rule(data=st.data())
    def close_a_stopgap(self, data: st.DataObject) -> None:
        """It counts only if the job that makes it good was done after it went in."""
        stopgap = data.draw(st.sampled_from(self.stopgaps))
        fitted = int(stopgap[1:]) - 1
        done = any(
            one.what == "touch" and one.of == "wren-mend" and not one.dead for one in self.model.all[fitted:]
        )
        is_open = any(one.more["id"] == stopgap for one in self.model.open_of("stopgap", "stopgap closed"))
        self.add(StopgapClosed, stopgap=stopgap, by="wren-mend")
        self.happened("stopgap closed" if done and is_open else "note", stopgap)
        self.seen()

    @rule()
    def make_a_stopgap_good(self) -> None:
        self.do_a_job("wren-mend")
        for stopgap in self.model.open_of("stopgap", "stopgap closed"):
            self.add(StopgapClosed, stopgap=stopgap.more["id"], by="do:wren-mend:work")
            self.happened("stopgap closed", stopgap.more["id"])
        self.seen()

    @rule()
    def ask(self) -> None:
        asked = ask_release(self.entries, "wren", WORK, START)
        self.add(ReleaseAsked, car="wren", checks=asked.checks)
        self.happened("note")

    @rule(reads=st.sampled_from([True, True, False]))
    def grant(self, reads: bool) -> None:
        distance = any(one.more["limits"].distance for one in self.model.open_of("stopgap", "stopgap closed"))
        ok = not self.against() and (reads or not distance)
        self.add(ReleaseGranted, car="wren", who="A. Finch", odometer=f"{self.km} km" if reads else None)
        self.happened("granted", km=self.km if reads else None)
        if ok:
            self.may_hold, self.doubtful = True, False
            self.granted_at.append(len(self.model.all) - 1)
        else:
            self.may_hold = False

    @rule()
    def all_is_well_and_granted(self) -> None:
        """The usual end of a day; without it few sequences would come to a release at all."""
        for snag in self.model.open_of("snag", "snag closed"):
            self.close(snag.more["id"])
        self.make_a_stopgap_good()
        self.put_all_on()
        self.answer_all_in_order()
        self.retighten()
        self.grant(reads=True)
        assert self.may_hold

    def close(self, snag: str) -> None:
        self.add(SnagClosed, snag=snag, how="mended")
        self.happened("snag closed", snag)

    @rule()
    def withdraw(self) -> None:
        self.add(ReleaseWithdrawn, car="wren", why="a noise")
        self.happened("note")
        self.may_hold = False

    @rule()
    def retighten(self) -> None:
        self.add(Ticked, car="wren", step=RETIGHTEN)
        self.happened("retightened")
        self.seen()

    @rule(days=st.integers(1, 2), km=st.sampled_from([0, 60, 120]))
    def time_goes_by(self, days: int, km: int) -> None:
        self.day += dt.timedelta(days=days)
        self.km += km
        self.add(Noted, words="on the road", car="wren", odometer=f"{self.km} km")
        self.happened("note")
        self.seen()

    @precondition(lambda self: self.entries)
    @rule(data=st.data())
    def correct(self, data: st.DataObject) -> None:
        """Any entry but a correction is said not to count; what it had brought about is taken back."""
        newest = len(self.entries)
        number = newest - data.draw(st.integers(0, min(newest, 12) - 1) | st.integers(0, newest - 1))
        target = self.entries[number - 1]
        if isinstance(target, Corrected | RecordMended | StopgapClosed | SnagClosed):
            return
        self.add(Corrected, entry=target.id, why="a slip")
        self.model.all[number - 1].dead = True
        self.happened("note")
        self.doubtful = True
        if isinstance(target, ReleaseGranted):
            self.may_hold = False
        if not isinstance(target, Noted | ReleaseAsked) and getattr(target, "car", "wren") == "wren":
            # A release that was given after what is corrected does not count any more.
            self.granted_at = [at for at in self.granted_at if at < number - 1]
        self.seen()

    @rule()
    def mend(self) -> None:
        """A damaged record was mended: nothing answered before counts any more."""
        self.add(RecordMended, lines=(3,), kept_as="garage.record.jsonl.damaged-1")
        for one in self.model.all:
            one.dead |= one.what == "answer"
        self.happened("mended")
        self.may_hold = False

    @rule(what=st.sampled_from(["off", "snag", "no"]))
    def something_on_the_other_car(self, what: str) -> None:
        if what == "off":
            self.add(Ticked, car="rook", step="off:rook/front-left/wheel")
        elif what == "snag":
            self.add(SnagOpened, car="rook", snag="damage found", words="rust", dangerous=True)
        else:
            self.add(CheckAnswered, car="rook", check="rook/pedal-hard", answer="no")
        self.happened("note")

    # What must hold.

    @invariant()
    def nothing_dangerous_is_ever_released(self) -> None:
        if not self.entries:
            return
        found = release_of(self.entries, "wren", WORK, self.day, f"{self.km} km")
        danger = self.model.danger(self.day, self.km)
        if found.is_released:
            assert not danger
            assert not found.why
            assert not found.against
            if not self.doubtful:
                assert self.may_hold
                assert self.retighten_by is None or self.km <= self.retighten_by
        else:
            assert found.why, "a car that is not released says why"
            if not self.doubtful:
                assert not self.may_hold or self.against(), found.why
        assert len(found.stopgaps) >= len(self.model.open_of("stopgap", "stopgap closed"))
        due = self.retighten_by is not None
        if found.is_released and not self.doubtful and due:
            assert found.status is ReleaseStatus.FOLLOW_UPS


TestReleaseMachine = ReleaseMachine.TestCase
TestReleaseMachine.settings = settings(max_examples=100, stateful_step_count=30, deadline=None)


def test_the_sum_behind_the_machine_says_what_the_model_takes_for_granted() -> None:
    from onceapart.bench.stopgap import run_check

    assert run_check(GOOD.inputs).verdict == "stopgap"
    assert run_check(WEAKER.inputs).verdict == "not usable"
