"""The sample workshop's pot, made up: a series of radii, the vessel that follows it, its drawing and its toolpath."""

from __future__ import annotations

from importlib.resources import files

from slake.ground.units import to_si
from slake.path.beads import Printer, usual_bead_m
from slake.path.mesh_out import write_3mf
from slake.path.pushing import ram_mm
from slake.path.series import Series, read_series
from slake.path.sizes import Bed
from slake.path.vessel import Vessel, Wished, vessel_from_numbers
from slake.path.writing import write_gcode

NOZZLE_M, BARREL_M = to_si(2, "mm"), to_si(60, "mm")
PRINTER = Printer(
    nozzle_m=NOZZLE_M,
    bead_m=usual_bead_m(NOZZLE_M),
    layer_height_m=to_si(1.2, "mm"),
    speed_m_s=to_si(20, "mm/s"),
    travel_m_s=to_si(60, "mm/s"),
    bed=Bed(x_m=to_si(200, "mm"), y_m=to_si(200, "mm"), z_m=to_si(200, "mm")),
    pushed=ram_mm(BARREL_M),
)
"""The ram printer on the long table (invented), as its record in the story says; speed and bed made up too."""
WISHED = Wished(height_m=to_si(80, "mm"), radius_m=to_si(36, "mm"), swing_m=to_si(6, "mm"))


def pot_numbers() -> Series:
    """Radii from foot to rim, made up."""
    return read_series(files("slake").joinpath("demo/pot.csv").read_bytes())


def pot() -> Vessel:
    """The pot as it is printed wet."""
    return vessel_from_numbers(pot_numbers(), WISHED, PRINTER)


def pot_drawing() -> bytes:
    """The pot as a 3MF. Taken as a drawing it says the size it shall dry to."""
    return write_3mf(pot().mesh, "pot of a made-up workshop")


def pot_toolpath() -> bytes:
    """The pot as G-code: one bead without a travel, E in mm of a 60 mm ram."""
    made = pot()
    return write_gcode([made.run], PRINTER, ("pot of a made-up workshop", *made.says)).encode()
