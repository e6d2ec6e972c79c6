"""Batches that a person wants left out of what slake learns, and taken in again."""

from __future__ import annotations

from django.db import models
from django.db.models import CheckConstraint, Q

from ..checks import LONGEST_TEXT
from .bench import Person
from .mixing import Batch


class BatchStrike(models.Model):
    """A line through a whole batch with its reason, or (`undone`) its end. Append-only; the last of a batch stands."""

    batch = models.ForeignKey(Batch, on_delete=models.PROTECT, related_name="strikes")
    undone = models.BooleanField(default=False)
    reason = models.CharField(max_length=LONGEST_TEXT)
    at = models.DateTimeField()
    person = models.ForeignKey(Person, on_delete=models.PROTECT, null=True)
    entry = models.CharField(max_length=64, unique=True)

    class Meta:
        ordering = ["id"]
        constraints = [CheckConstraint(name="batch_strike_has_reason", condition=~Q(reason=""))]
