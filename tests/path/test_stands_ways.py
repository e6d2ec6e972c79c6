"""Every way to fall: each governs in a case of its own and meets its closed form; both ends move the right way."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from slake.paste.sagging import BUILT_IN_PLASTIC, HINGED_ELASTIC, span_limit_m
from slake.paste.standing_growing import yield_height_growing_m
from slake.paste.strength_by_age import Drying, Growing, steady
from slake.paste.tilting import tipping_layers
from slake.paste.wetting import gathered_water, strength_left
from slake.path.standing import Laid, Plain, Stack, drying_in, laid_of_yield_stress, stack_of
from slake.path.stands_answer import Stands, stands

YIELD, RATIO, DENSITY = 1000.0, 200.0, 1500.0
WALL = Plain(layers=200, layer_height_m=0.0012, layer_s=20, wall_m=0.003, contact_m=0.0018, plan_m=0.1)


def paste(stress: float = YIELD, growth: float = 0.2, ratio: float = RATIO, density: float = DENSITY) -> Laid:
    return laid_of_yield_stress(steady(stress, growth), np.array([ratio]), np.array([density]))


def grows_stiff(ratio_growth: float) -> Laid:
    """Only the growth of stiffness differs."""
    return replace(paste(), modulus=steady(RATIO * YIELD, ratio_growth))


def test_a_thick_wall_of_stiff_paste_yields_at_the_foot_at_its_closed_form() -> None:
    """F5.2 at both ends: narrow contact and first yield; full width held along, the same paste."""
    thick = Plain(layers=150, layer_height_m=0.002, layer_s=20, wall_m=0.5)
    found = stands(stack_of(thick), paste(ratio=5e4))
    first = math.sqrt(3) * np.array([YIELD, 0.2])
    early, late = (yield_height_growing_m(*(k * first), DENSITY, 0.0001) for k in (1, 2 / math.sqrt(3)))
    assert found.earliest.name == found.latest.name == "foot yields"
    assert found.earliest.height_m == pytest.approx(early, rel=0.02)
    assert found.latest.height_m == pytest.approx(late, rel=0.02)


def test_a_thin_wall_folds() -> None:
    found = stands(stack_of(WALL), paste())
    assert found.earliest.name == found.latest.name == "wall folds"


def test_a_leaning_stack_tips_at_its_closed_form() -> None:
    """Strong paste, open wall: tipping governs, at contact / step - 1 layers above the lowest joint."""
    lean = math.degrees(math.atan(0.00015 / 0.0012))
    found = stands(stack_of(replace(WALL, layers=60, lean_deg=lean)), paste(stress=3e5, ratio=2e4))
    assert found.earliest.name == "leans over"
    assert found.earliest.layers == pytest.approx(1 + tipping_layers(0.0018, 0.00015), abs=0.6)
    assert found.latest.layers > found.earliest.layers


def test_a_bead_laid_out_further_than_half_its_contact_tips_at_once() -> None:
    lean = math.degrees(math.atan(0.0010 / 0.0012))
    found = stands(stack_of(replace(WALL, lean_deg=lean)), paste(stress=3e5, ratio=2e4))
    assert found.earliest.name == "leans over" and found.earliest.layers <= 2


@pytest.mark.parametrize(("share", "falls"), [(0.98, False), (1.02, True)])
def test_a_round_bead_rolls_off_at_its_closed_form(share: float, falls: bool) -> None:
    """A cone of 45 deg of few layers: the radius at which weight x overhang is the bead's moment over its radius."""
    overhang = 0.0012 - 0.0018 / 2
    limit = math.sqrt(3) * YIELD * 0.0012 / (4 * DENSITY * 9.81 * overhang)
    cone = replace(WALL, layers=3, lean_deg=45.0, radius_m=share * limit, closed=True)
    found = stands(stack_of(cone), paste(ratio=5e4))
    assert found.earliest.falls is falls
    assert not falls or found.earliest.name == "leans over"


def test_a_closed_wall_leans_further_than_an_open_one() -> None:
    open_wall = replace(WALL, lean_deg=15.0)
    ring = replace(open_wall, radius_m=0.04, closed=True)
    strong = paste(stress=3e4, ratio=2e3)
    assert stands(stack_of(ring), strong).earliest.layers > 2 * stands(stack_of(open_wall), strong).earliest.layers


