"""What stands in for a number nobody gave: usual values, wide. Common practice, no source, unless a line says else."""

from __future__ import annotations

import math

from slake.ground.evidence import Z80
from slake.ground.units import to_si
from slake.paste.ageing import POT_LIFE_GROWTH
from slake.paste.ram import DRIVE_HIGH, DRIVE_LOW

from .spread import Spread, between

YIELD_STRESS = Spread(mid=1000.0, sd_log=0.9)
CONE_SD_LOG = math.log(1.33 / 0.5) / (2 * Z80)
"""Published 30 deg cone factors run from 0.5 to 1.33 (read, cone2019), taken as their 80 % range."""
DENSITY = between(1050.0, 1550.0)
STIFFENING = between(math.log(POT_LIFE_GROWTH) / to_si(4, "h"), math.log(POT_LIFE_GROWTH) / to_si(1, "h"))
"""Pot life: a quarter stiffer after 1 to 4 h. Rate of ln(yield stress) per second."""
MODULUS_PER_YIELD = between(20.0, 1500.0)
"""Stiffness over yield stress of fresh paste; published prints run from about 20 to 1500, taken as the 80 % range."""
AIR = between(0.01, 0.03)
BLEED = Spread(mid=0.007, sd_log=0.9)
WATER_SLOPE = between(2.5, 15.0)
"""Fall of ln(yield stress) per g of water more to each g dry: about 2.5 for cellulose, 13 for shell."""
GRAIN = between(to_si(0.1, "mm"), to_si(0.6, "mm"))
FIBRE_OF_PLANTS = between(to_si(0.3, "mm"), to_si(2.5, "mm"))
"""Of milled grain, leaves and peel nobody looked through; mineral powders have none."""
LAND = between(to_si(8, "mm"), to_si(25, "mm"))
FILL = between(to_si(90, "mm"), to_si(220, "mm"))
SPEED = between(to_si(10, "mm"), to_si(30, "mm"))
RING = between(10.0, 40.0)
FORCE = between(85.0, 270.0)
"""Small screw drives give 165 to 460 N on paper; plan on half of it."""
EFFICIENCY = between(DRIVE_LOW, DRIVE_HIGH)
EFFICIENCY_STATED_SD_LOG = 0.15
FORCE_WEIGHED_SD_LOG = 0.1
BLEED_LIMIT, AIR_LIMIT = 0.02, 0.03
"""Grams of liquid per gram of paste from which it weeps; share of air from which beads have gaps."""
BEAD_PER_NOZZLE = 1.2
"""Width of a bead over the bore it came from; also a wall one bead thick."""
TARGET = 0.8
"""A line holds where its chance is at least this, unless the person says another: slake's ranges hold 8 in 10."""
