"""What leaves the bowl again, and the timed steps done at it."""

from __future__ import annotations

from django.db import models

from ..checks import LONGEST_NAME, LONGEST_TEXT, between, one_of
from .bench import Person
from .mixing import Batch

TAKEN_WHY = ["test", "cartridge", "spilled", "thrown away", "put right"]


class Taken(models.Model):
    """Paste taken out of the bowl, in grams. Append-only; below zero puts back what was written too much."""

    batch = models.ForeignKey(Batch, on_delete=models.PROTECT, related_name="taken")
    grams = models.FloatField()
    why = models.CharField(max_length=20)
    note = models.CharField(max_length=LONGEST_TEXT, blank=True, help_text="which cartridge, which test")
    typed = models.CharField(max_length=LONGEST_NAME)
    at = models.DateTimeField()
    person = models.ForeignKey(Person, on_delete=models.PROTECT, null=True)
    entry = models.CharField(max_length=64, unique=True)

    class Meta:
        ordering = ["at", "id"]
        constraints = [one_of("taken_why", "why", TAKEN_WHY), between("taken_grams", "grams", -1e6, 1e6)]


class StepDone(models.Model):
    """A timed step of a batch, done at `at`; said late it carries its own time. Append-only; the last one stands."""

    batch = models.ForeignKey(Batch, on_delete=models.PROTECT, related_name="steps_done")
    step = models.CharField(max_length=LONGEST_NAME)
    undone = models.BooleanField(default=False)
    at = models.DateTimeField()
    person = models.ForeignKey(Person, on_delete=models.PROTECT, null=True)
    entry = models.CharField(max_length=64, unique=True)

    class Meta:
        ordering = ["id"]
