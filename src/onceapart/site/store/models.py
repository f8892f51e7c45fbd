"""What the site keeps. The workshop as a row of whole versions, the record as entries that only grow.

A version holds the text of a workshop file, so that export and import are the same thing as keeping, any
two versions can be compared, and nothing is lost by a change.
"""

from __future__ import annotations

import zlib

from django.db import models


class Version(models.Model):
    """The workshop after a change. Versions are numbered without gaps and never changed."""

    number = models.PositiveIntegerField(primary_key=True)
    at = models.DateTimeField()
    who = models.CharField(max_length=60, blank=True)
    what = models.CharField(max_length=300)
    """The change in words, as the list of changes shows it."""
    packed = models.BinaryField()
    """Text of the workshop file, compressed."""
    undoes = models.OneToOneField(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="undone_by"
    )
    """The change that this one takes back."""

    class Meta:
        ordering = ("number",)

    def __str__(self) -> str:
        return f"version {self.number}: {self.what}"

    @property
    def text(self) -> str:
        """The workshop file."""
        return zlib.decompress(bytes(self.packed)).decode()


class RecordEntry(models.Model):
    """An entry of the record. Rows are added and never changed."""

    number = models.PositiveIntegerField(primary_key=True)
    uid = models.CharField(max_length=64, unique=True)
    kind = models.CharField(max_length=40, db_index=True)
    data = models.JSONField()

    class Meta:
        ordering = ("number",)

    def __str__(self) -> str:
        return f"entry {self.number}: {self.kind}"


class PlanRun(models.Model):
    """A plan asked for: from what, how far it is, what came of it. Shown again, it is read, not solved."""

    class Stage(models.TextChoices):
        WAITING = "waiting"
        RUNNING = "running"
        DONE = "done"
        STOPPED = "stopped"
        FAILED = "failed"

    asked_at = models.DateTimeField()
    today = models.DateField(null=True)
    """The day that orders are placed on; None in a row from before this was kept."""
    started_at = models.DateTimeField(null=True, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True)
    version = models.ForeignKey(Version, on_delete=models.PROTECT, related_name="runs")
    """The workshop it is a plan of."""
    record_number = models.PositiveIntegerField(default=0)
    """Entries of the record that were taken into account."""
    follows = models.ForeignKey(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="followed_by"
    )
    """The plan that was worked by when it was asked for, where work had begun."""
    aim = models.CharField(max_length=20)
    wishes = models.JSONField(default=dict)
    """What was wished besides (see ``wishes``)."""
    stage = models.CharField(max_length=10, choices=Stage.choices, default=Stage.WAITING)
    is_stop_asked = models.BooleanField(default=False)
    progress = models.JSONField(default=dict)
    """What the search said last: ``stage``, ``best`` and ``bound`` of the figure it makes small."""
    result = models.JSONField(null=True, blank=True)
    """The plan file, with cost, bound and status."""
    why = models.TextField(blank=True)
    """Why it failed, in words."""
    program = models.CharField(max_length=80, blank=True)
    """Versions of the program and the solver that made it."""
    is_chosen = models.BooleanField(default=False)
    """Whether this is the plan that is worked by."""

    class Meta:
        ordering = ("-asked_at", "-pk")

    def __str__(self) -> str:
        return f"plan run {self.pk}: {self.aim}, {self.stage}"

    @property
    def is_over(self) -> bool:
        """Whether nothing more comes of it."""
        return self.stage in (self.Stage.DONE, self.Stage.STOPPED, self.Stage.FAILED)

    @property
    def has_plan(self) -> bool:
        """Whether it found one."""
        return bool(self.result and "stints" in self.result)


class Photo(models.Model):
    """A photo, re-encoded; its file is named by its contents."""

    name = models.CharField(max_length=255, unique=True)
    """What findings and entries call it."""
    digest = models.CharField(max_length=64)
    width = models.PositiveIntegerField()
    height = models.PositiveIntegerField()
    at = models.DateTimeField()
    removed_at = models.DateTimeField(null=True, blank=True)


class KeptSum(models.Model):
    """A sum worked out for a car and kept with it."""

    car = models.CharField(max_length=100, db_index=True)
    name = models.CharField(max_length=80)
    given = models.JSONField()
    result = models.JSONField()
    note = models.CharField(max_length=200, blank=True)
    at = models.DateTimeField()
    removed_at = models.DateTimeField(null=True, blank=True)
