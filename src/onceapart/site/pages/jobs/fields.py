"""The form of a job: why it is there, and where it is done otherwise than its recipe says."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.http import QueryDict

from onceapart.errors import Problem
from onceapart.site.pages.forms import Field, Form, shown
from onceapart.site.pages.jobs.names import Names
from onceapart.workshop import Job, Workshop
from onceapart.workshop.offers_in import free_id
from onceapart.workshop.values import suggest_id

NEEDS = (
    ("inspection", "inspection"),
    ("safety", "safety"),
    ("upkeep", "upkeep"),
    ("wish", "wish"),
)
WHY = (
    Field(
        "need",
        "Why it is there",
        "choice",
        "Inspection and safety jobs must be done. Upkeep and wishes may be left where they do not pay.",
        choices=NEEDS,
        wanted=True,
    ),
    Field(
        "worth",
        "What having it done is worth to you",
        "money",
        "For upkeep and wishes: the plan does them where they cost less than that.",
    ),
    Field(
        "by",
        "To be done by",
        "date",
        "Left empty: for the inspection its day, else any day.",
    ),
)
MINUTES = Field(
    "minutes", "How long it takes", "minutes", "As in 45 min or 1 h 30. Without what comes off for it."
)
BETWEEN = Field("between", "In a good and in a bad case", "two", "Minutes, as in 30 to 90.")
OWN = ("access", "parts", "tools", "aftercare")
"""What a recipe brings and a job may have otherwise."""
PARTS_HINT = "One a line, with the pieces behind: door speaker: 2"


@dataclass(frozen=True)
class Choice:
    """Something that can be ticked."""

    value: str
    label: str
    is_on: bool


@dataclass(frozen=True)
class Part:
    """A part of the form that a recipe fills in, unless it is ``own``."""

    key: str
    label: str
    hint: str
    is_own: bool
    choices: tuple[Choice, ...]
    other: Field
    """What is typed besides what can be ticked."""
    from_recipe: tuple[str, ...]
    """What the recipe brings, in words."""

    @property
    def has_problem(self) -> bool:
        return bool(self.other.problems)


class JobForm:
    """The form of one job.

    Parameters
    ----------
    applied : Workshop
        With its recipes applied.
    names : Names
    car : str
        Car of the job.
    of : Job, optional
        The job as it is in the file; without it a new one, written out by hand.
    brought : Job, optional
        The same job with only what its recipe brings.
    typed : QueryDict, optional
    """

    def __init__(
        self,
        applied: Workshop,
        names: Names,
        car: str,
        *,
        of: Job | None = None,
        brought: Job | None = None,
        typed: QueryDict | None = None,
    ) -> None:
        self.applied, self.names, self.car, self.of, self.brought = applied, names, car, of, brought
        self.has_recipe = of is not None and of.recipe is not None
        self.title_typed = str(typed.get("title", "")) if typed is not None else ""
        self._own = self._owned(typed)
        self._parts_typed = None if typed is None else typed.get("parts", "").replace("\r\n", "\n")
        fields = (*WHY, MINUTES, BETWEEN, *(self._field(key) for key in (*OWN, "after")))
        fixed: dict[str, Any] = {} if of is not None else {"car": car, "id": self._new_id()}
        ready = None if typed is None else self._ready(typed)
        self.form: Form[Job] = Form(Job, fields, typed=ready, of=of, fixed=fixed)
        if typed is None and of is None:
            self.form.set_typed("need", "upkeep")
        if typed is not None and of is None and not suggest_id(self.title_typed):
            self.form.others.append(_no_title())
            self.form.model = None
        if self._parts_typed is not None and "parts" in self._own:
            self.form.set_typed("parts", self._parts_typed)
        self._make_own()

    def _owned(self, typed: QueryDict | None) -> set[str]:
        if not self.has_recipe:
            return set(OWN)
        if typed is not None:
            return {key for key in OWN if typed.get(f"own_{key}") == "own"}
        assert self.of is not None
        return {key for key in OWN if key in self.of.overrides}

    def _field(self, key: str) -> Field:
        if key == "parts":
            return Field(key, "Parts", "pairs", PARTS_HINT)
        return Field(key, key.capitalize(), "words")

    def _ready(self, typed: QueryDict) -> QueryDict:
        """What was typed, with names made into ids of this car, and without what is left to the recipe."""
        ready = typed.copy()
        for key in OWN:
            if key not in self._own:
                ready.setlist(key, [])
        if "access" in self._own:
            ready.setlist(
                "access", self._ids(typed.getlist("access"), {one.id for one in self.applied.access})
            )
        if "aftercare" in self._own:
            known = {one.id for one in self.applied.aftercare}
            ready.setlist("aftercare", self._ids(typed.getlist("aftercare"), known))
        if "tools" in self._own:
            ready.setlist("tools", self._ids(typed.getlist("tools"), set(), of_car=False))
        if "parts" in self._own:
            ready["parts"] = self._part_lines(typed.get("parts", ""))
        return ready

    def _ids(self, typed: Sequence[str], known: set[str], *, of_car: bool = True) -> list[str]:
        found: dict[str, None] = {}
        for text in typed:
            for word in re.split(r"[,;\n]+", text):
                name = suggest_id(word.strip()) if word.strip() else ""
                if name and of_car and name not in known and not name.startswith(f"{self.car}/"):
                    name = f"{self.car}/{name}"
                if name or word.strip():
                    found.setdefault(name or word.strip())
        return list(found)

    def _part_lines(self, text: str) -> str:
        lines = []
        known = {part for job in self.applied.jobs for part in job.parts} | {*self.applied.shelf}
        known |= {part for offer in self.applied.offers for part in offer.parts}
        for line in text.replace("\r\n", "\n").split("\n"):
            name, colon, pieces = line.rpartition(":")
            name = name.strip() if colon else line.strip()
            if not name:
                lines.append(line)
                continue
            made = suggest_id(name) or name
            if made not in known and not made.startswith(f"{self.car}/"):
                made = f"{self.car}/{made}"
            lines.append(f"{made}: {pieces.strip() if colon else 1}")
        return "\n".join(lines)

    def _new_id(self) -> str:
        wanted = "-".join([self.car, suggest_id(self.title_typed).replace("/", "-") or "job"])
        return free_id(wanted, {job.id for job in self.applied.jobs})

    def _make_own(self) -> None:
        """Say outright that there is nothing, where the recipe would bring something."""
        model = self.form.model
        if model is None or not self.has_recipe:
            return
        nothing: dict[str, Any] = {"parts": {}, "access": (), "tools": (), "aftercare": ()}
        empty = {key: nothing[key] for key in self._own if key not in model.model_fields_set}
        self.form.model = model.model_copy(update=empty)

    @property
    def model(self) -> Job | None:
        return self.form.model

    @property
    def parts(self) -> tuple[Part, ...]:
        """What a recipe may bring, as it is shown."""
        return tuple(self._part(key) for key in OWN)

    @property
    def after(self) -> Part:
        """Jobs that come before it, to be ticked."""
        return self._part("after")

    def _part(self, key: str) -> Part:
        field = self.form[key]
        known = self._known(key)
        own = key in self._own or key == "after"
        typed = field.typed if own else self._brought_text(key)
        if key == "parts" and not own and self._parts_typed:  # left to the library, and not lost all the same
            typed = self._parts_typed
        words = [word for word in re.split(r"[,;\s]+", typed) if word] if key != "parts" else []
        ticked = [word for word in words if word in known]
        others = [word for word in words if word not in known]
        other = Field(
            key, _LABELS[key][1], "long" if key == "parts" else "text", _LABELS[key][2],
            typed=typed if key == "parts" else ", ".join(others), problems=field.problems,
        )  # fmt: skip
        return Part(
            key,
            _LABELS[key][0],
            _LABELS[key][2],
            own,
            tuple(Choice(value, label, value in ticked) for value, label in known.items()),
            other,
            self._brought_words(key),
        )

    def _known(self, key: str) -> Mapping[str, str]:
        names, mine = self.names, f"{self.car}/"
        if key == "access":
            return {one.id: names.access(one.id) for one in self.applied.access if one.id.startswith(mine)}
        if key == "aftercare":
            return {
                one.id: names.aftercare(one.id) for one in self.applied.aftercare if one.id.startswith(mine)
            }
        if key == "tools":
            return {one.id: names.tool(one.id) for one in self.applied.tools}
        if key == "after":
            me = self.of.id if self.of else ""
            return {
                job.id: names.job(job.id) for job in self.applied.jobs if job.car == self.car and job.id != me
            }
        return {}

    def _brought_text(self, key: str) -> str:
        if self.brought is None:
            return ""
        return shown(getattr(self.brought, key), "pairs" if key == "parts" else "words")

    def _brought_words(self, key: str) -> tuple[str, ...]:
        if self.brought is None or key == "after":
            return ()
        values = getattr(self.brought, key)
        if key == "parts":
            return tuple(f"{pieces} × {self.names.part(part)}" for part, pieces in values.items())
        say = {"access": self.names.access, "aftercare": self.names.aftercare, "tools": self.names.tool}[key]
        return tuple(say(value) for value in values)


_LABELS: Mapping[str, tuple[str, str, str]] = {
    "access": ("What comes off for it", "Something else", "What must be off before that follows by itself."),
    "parts": ("Parts", "Parts and pieces", PARTS_HINT),
    "tools": ("Special tools", "Another tool", ""),
    "aftercare": ("Aftercare", "Other aftercare", ""),
    "after": ("What has to be done before it", "Another job", ""),
}  # fmt: skip


def _no_title() -> Problem:
    return Problem(
        None, "What is to be done", "", "it has no name yet", "say what is to be done, in a few words"
    )
