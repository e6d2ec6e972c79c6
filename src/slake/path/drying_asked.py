"""A drying plan asked in typed texts: what is typed, else what is known of the batch, else what is usual, and wide."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from slake.ground.evidence import Range
from slake.ground.numbers import Limits, is_open, read_optional
from slake.ground.problems import DoesNotFit, Problem
from slake.ground.units import from_si, to_si
from slake.paste.drying import most_linear_shrinkage
from slake.paste.drying_schedule import Told
from slake.paste.drying_unknowns import (
    ANY_M_S,
    FAN_M_S,
    GRIPS_CLOSED,
    GRIPS_OPEN,
    HEATER,
    NO_HEATER,
    STILL_M_S,
    Bed,
    Drying,
    Piece,
    Room,
    WetPaste,
)
from slake.paste.drying_weighed import Weighed

from .drying_kinds import OF_KIND, PRACTICE, Kind, KnownPaste

ROWS = 6
OPEN = "or leave it open"
NUMBERS = {
    "wall_mm": ("thickness of the wall", Limits(low=0.5, high=60, unit="mm", do=OPEN)),
    "base_mm": ("thickness of the base", Limits(low=0.5, high=60, unit="mm", do=OPEN)),
    "height_mm": ("height of the wall", Limits(low=2, high=1500, unit="mm", do=OPEN)),
    "across_mm": ("how far it reaches across the bed", Limits(low=5, high=1500, unit="mm", do=OPEN)),
    "air_c": ("temperature of the air", Limits(low=2, high=55, unit="C", do=OPEN)),
    "humidity_percent": ("humidity of the air", Limits(low=5, high=92, unit="%", do="in damper air it hardly dries")),
    "water_percent": ("water in the paste, % of its mass", Limits(low=8, high=90, unit="%", do=OPEN)),
    "shrinkage_percent": ("how much shorter it dries", Limits(low=0.05, high=35, unit="%", do=OPEN)),
    "first_percent": ("water in the first bead", Limits(low=5, high=92, unit="%", do=OPEN)),
    "last_percent": ("water in the last bead", Limits(low=5, high=92, unit="%", do=OPEN)),
    "covered_h": ("hours covered", Limits(low=0, high=2000, unit="h", do=OPEN)),
    "freed_h": ("hours until it is turned", Limits(low=0, high=2000, unit="h", do=OPEN)),
    "tray_g": ("tray under it", Limits(low=0, high=20000, unit="g", do="weigh the empty tray, or leave it open")),
    "step_g": ("step of the scale", Limits(low=0.001, high=50, unit="g", do="read the last digit it shows")),
}
HOURS = Limits(low=0, high=5000, unit="h", do="count from when the last bead was laid")
GRAMS = Limits(low=0.05, high=50000, unit="g", do="weigh it once more")
SHAPES = {
    "pot": "walls on a base, such as a pot",
    "ring": "walls without a base, such as a tube",
    "tile": "lies flat, such as a tile",
}
DRAUGHTS = {"still": "still", "fan": "a fan on it"}
BEDS = {"open": "mesh, grid or porous bat: air or bed takes water from below", "closed": "film, glass or plate: closed"}
KINDS = {"mineral": "mostly shell or other mineral", "plant": "mostly plant: grain, leaves, coffee, peel"}
HEATERS = {"yes": "yes", "no": "no"}
CHOICES: Mapping[str, tuple[str, Mapping[str, str]]] = {
    "shape": ("what it is", SHAPES),
    "draught": ("air around it", DRAUGHTS),
    "bed": ("what it lies on", BEDS),
    "kind": ("what the paste is made of", KINDS),
    "heater": ("a heater at the nozzle", HEATERS),
}

USUAL_WALL_M = Range(low=to_si(2, "mm"), mid=to_si(4, "mm"), high=to_si(8, "mm"))
USUAL_AIR_K = Range(low=to_si(15.5, "C"), mid=to_si(20, "C"), high=to_si(25, "C"))
USUAL_HUMIDITY = Range(low=0.35, mid=0.5, high=0.65)
THERMOMETER_K, HYGROMETER, WALL_TIMES, WATER_POINTS, SHRINKAGE_POINTS = 1.0, 0.04, 1.07, 0.015, 0.003
BEAD_POINTS = 0.005
"""How far typed figures may be off (80 %): a thermometer, a cheap hygrometer, a wall, water weighed out, a bar."""
USUAL_STEP_KG, MOST_SHRUNK = to_si(0.1, "g"), 0.38


@dataclass(frozen=True, kw_only=True)
class Asked:
    """The question, and for each number the words that say where it comes from."""

    drying: Drying
    told: Told
    weighed: Weighed | None
    basis: Mapping[str, str]


def asked_of(typed: Mapping[str, str], known: KnownPaste | None = None) -> Asked:
    """Texts as typed (unit as in NUMBERS), every one of which may be open. Raises Problem, one sentence."""
    known = known or KnownPaste()
    said = {name: _si(typed, name) for name in NUMBERS}
    word = {name: _word(typed, name) for name in CHOICES}
    found = _Sources(said=said, known=known, kind=OF_KIND[word["kind"] or known.kind], basis={})
    piece = _piece(found, word["shape"])
    paste = _paste(found, word["heater"])
    drying = Drying(room=_room(found, word["draught"]), paste=paste, piece=piece, bed=_bed(found, word["bed"]))
    told = Told(covered_s=said["covered_h"], freed_s=said["freed_h"])
    return Asked(drying=drying, told=told, weighed=weighings_of(typed, said), basis=found.basis)


def _si(typed: Mapping[str, str], name: str) -> float | None:
    what, limits = NUMBERS[name]
    value = read_optional(typed.get(name), what, limits)
    return None if value is None else to_si(value, limits.unit)


def _word(typed: Mapping[str, str], name: str) -> str:
    what, words = CHOICES[name]
    text = typed.get(name, "").strip().lower()
    if is_open(text):
        return ""
    if text not in words:
        raise Problem(f"{what} is “{text[:20]}”: choose one of {', '.join(words)}, or leave it open")
    return text


@dataclass(frozen=True, kw_only=True)
class _Sources:
    said: Mapping[str, float | None]
    known: KnownPaste
    kind: Kind
    basis: dict[str, str]

    def of(self, what: str, typed: Range | None, usual: Range) -> Range:
        """Typed before known before usual; says where from."""
        if typed is not None:
            self.basis[what] = "as typed"
            return typed
        if what in self.known.told:
            self.basis[what] = self.known.told[what].basis
            return self.known.told[what].range
        self.basis[what] = f"not known, so wide: {PRACTICE}"
        return usual


def _times(value: float | None, times: float) -> Range | None:
    return None if value is None else Range(low=value / times, mid=value, high=value * times)


def _plus(value: float | None, more: float, least: float) -> Range | None:
    return None if value is None else Range(low=max(value - more, least), mid=value, high=value + more)


def _room(found: _Sources, draught: str) -> Room:
    air_k = found.of("air", _plus(found.said["air_c"], THERMOMETER_K, 0.0), USUAL_AIR_K)
    humidity = found.of("humidity", _plus(found.said["humidity_percent"], HYGROMETER, 0.02), USUAL_HUMIDITY)
    speed = {"still": STILL_M_S, "fan": FAN_M_S, "": ANY_M_S}[draught]
    found.basis["speed of the air"] = f"{DRAUGHTS.get(draught, 'not known, so wide')}: {PRACTICE}"
    return Room(temperature_k=air_k, humidity=humidity, speed_m_s=speed)


def _piece(found: _Sources, shape: str) -> Piece:
    wall = found.of("wall", _times(found.said["wall_mm"], WALL_TIMES), USUAL_WALL_M)
    base = _times(found.said["base_mm"], WALL_TIMES) or wall
    found.basis["base"] = "as typed" if found.said["base_mm"] is not None else "taken as thick as the wall"
    return Piece(
        wall_m=None if shape == "tile" else wall,
        base_m=None if shape == "ring" else base,
        height_m=found.said["height_mm"] or to_si(100, "mm"),
        across_m=found.said["across_mm"] or to_si(100, "mm"),
    )


def _bed(found: _Sources, bed: str) -> Bed:
    chance = {"open": 1.0, "closed": 0.0, "": 0.5}[bed]
    found.basis["bed"] = f"{BEDS.get(bed, 'not known: open or closed, one as likely as the other')}; grip: {PRACTICE}"
    return Bed(open_chance=chance, grips=GRIPS_OPEN if bed == "open" else GRIPS_CLOSED)


def _paste(found: _Sources, heater: str) -> WetPaste:
    water = found.of("water", _wet(found.said["water_percent"]), _dry_basis(found.kind.water))
    shrinkage = found.of(
        "shrinkage", _plus(found.said["shrinkage_percent"], SHRINKAGE_POINTS, 1e-4), found.kind.shrinkage
    )
    density = found.of("density", None, found.kind.density_kg_m3)
    _require_room_for(shrinkage, water, density)
    found.basis["heater at the nozzle"] = f"{HEATERS.get(heater, 'not known, taken as none')}: {PRACTICE}"
    return WetPaste(
        water_per_dry=water,
        density_kg_m3=density,
        shrinkage=Range(**{side: min(getattr(shrinkage, side), MOST_SHRUNK) for side in ("low", "mid", "high")}),
        half_humid=found.of("water it keeps in half-humid air", None, found.kind.half_humid),
        first_wetter=found.of("first bead and last", _beads(found.said), _even(water)),
        grades=found.known.grades,
        heater=HEATER if heater == "yes" else NO_HEATER,
    )


def _require_room_for(shrinkage: Range, water: Range, density: Range) -> None:
    """Raises DoesNotFit where it would lose more volume than it holds water."""
    most = most_linear_shrinkage(water.high, density.high)
    if shrinkage.low > most:
        raise DoesNotFit(
            f"it dries {from_si(shrinkage.mid, '%'):.3g} % shorter, but with this water it can lose at most "
            f"{from_si(most, '%'):.3g} %: check the bar, or the water"
        )


def _wet(wet_basis: float | None) -> Range | None:
    around = _plus(wet_basis, WATER_POINTS, 0.02)
    return None if around is None else _dry_basis(around)


def _dry_basis(wet: Range) -> Range:
    return Range(**{side: getattr(wet, side) / (1 - getattr(wet, side)) for side in ("low", "mid", "high")})


def _even(water: Range) -> Range:
    """Nobody read the beads: alike to half a point of water on either side."""
    return linear_between(-BEAD_POINTS, BEAD_POINTS, water.mid)


def linear_between(low: float, high: float, water_per_dry: float) -> Range:
    """A span of wet-basis moistures as water per dry solids, about a paste of this water."""
    per = (1 + water_per_dry) ** 2
    return Range(low=low * per, mid=0.5 * (low + high) * per, high=high * per)


def _beads(said: Mapping[str, float | None]) -> Range | None:
    first, last = said["first_percent"], said["last_percent"]
    if first is None or last is None:
        if first is not last:
            raise DoesNotFit("water was given for one of first and last bead: give both, or leave both open")
        return None
    apart = first - last
    return linear_between(apart - BEAD_POINTS, apart + BEAD_POINTS, 0.5 * (first + last) / (1 - 0.5 * (first + last)))


def weighings_of(typed: Mapping[str, str], said: Mapping[str, float | None]) -> Weighed | None:
    """Weighings typed as hours_1, grams_1 and so on, tray taken off; None where none is typed."""
    at_s, masses, tray = [], [], said["tray_g"] or 0.0
    for n in range(1, ROWS + 1):
        hours = read_optional(typed.get(f"hours_{n}"), f"hours of weighing {n}", HOURS)
        grams = read_optional(typed.get(f"grams_{n}"), f"grams of weighing {n}", GRAMS)
        if (hours is None) != (grams is None):
            raise DoesNotFit(f"weighing {n} has {'no hours' if hours is None else 'no grams'}: give both or neither")
        if hours is not None and grams is not None:
            at_s.append(to_si(hours, "h"))
            masses.append(to_si(grams, "g") - tray)
    if not at_s:
        return None
    if min(masses) <= 0:
        raise DoesNotFit(f"piece and tray weigh no more than the tray, {from_si(tray, 'g'):g} g: weigh both again")
    step = said["step_g"] or USUAL_STEP_KG
    return Weighed(at_s=tuple(at_s), mass_kg=tuple(masses), mass_sd_kg=step / 6**0.5)