@pytest.mark.parametrize(("share", "early", "late"), [(0.99, False, False), (1.01, True, False)])
def test_a_span_sags_at_its_closed_form(share: float, early: bool, late: bool) -> None:
    """Just under and just over the span that first yields where the bead only rests at its ends."""
    limit = span_limit_m(math.sqrt(3) * YIELD, 0.0012, DENSITY, HINGED_ELASTIC)
    found = stands(_spanned(share * limit), paste(ratio=5e4))
    assert (found.earliest.falls, found.latest.falls) == (early, late)
    assert not early or found.earliest.name == "span sags"


@pytest.mark.parametrize(("share", "falls"), [(0.99, False), (1.01, True)])
def test_a_span_sags_at_the_late_end_too(share: float, falls: bool) -> None:
    limit = span_limit_m(math.sqrt(3) * YIELD, 0.0012, DENSITY, BUILT_IN_PLASTIC)
    found = stands(_spanned(share * limit), paste(ratio=5e4))
    assert found.latest.falls is falls
    assert not falls or found.latest.name == "span sags"


def _spanned(span: float) -> Stack:
    """A low strong wall whose fifth layer bridges a gap."""
    stack = stack_of(Plain(layers=8, layer_height_m=0.0012, layer_s=20, wall_m=0.01))
    return replace(stack, span_m=np.where(np.arange(8) == 4, span, 0.0))


def weeping(bleed: float) -> Laid:
    return replace(
        paste(ratio=5e4, growth=0.0),
        bleed=np.array([bleed]),
        press_pa=5000.0,
        water_slope=np.array([13.0]),
        water_per_dry=0.7,
    )


def test_a_wetted_foot_gives_where_water_and_weight_meet_its_closed_form() -> None:
    """Layers n with n weight = strength exp(-k gathered(n)), found by hand; it governs the early end alone."""
    wall = Plain(layers=150, layer_height_m=0.0012, layer_s=20, wall_m=0.2)
    found = stands(stack_of(wall), weeping(0.02))
    layer = DENSITY * 9.81 * 0.0012

    def borne(n: float) -> float:
        left = strength_left(13.0, gathered_water(0.02, 5000.0, layer, n, 0.7))
        return math.sqrt(3) * YIELD * left / (n * layer)

    by_hand = next(n for n in np.arange(2, 150, 0.01) if borne(n) < 1)
    assert found.earliest.name == "foot wetted"
    assert found.earliest.layers == pytest.approx(by_hand, rel=0.02)
    assert found.latest.name == "foot yields"


def test_paste_that_does_not_weep_is_not_wetted() -> None:
    wall = stack_of(Plain(layers=150, layer_height_m=0.0012, layer_s=20, wall_m=0.2))
    assert stands(wall, weeping(0.0)).earliest.name == "foot yields"
    assert stands(wall, weeping(0.02)).earliest.layers < 0.95 * stands(wall, weeping(0.0)).earliest.layers


def ends(plain: Plain, laid: Laid) -> tuple[float, float]:
    found = stands(stack_of(plain), laid)
    return found.earliest.height_m, found.latest.height_m


BASE = paste()
FIRM = 9000.0
"""Stiffness over yield stress at which the wall folds while it yields, so that every input matters to both ends."""
TALL = replace(WALL, layers=300)


def hardens(laid: Laid) -> Laid:
    """The same paste, that comes to bear three times its first yield."""
    return replace(laid, strength=laid.first_yield.times(3.0))


BOTH = hardens(paste(ratio=FIRM, growth=0.02))


def only_strength(stress: float, growth: float) -> Laid:
    return replace(hardens(paste(stress=stress, growth=growth)), modulus=BOTH.modulus)


def only_stiffness(stiffness: float, growth: float) -> Laid:
    return replace(BOTH, modulus=steady(stiffness, growth))


NINE = {
    "yield stress": (TALL, only_strength(1.3 * YIELD, 0.02), +1),
    "growth of yield stress": (TALL, only_strength(YIELD, 0.06), +1),
    "stiffness": (TALL, only_stiffness(1.5 * FIRM * YIELD, 0.02 * FIRM), +1),
    "growth of stiffness": (TALL, only_stiffness(FIRM * YIELD, 0.4 * FIRM), +1),
    "density": (TALL, hardens(paste(ratio=FIRM, growth=0.02, density=1.2 * DENSITY)), -1),
    "wall thickness": (replace(TALL, wall_m=0.004, contact_m=0.0028), BOTH, +1),
    "layer time": (replace(TALL, layer_s=60), BOTH, +1),
    "layer height": (replace(TALL, layer_height_m=0.0018), BOTH, -1),
    "lean": (replace(TALL, lean_deg=20.0), BOTH, -1),
}


