"""The bench itself: who, which machine, which brief, what room."""

from __future__ import annotations

from django.db import models

from ..checks import LONGEST_NAME, LONGEST_TEXT, between, rises


class Person(models.Model):
    """Somebody who works here; picked once per device, no account."""

    name = models.CharField(max_length=LONGEST_NAME, unique=True)
    since = models.DateTimeField()

    def __str__(self) -> str:
        return self.name


class Machine(models.Model):
    """A printer as it is from `since` on. A change is a new row with the same name: a dated revision."""

    name = models.CharField(max_length=LONGEST_NAME)
    since = models.DateTimeField()
    nozzle_mm = models.FloatField()
    barrel_mm = models.FloatField()
    land_mm = models.FloatField(null=True)
    force_n = models.FloatField(null=True)
    pushed_cone_mm = models.FloatField(null=True, help_text="the stiffest paste it pushed, as a fall cone reading")
    stalled_cone_mm = models.FloatField(null=True, help_text="the paste that stalled it, as a fall cone reading")
    layer_height_mm = models.FloatField(null=True)
    cartridge_ml = models.FloatField(null=True)
    motor_torque_nm = models.FloatField(null=True)
    screw_lead_mm = models.FloatField(null=True)
    drive_efficiency_percent = models.FloatField(null=True)
    ring_friction_n = models.FloatField(null=True, help_text="to push the empty, wetted ram")
    fill_mm = models.FloatField(null=True, help_text="length of paste in a full barrel")
    bead_speed_mm_s = models.FloatField(null=True)
    bead_width_mm = models.FloatField(null=True)
    fixtures = models.CharField(max_length=LONGEST_TEXT, blank=True, help_text="bed, heater, fan")
    changed = models.CharField(max_length=LONGEST_TEXT, blank=True, help_text="what is new in this revision")
    note = models.CharField(max_length=LONGEST_TEXT, blank=True)

    class Meta:
        ordering = ["since", "id"]
        constraints = [
            between("machine_torque", "motor_torque_nm", 0.001, 1000),
            between("machine_screw_lead", "screw_lead_mm", 0.1, 200),
            between("machine_efficiency", "drive_efficiency_percent", 1, 100),
            between("machine_ring", "ring_friction_n", 0, 5000),
            between("machine_fill", "fill_mm", 1, 2000),
            between("machine_speed", "bead_speed_mm_s", 0.1, 500),
            between("machine_bead", "bead_width_mm", 0.1, 60),
            between("machine_nozzle", "nozzle_mm", 0.1, 20),
            between("machine_barrel", "barrel_mm", 2, 300),
            between("machine_land", "land_mm", 0, 200),
            between("machine_force", "force_n", 1, 50000),
            between("machine_pushed", "pushed_cone_mm", 0.5, 60),
            between("machine_stalled", "stalled_cone_mm", 0.5, 60),
            between("machine_layer", "layer_height_mm", 0.05, 20),
            between("machine_cartridge", "cartridge_ml", 1, 20000),
        ]

    def __str__(self) -> str:
        return f"{self.name}: nozzle {self.nozzle_mm:g} mm, barrel {self.barrel_mm:g} mm"


class Brief(models.Model):
    """What the paste must do from `since` on: one window per row of Window."""

    since = models.DateTimeField()
    words = models.CharField(max_length=LONGEST_TEXT, blank=True)
    typical = models.BooleanField(default=False, help_text="made by slake from typical windows, not by a person")

    class Meta:
        ordering = ["since", "id"]


class Window(models.Model):
    """One line of a brief: a reading's name and the window it must fall in, in that reading's bench unit."""

    brief = models.ForeignKey(Brief, on_delete=models.PROTECT, related_name="windows")
    reading = models.CharField(max_length=LONGEST_NAME)
    low = models.FloatField(null=True)
    high = models.FloatField(null=True)

    class Meta:
        ordering = ["id"]
        constraints = [
            rises("window_rises", "low", "high"),
            between("window_low", "low", -1e9, 1e9),
            between("window_high", "high", -1e9, 1e9),
            models.UniqueConstraint(fields=["brief", "reading"], name="window_once"),
        ]


class Room(models.Model):
    """Air and water of the bench as last said: asked once, kept with each batch that follows."""

    since = models.DateTimeField()
    temperature_c = models.FloatField(null=True)
    humidity_percent = models.FloatField(null=True)
    water_hardness_mg_l = models.FloatField(null=True)

    class Meta:
        ordering = ["since", "id"]
        constraints = [
            between("room_temperature", "temperature_c", -10, 60),
            between("room_humidity", "humidity_percent", 0, 100),
            between("room_hardness", "water_hardness_mg_l", 0, 2000),
        ]
