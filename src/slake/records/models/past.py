"""Tables people bring of their own past, readings a lab declares itself, and work that takes long."""

from __future__ import annotations

from django.db import models
from django.db.models import CheckConstraint, Q

from ..checks import LONGEST_NAME, LONGEST_TEXT, between, one_of, rises
from .bench import Person

JOB_STATES = ["waiting", "running", "done", "refused", "interrupted", "cancelled"]


class Sheet(models.Model):
    """A file as it came in, kept byte for byte under its checksum. Append-only."""

    name = models.CharField(max_length=LONGEST_NAME)
    sha256 = models.CharField(max_length=64, unique=True)
    content = models.BinaryField()
    at = models.DateTimeField()
    person = models.ForeignKey(Person, on_delete=models.PROTECT, null=True)

    class Meta:
        ordering = ["id"]


class OwnTest(models.Model):
    """A reading a lab declares itself, as data: a name, a unit, where its scale ends, what it tells of."""

    key = models.CharField(max_length=LONGEST_NAME, unique=True)
    title = models.CharField(max_length=LONGEST_NAME)
    unit = models.CharField(max_length=20, blank=True)
    about = models.CharField(max_length=20)
    floor = models.FloatField(null=True)
    ceiling = models.FloatField(null=True)
    informs = models.CharField(max_length=LONGEST_NAME, blank=True, help_text="key of names.toml, or a plain number")
    scatter = models.FloatField(null=True, help_text="one reading against the next, in its unit")
    note = models.CharField(max_length=LONGEST_TEXT, blank=True)
    since = models.DateTimeField()

    class Meta:
        ordering = ["id"]
        constraints = [
            one_of("own_test_about", "about", ["batch", "lot"]),
            rises("own_test_rises", "floor", "ceiling"),
            between("own_test_floor", "floor", -1e9, 1e9),
            between("own_test_ceiling", "ceiling", -1e9, 1e9),
            between("own_test_scatter", "scatter", 0, 1e9),
        ]

    def __str__(self) -> str:
        return self.title


class OwnTestStrike(models.Model):
    """A line through a reading a lab declared, with the reason: it is read no more. Append-only."""

    own = models.OneToOneField(OwnTest, on_delete=models.PROTECT, related_name="strike")
    reason = models.CharField(max_length=LONGEST_TEXT)
    at = models.DateTimeField()
    person = models.ForeignKey(Person, on_delete=models.PROTECT, null=True)
    entry = models.CharField(max_length=64, unique=True)

    class Meta:
        ordering = ["id"]
        constraints = [CheckConstraint(name="own_test_strike_has_reason", condition=~Q(reason=""))]


class Job(models.Model):
    """Work that takes long, and how far it is."""

    kind = models.CharField(max_length=LONGEST_NAME)
    inputs = models.JSONField()
    state = models.CharField(max_length=20, default="waiting")
    done = models.PositiveIntegerField(default=0)
    total = models.PositiveIntegerField(default=0)
    words = models.CharField(max_length=LONGEST_TEXT, blank=True, help_text="what it is at, or why it ended")
    answer = models.JSONField(default=dict)
    worker = models.PositiveIntegerField(null=True, help_text="process that works on it")
    asked_at = models.DateTimeField()
    seen_at = models.DateTimeField(null=True, help_text="when its worker last wrote")
    ended_at = models.DateTimeField(null=True)
    person = models.ForeignKey(Person, on_delete=models.PROTECT, null=True)
    entry = models.CharField(max_length=64, unique=True)

    class Meta:
        ordering = ["id"]
        constraints = [one_of("job_state", "state", JOB_STATES)]
