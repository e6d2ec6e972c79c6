"""The actions log, proposals as given, and every further field a recipe may carry."""

from __future__ import annotations

from django.db import models

from ..checks import LONGEST_NAME, LONGEST_TEXT
from .bench import Person


class Action(models.Model):
    """One thing a person did, written in the same transaction as what it changed. `entry` makes it happen once."""

    name = models.CharField(max_length=LONGEST_NAME)
    person = models.ForeignKey(Person, on_delete=models.PROTECT, null=True)
    entry = models.CharField(max_length=64, unique=True)
    at = models.DateTimeField()
    inputs = models.JSONField()
    answer = models.JSONField(default=dict)
    version = models.CharField(max_length=20)
    checksum = models.CharField(max_length=64, blank=True, help_text="SHA-256 of the file or text that came in")

    class Meta:
        ordering = ["-id"]


class ProposalGiven(models.Model):
    """A proposal as it was given, with the version that gave it; never recomputed."""

    at = models.DateTimeField()
    seen = models.CharField(max_length=64, help_text="checksum of the evidence it was made from")
    inputs = models.JSONField()
    answer = models.JSONField()
    version = models.CharField(max_length=20)

    class Meta:
        ordering = ["id"]


class VerdictGiven(models.Model):
    """What was said of a paste on a machine before it was loaded, with the version that said it; never recomputed."""

    at = models.DateTimeField()
    batch = models.ForeignKey("records.Batch", on_delete=models.PROTECT, null=True, related_name="verdicts")
    inputs = models.JSONField()
    answer = models.JSONField()
    version = models.CharField(max_length=20)

    class Meta:
        ordering = ["id"]


class Detail(models.Model):
    """One further field of a lot, recipe, batch or machine, declared in campaign/passport.toml; none is forced.

    Append-only: the last row of a field stands.
    """

    subject = models.CharField(max_length=20)
    subject_id = models.PositiveBigIntegerField()
    field = models.CharField(max_length=LONGEST_NAME)
    text = models.CharField(max_length=LONGEST_TEXT)
    value_si = models.FloatField(null=True)
    unit = models.CharField(max_length=20, blank=True)
    at = models.DateTimeField()
    person = models.ForeignKey(Person, on_delete=models.PROTECT, null=True)

    class Meta:
        ordering = ["id"]
        indexes = [models.Index(fields=["subject", "subject_id"])]
