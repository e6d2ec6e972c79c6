"""What a proposal needs of a notebook: what was told, and the belief and the aim that follow from it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

from slake.bench.comparing import Ends
from slake.ground.problems import Problem

from .belief import Belief
from .brief import Brief
from .choose import Aim
from .features import Space
from .history import Mixed
from .machine import Machine

OWN = "this printer"


@dataclass(kw_only=True)
class Told:
    """One batch as told, before it is read together with the rest."""

    fractions: tuple[float, ...]
    mixed: Mixed
    machine: Machine | None


def over_recipes(batches: Sequence[Told], name: str) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """(n, q) shares of the recipes one reading was taken of, and (n,) its values."""
    found = [
        (told.fractions, seen.value) for told in batches for seen in told.mixed.readings if seen.gauge.name == name
    ]
    return np.array([row for row, _ in found]), np.array([value for _, value in found])


class Book(Protocol):
    """A notebook as proposals see it."""

    space: Space
    brief: Brief
    box: tuple[NDArray[np.float64], NDArray[np.float64]]
    typical_bounds: bool
    batches: list[Told]

    @property
    def keys(self) -> tuple[str, ...]: ...

    def belief(self) -> Belief: ...

    def aim(self) -> Aim: ...


One = tuple[Any, Any, str, Ends | None]
"""One reading as given: value, minutes since first water (None: not stated), name of the instrument ("": not known),
and between which values it lies where it is no one number (a push that stalled: from its value on)."""


def every_reading(readings: Mapping[str, object]) -> list[tuple[str, One]]:
    """(name, reading) of all that is given."""
    return [(name, one) for name, given in readings.items() for one in _each_reading(name, given)]


def _each_reading(name: str, given: object) -> list[One]:
    """A reading may be given as a value, as (value, minutes), as (value, minutes, instrument), as all that with its
    Ends, or as a list of these.

    Raises Problem for anything else.
    """
    if given is None:
        return []
    several = isinstance(given, list | tuple) and any(isinstance(item, list | tuple) for item in given)
    return [_one(name, item) for item in (given if several and isinstance(given, list | tuple) else [given])]


def _one(name: str, given: object) -> One:
    parts = tuple(given) if isinstance(given, list | tuple) else (given,)
    value, minutes, which, ends = (*parts, None, None, None)[:4] if 1 <= len(parts) <= 4 else (None, None, 0, None)
    if not isinstance(which, str | None) or not isinstance(ends, Ends | None):
        raise Problem(
            f"the reading {name} must be a value, a pair of value and minutes since first water, or both with the name "
            "of the instrument and the ends it lies between; or a list of such"
        )
    return value, minutes, which or "", ends


def lots_told(given: object, keys: tuple[str, ...]) -> tuple[str, ...]:
    """Lots of a batch as labels: one for all, or one per ingredient."""
    if given is None:
        return ()
    if isinstance(given, Mapping):
        for key in given:
            if key not in keys:
                raise Problem(
                    f"a lot is given for “{str(key)[:40]}”, which is no ingredient here: use {', '.join(keys)}"
                )
        return tuple(f"{key}: {label}" for key, label in sorted(given.items()))
    return (str(given),)


def machine_told(more: Mapping[str, object], usual: Machine | None) -> Machine | None:
    """The machine of a batch: as given, else the campaign's; with another nozzle where only that is given."""
    machine, nozzle = more.get("machine") or usual, more.get("nozzle")
    if machine is not None and not isinstance(machine, Machine):
        raise Problem("the machine of a batch must be a Machine, such as Machine(nozzle_mm=2, barrel_mm=60)")
    if nozzle is None:
        return machine
    base = machine or Machine()
    return Machine(nozzle_mm=float(str(nozzle)), barrel_mm=base.barrel_mm, force_n=base.force_n)


def machine_name(machine: Machine | None) -> str:
    if machine is None:
        return OWN
    return f"{machine.nozzle_mm:g}/{machine.barrel_mm:g} mm, {machine.force_n or 'force unknown'}"
