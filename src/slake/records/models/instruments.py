"""What readings are taken with, each with its log of checks against something known."""

from __future__ import annotations

from django.db import models

from ..checks import LONGEST_NAME, LONGEST_TEXT, between, one_of
from .bench import Person

INSTRUMENT_KINDS = ["cone", "syringe", "cylinder", "bowl", "scale", "calipers", "other"]


class Instrument(models.Model):
    """An instrument as it is from `since` on. A change (new ballast, worn tip) is a new row with the same name."""

    name = models.CharField(max_length=LONGEST_NAME)
    kind = models.CharField(max_length=20)
    since = models.DateTimeField()
    facts = models.JSONField(default=dict, help_text="as typed: {input of a bench test or tare_g, step_g: text}")
    note = models.CharField(max_length=LONGEST_TEXT, blank=True)

    class Meta:
        ordering = ["since", "id"]
        constraints = [one_of("instrument_kind", "kind", INSTRUMENT_KINDS)]

    def __str__(self) -> str:
        return self.name


class InstrumentCheck(models.Model):
    """What an instrument showed of something known, such as a coin or a check weight. Append-only."""

    instrument = models.ForeignKey(Instrument, on_delete=models.PROTECT, related_name="checks")
    known = models.FloatField(help_text="what it should show")
    shown = models.FloatField(help_text="what it showed")
    unit = models.CharField(max_length=20)
    typed = models.JSONField(help_text="both as typed")
    at = models.DateTimeField()
    person = models.ForeignKey(Person, on_delete=models.PROTECT, null=True)
    entry = models.CharField(max_length=64, unique=True)

    class Meta:
        ordering = ["at", "id"]
        constraints = [
            between("instrument_check_known", "known", -1e6, 1e6),
            between("instrument_check_shown", "shown", -1e6, 1e6),
        ]
