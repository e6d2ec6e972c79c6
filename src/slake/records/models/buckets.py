"""Waste as it comes in, before it is a lot; and lots made of other lots."""

from __future__ import annotations

from django.db import models
from django.db.models import CheckConstraint, Q

from ..checks import LONGEST_NAME, LONGEST_TEXT, between, one_of
from .bench import Person
from .materials import Lot

DECISIONS = ["waiting", "accepted", "refused"]


class Bucket(models.Model):
    """One bucket of fresh waste: taken or refused, and the lot it became. null is "don't know"."""

    source = models.CharField(max_length=LONGEST_NAME)
    ingredient = models.CharField(max_length=LONGEST_NAME, help_text="key of the catalogue, or the person's own name")
    role = models.CharField(max_length=20)
    since = models.DateTimeField(help_text="when it stood at the door")
    wet_g = models.FloatField()
    hours_old = models.FloatField(null=True, help_text="since the waste was made, at `since`")
    moisture_percent = models.FloatField(null=True, help_text="as stated by the person, wet basis, %")
    temperature_c = models.FloatField(null=True, help_text="where it is kept")
    decision = models.CharField(max_length=20, default="waiting")
    reason = models.CharField(max_length=LONGEST_TEXT, blank=True)
    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, null=True, related_name="buckets")
    note = models.CharField(max_length=LONGEST_TEXT, blank=True)
    revision = models.PositiveIntegerField(default=1)

    class Meta:
        ordering = ["id"]
        constraints = [
            one_of("bucket_decision", "decision", DECISIONS),
            between("bucket_wet", "wet_g", 0, 1e7),
            between("bucket_age", "hours_old", 0, 1e5),
            between("bucket_moisture", "moisture_percent", 0, 99),
            between("bucket_temperature", "temperature_c", -40, 80),
        ]

    def __str__(self) -> str:
        return f"bucket {self.pk}"


class BucketWeighing(models.Model):
    """One weighing of a bucket on its way to powder: while it is cleaned, baked or dried. Append-only."""

    bucket = models.ForeignKey(Bucket, on_delete=models.PROTECT, related_name="weighings")
    step = models.CharField(max_length=LONGEST_NAME, help_text="what is being done to it")
    grams = models.FloatField()
    typed = models.CharField(max_length=LONGEST_NAME)
    at = models.DateTimeField()
    person = models.ForeignKey(Person, on_delete=models.PROTECT, null=True)
    entry = models.CharField(max_length=64, unique=True)

    class Meta:
        ordering = ["at", "id"]
        constraints = [between("bucket_weighing_grams", "grams", 0, 1e7)]


class BucketStrike(models.Model):
    """A line through one weighing of a bucket, with the reason. Append-only."""

    weighing = models.OneToOneField(BucketWeighing, on_delete=models.PROTECT, related_name="strike")
    reason = models.CharField(max_length=LONGEST_TEXT)
    at = models.DateTimeField()
    person = models.ForeignKey(Person, on_delete=models.PROTECT, null=True)
    entry = models.CharField(max_length=64, unique=True)

    class Meta:
        ordering = ["id"]
        constraints = [CheckConstraint(name="bucket_strike_has_reason", condition=~Q(reason=""))]


class Blend(models.Model):
    """How much of one lot went into another. Append-only: a blend keeps all its parents."""

    child = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="parents")
    parent = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="children")
    grams = models.FloatField(help_text="as received, of the parent")
    at = models.DateTimeField()
    entry = models.CharField(max_length=64, unique=True)

    class Meta:
        ordering = ["id"]
        constraints = [between("blend_grams", "grams", 0, 1e6)]
