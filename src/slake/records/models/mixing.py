"""Recipes, batches, what was to be weighed and what was weighed."""

from __future__ import annotations

from django.db import models

from ..checks import LONGEST_NAME, LONGEST_TEXT, between
from .bench import Machine, Person
from .materials import Lot


class Recipe(models.Model):
    """Parts by dry mass (they sum to 1) and water per dry solids. Never changed: a change is a child."""

    name = models.CharField(max_length=LONGEST_NAME)
    parent = models.ForeignKey("self", on_delete=models.PROTECT, null=True, related_name="children")
    since = models.DateTimeField()
    parts = models.JSONField(help_text="{ingredient: dry mass part}")
    water_per_dry = models.FloatField()

    class Meta:
        ordering = ["id"]
        constraints = [between("recipe_water", "water_per_dry", 0, 50)]

    def __str__(self) -> str:
        return self.name


class Batch(models.Model):
    """One mixing of a recipe from named lots. Its clock starts at first water contact."""

    number = models.PositiveIntegerField(unique=True)
    recipe = models.ForeignKey(Recipe, on_delete=models.PROTECT, related_name="batches")
    machine = models.ForeignKey(Machine, on_delete=models.PROTECT, null=True)
    since = models.DateTimeField()
    first_water_at = models.DateTimeField(null=True)
    temperature_c = models.FloatField(null=True)
    humidity_percent = models.FloatField(null=True)
    water_g = models.FloatField(help_text="water to add in all, after what the lots carry in")
    held_back_g = models.FloatField(default=0, help_text="part of water_g that waits for the first reading")
    bowl_tare_g = models.FloatField(null=True)
    bowl = models.ForeignKey("records.Instrument", on_delete=models.PROTECT, null=True, related_name="batches")
    called = models.CharField(max_length=LONGEST_NAME, blank=True, help_text="the person's own name for it")
    from_notebook = models.BooleanField(default=False)
    since_told = models.BooleanField(default=True, help_text="false: its day is that of the typing")
    typed_line = models.CharField(max_length=LONGEST_TEXT, blank=True)
    proposal = models.ForeignKey("records.ProposalGiven", on_delete=models.PROTECT, null=True, related_name="batches")
    note = models.CharField(max_length=LONGEST_TEXT, blank=True)
    revision = models.PositiveIntegerField(default=1)

    class Meta:
        ordering = ["number"]
        constraints = [
            between("batch_water", "water_g", 0, 1e6),
            between("batch_held", "held_back_g", 0, 1e6),
            between("batch_temperature", "temperature_c", -10, 60),
            between("batch_humidity", "humidity_percent", 0, 100),
        ]

    def __str__(self) -> str:
        return f"batch {self.number}"


class Amount(models.Model):
    """What of which lot a batch is to get, in grams as received, in the order to add it. lot null = water."""

    batch = models.ForeignKey(Batch, on_delete=models.PROTECT, related_name="amounts")
    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, null=True)
    order = models.PositiveIntegerField()
    target_g = models.FloatField()
    step = models.CharField(max_length=LONGEST_TEXT, blank=True, help_text="how to add it, one sentence")
    held_back = models.BooleanField(default=False, help_text="water that waits for the first reading")

    class Meta:
        ordering = ["order"]
        constraints = [
            between("amount_target", "target_g", 0, 1e6),
            models.UniqueConstraint(fields=["batch", "order"], name="amount_order_once"),
        ]


class Weighing(models.Model):
    """Grams that went into the bowl. Append-only; struck through with a reason, never erased. lot null = water."""

    batch = models.ForeignKey(Batch, on_delete=models.PROTECT, related_name="weighings")
    amount = models.ForeignKey(Amount, on_delete=models.PROTECT, null=True, related_name="weighings")
    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, null=True)
    grams = models.FloatField()
    typed = models.CharField(max_length=LONGEST_NAME)
    at = models.DateTimeField()
    person = models.ForeignKey(Person, on_delete=models.PROTECT, null=True)
    entry = models.CharField(max_length=64, unique=True)

    class Meta:
        ordering = ["at", "id"]
        constraints = [between("weighing_grams", "grams", 0, 1e6)]