@pytest.mark.parametrize("name", NINE)
def test_both_ends_move_the_right_way(name: str) -> None:
    """Nine inputs, one at a time, against one wall that folds while it yields. Layer height: at one time per layer."""
    plain, laid, way = NINE[name]
    for before, after in zip(ends(TALL, BOTH), ends(plain, laid), strict=True):
        assert (after - before) * way > 1e-3 * before, f"{name}: {before} to {after}"


@pytest.mark.parametrize("closed", [False, True])
def test_a_longer_side_never_stands_higher(closed: bool) -> None:
    heights = [ends(replace(WALL, plan_m=side, closed=closed), BASE) for side in (0.02, 0.04, 0.08, 0.16, 0.5)]
    for end in zip(*heights, strict=True):
        assert all(a >= b * (1 - 1e-6) for a, b in pairwise(end))
    assert (heights[0][1] > 1.2 * heights[-1][1]) is closed


@pytest.mark.parametrize("radius", [0.02, 0.04, 0.1, 0.3, 1.0])
def test_a_ring_stands_at_least_as_high_as_the_wall_it_is_bent_from(radius: float) -> None:
    free, ring = ends(WALL, BASE), ends(replace(WALL, radius_m=radius, closed=True), BASE)
    assert ring[0] >= free[0] * (1 - 1e-6) and ring[1] >= free[1] * (1 - 1e-6)


def test_drying_and_a_heater_raise_what_stands() -> None:
    """A heater by the nozzle raises what stands: practice, no source."""
    drying = Drying(flux_kg_m2_s=0.045 / 3600, open_faces=2, water_slope=13, water_per_dry=0.7)
    plain, dry = ends(WALL, BASE), ends(WALL, drying_in(BASE, drying, 0.003))
    hot = ends(WALL, drying_in(BASE, drying, 0.003, np.array([5e-4])))
    assert plain[0] < dry[0] < hot[0] and plain[1] < dry[1] < hot[1]


def test_a_bowl_in_soft_wet_paste_falls() -> None:
    """Practice, no source: 80 mm of bowl, 3 mm wall, of paste of 150 Pa; the same of firm paste may stand."""
    bowl = Plain(
        layers=66, layer_height_m=0.0012, layer_s=25, wall_m=0.003, contact_m=0.0018, radius_m=0.05, closed=True
    )
    soft, firm = stands(stack_of(bowl), paste(stress=150.0)), stands(stack_of(bowl), paste(stress=3000.0))
    assert soft.latest.falls and soft.chance == 0.0
    assert firm.chance > 0.3


def test_layers_in_waves_fold_later_and_yield_the_same() -> None:
    straight = stack_of(WALL)
    waved = replace(straight, wave_m=0.003)
    a, b = stands(straight, BASE), stands(waved, BASE)
    assert b.earliest.layers > 1.2 * a.earliest.layers and b.latest.layers > 1.2 * a.latest.layers
    thick = stack_of(Plain(layers=150, layer_height_m=0.002, layer_s=20, wall_m=0.5))
    same = [stands(one, paste(ratio=5e4)).earliest.layers for one in (thick, replace(thick, wave_m=0.5))]
    assert same[0] == pytest.approx(same[1])


def test_one_layer_and_uneven_layers_are_answered() -> None:
    assert not stands(stack_of(replace(WALL, layers=1)), BASE).earliest.falls
    uneven = stack_of(replace(WALL, layers=30))
    uneven = replace(uneven, thickness_m=np.linspace(0.0008, 0.002, 30), wall_m=np.linspace(0.003, 0.005, 30))
    found: Stands = stands(uneven, BASE)
    assert found.earliest.layers <= found.latest.layers


def test_growth_that_levels_lies_between_none_and_steady() -> None:
    def with_levels(seconds: float, rate: float) -> Laid:
        grown = Growing(at_laying=np.array([YIELD]), log_per_s=np.array([rate]), levels_s=np.array([seconds]))
        return laid_of_yield_stress(grown, np.array([RATIO]), np.array([DENSITY]))

    none, some, steadily = (ends(WALL, with_levels(*p)) for p in ((np.inf, 0.0), (300.0, 3e-4), (np.inf, 3e-4)))
    assert none[0] < some[0] < steadily[0] and none[1] < some[1] < steadily[1]
