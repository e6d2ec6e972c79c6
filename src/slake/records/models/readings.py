"""Readings and outcomes: raw as typed, append-only; struck through with a reason, never erased."""

from __future__ import annotations

from django.db import models
from django.db.models import CheckConstraint, Q

from ..checks import LONGEST_NAME, LONGEST_TEXT, between
from .bench import Person
from .instruments import Instrument
from .materials import Lot
from .mixing import Batch, Weighing


class Reading(models.Model):
    """One reading of a declared test. `typed` is what was typed; the headline columns can be rebuilt from it."""

    test = models.CharField(max_length=LONGEST_NAME)
    test_version = models.PositiveIntegerField()
    batch = models.ForeignKey(Batch, on_delete=models.PROTECT, null=True, related_name="readings")
    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, null=True, related_name="readings")
    instrument = models.ForeignKey(Instrument, on_delete=models.PROTECT, null=True, related_name="readings")
    typed = models.JSONField(help_text='{"fields": {name: text}, "rows": [{name: text}], "units": {name: unit}}')
    age_s = models.FloatField(null=True, help_text="paste age at the reading, since first water")
    at = models.DateTimeField()
    person = models.ForeignKey(Person, on_delete=models.PROTECT, null=True)
    entry = models.CharField(max_length=64, unique=True)
    headline_name = models.CharField(max_length=LONGEST_NAME)
    headline_value = models.FloatField()
    headline_unit = models.CharField(max_length=20, blank=True)
    headline_words = models.CharField(max_length=LONGEST_NAME, blank=True)

    class Meta:
        ordering = ["at", "id"]
        indexes = [models.Index(fields=["test", "at"])]
        constraints = [
            between("reading_value", "headline_value", -1e12, 1e12),
            between("reading_age", "age_s", 0, 1e8),
            CheckConstraint(
                name="reading_of_one_thing",
                condition=Q(batch__isnull=False, lot__isnull=True) | Q(batch__isnull=True, lot__isnull=False),
            ),
        ]


class Outcome(models.Model):
    """How a batch ended, in the person's words and as slake read them. The last one that stands counts."""

    batch = models.ForeignKey(Batch, on_delete=models.PROTECT, related_name="outcomes")
    words = models.CharField(max_length=LONGEST_TEXT)
    at = models.DateTimeField()
    person = models.ForeignKey(Person, on_delete=models.PROTECT, null=True)
    entry = models.CharField(max_length=64, unique=True)

    class Meta:
        ordering = ["at", "id"]


class Strike(models.Model):
    """A line through one reading, weighing or outcome, with the reason and, where there is one, what replaces it."""

    reading = models.OneToOneField(Reading, on_delete=models.PROTECT, null=True, related_name="strike")
    weighing = models.OneToOneField(Weighing, on_delete=models.PROTECT, null=True, related_name="strike")
    outcome = models.OneToOneField(Outcome, on_delete=models.PROTECT, null=True, related_name="strike")
    reason = models.CharField(max_length=LONGEST_TEXT)
    at = models.DateTimeField()
    person = models.ForeignKey(Person, on_delete=models.PROTECT, null=True)
    entry = models.CharField(max_length=64, unique=True)

    class Meta:
        constraints = [
            CheckConstraint(
                name="strike_one_thing",
                condition=Q(reading__isnull=False, weighing__isnull=True, outcome__isnull=True)
                | Q(reading__isnull=True, weighing__isnull=False, outcome__isnull=True)
                | Q(reading__isnull=True, weighing__isnull=True, outcome__isnull=False),
            ),
            CheckConstraint(name="strike_has_reason", condition=~Q(reason="")),
        ]
