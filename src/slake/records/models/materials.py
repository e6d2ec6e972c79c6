"""Lots and what is left of them."""

from __future__ import annotations

from django.db import models

from ..checks import LONGEST_NAME, LONGEST_TEXT, between, one_of

ROLES = ["filler", "thickener", "binder", "fibre", "plasticiser", "liquid", "additive", "coat"]
STOCK_WHY = ["came in", "weighed out", "put right", "spilled", "kept as sample", "blended"]


class Lot(models.Model):
    """One delivery of one ingredient, prepared. null is "don't know"; its readings outrank what is stated here."""

    name = models.CharField(max_length=LONGEST_NAME, unique=True)
    ingredient = models.CharField(max_length=LONGEST_NAME, help_text="key of the catalogue, or the person's own name")
    role = models.CharField(max_length=20)
    since = models.DateTimeField()
    sieve_um = models.FloatField(null=True)
    dried = models.BooleanField(null=True)
    moisture_percent = models.FloatField(null=True, help_text="as stated by the person, wet basis, %")
    water_demand = models.FloatField(null=True, help_text="g water per g dry, as stated by the person")
    heat_log = models.JSONField(default=list, help_text="[[minutes, C], ...] as logged")
    note = models.CharField(max_length=LONGEST_TEXT, blank=True)
    revision = models.PositiveIntegerField(default=1)

    class Meta:
        ordering = ["id"]
        constraints = [
            one_of("lot_role", "role", ROLES),
            between("lot_sieve", "sieve_um", 1, 20000),
            between("lot_moisture", "moisture_percent", 0, 99),
            between("lot_water_demand", "water_demand", 0, 20),
        ]

    def __str__(self) -> str:
        return self.name


class StockMove(models.Model):
    """Grams in or out of a lot, as received. Append-only; the stock is their sum."""

    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="moves")
    grams = models.FloatField()
    why = models.CharField(max_length=20)
    at = models.DateTimeField()
    batch = models.ForeignKey("records.Batch", on_delete=models.PROTECT, null=True, related_name="moves")
    note = models.CharField(max_length=LONGEST_TEXT, blank=True)
    entry = models.CharField(max_length=64, unique=True)

    class Meta:
        ordering = ["id"]
        constraints = [one_of("stock_why", "why", STOCK_WHY), between("stock_grams", "grams", -1e6, 1e6)]
