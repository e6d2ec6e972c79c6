"""What a reading says to do at the bowl."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from benchmarks.campaigns.families import named, uniform
from slake.campaign.bowl import SLOPE, BowlRead, Step, step_from
from slake.ground.evidence import Z80, Range
from slake.ground.problems import NotEnoughEvidence


def step_to_window(ratio_now: Range, water_demand: float, age_s: float | None) -> Step:
    """From one reading alone."""
    return step_from([BowlRead(ratio=ratio_now, water_per_dry=0.0, age_s=age_s)], water_demand)


def about(mid: float) -> Range:
    return Range(low=mid * 0.95, mid=mid, high=mid * 1.05)


def test_too_soft_and_young_is_told_to_wait_until_an_hour():
    assert step_to_window(about(0.5), 0.35, 20 * 60).wait_s == pytest.approx(40 * 60)
    assert step_to_window(about(0.5), 0.35, 60 * 60).wait_s is None
    assert step_to_window(about(2.0), 0.35, 5 * 60).wait_s is None


def test_stiff_wants_water_and_soft_wants_filler():
    stiff, soft = (step_to_window(about(r), 0.35, 3600).water_per_dry_change for r in (2.0, 0.5))
    assert stiff.low > 0 and soft.high < 0
    assert stiff.mid == pytest.approx(-soft.mid)


def test_thirsty_solids_want_more_water_for_the_same_step():
    """Common practice, no source: 0.01 g/g moves shell by 13 % and cellulose by 2.5 %."""
    shell, leaf = (step_to_window(about(1.13), demand, 3600).water_per_dry_change for demand in (0.35, 2.5))
    assert leaf.mid == pytest.approx(shell.mid * 2.5 / 0.35)
    assert shell.low < 0.01 < shell.high


def test_the_middle_slope_lies_between_what_practice_says_of_shell_and_of_cellulose():
    """Common practice, no source: -13 % per 0.01 g/g at a demand of 0.35, -2.5 % at 2.5 g/g."""
    said = (-math.log(1 - 0.13) / 0.01 * 0.35, -math.log(1 - 0.025) / 0.01 * 2.5)
    assert min(said) <= SLOPE.mid <= max(said)
    assert SLOPE.low < min(said) and max(said) < SLOPE.high


def test_a_wider_reading_gives_a_wider_answer():
    narrow = step_to_window(about(2.0), 0.35, 3600).water_per_dry_change
    wide = step_to_window(Range(low=1.2, mid=2.0, high=3.0), 0.35, 3600).water_per_dry_change
    assert wide.low < narrow.low < narrow.high < wide.high


def planted(slope: float, waters: list[float], noise: list[float], demand: float = 0.5) -> list[BowlRead]:
    """A paste 4 times too stiff at first, falling by `slope` per demand in its logarithm; 6 % of reading error."""
    reads = []
    for water, error in zip(waters, noise, strict=True):
        ratio = 4.0 * math.exp(-slope * (water - waters[0]) / demand + 0.06 * error)
        around = Range(low=ratio * math.exp(-0.06 * Z80), mid=ratio, high=ratio * math.exp(0.06 * Z80))
        reads.append(BowlRead(ratio=around, water_per_dry=water, age_s=3600))
    return reads


def test_no_reading_at_all_asks_for_one():
    with pytest.raises(NotEnoughEvidence, match="take a reading"):
        step_from([], 0.5)


def test_water_added_so_far_teaches_the_slope():
    """With exact readings the slope is what the water did, wherever practice expects it."""
    steep = step_from(planted(7.5, [0.5, 0.53, 0.56], [0, 0, 0]), 0.5)
    flat = step_from(planted(4.0, [0.5, 0.53, 0.56], [0, 0, 0]), 0.5)
    one = step_from(planted(7.5, [0.56], [0]), 0.5)
    assert one.slope.low == pytest.approx(SLOPE.low, rel=0.03) and one.slope.high == pytest.approx(SLOPE.high, rel=0.03)
    assert flat.slope.mid < one.slope.mid < steep.slope.mid
    assert steep.slope.high - steep.slope.low < 0.8 * (one.slope.high - one.slope.low)


def test_readings_that_go_with_no_slope_are_told_to_be_read_again():
    odd = step_from(planted(5.5, [0.5, 0.56], [0, 12]), 0.5)
    fine = step_from(planted(5.5, [0.5, 0.56], [0, 1]), 0.5)
    assert odd.odd and not fine.odd


def test_a_paste_near_its_aim_is_not_sure_of_its_side():
    near = step_from(planted(5.5, [0.5, 0.5 + 0.5 * math.log(4) / 5.5], [0, 0])[-1:], 0.5)
    far = step_from(planted(5.5, [0.5], [0.0]), 0.5)
    assert near.sure < 0.6 and far.sure > 0.99


def test_a_paste_that_stiffens_by_itself_is_not_taken_for_a_small_slope():
    """The second reading is taken twice as old: ageing by the usual power is taken off before the slope is learned."""
    aged = planted(5.5, [0.5, 0.54], [0, 0])
    later = aged[1].ratio
    grown = 2**0.25
    aged[1] = BowlRead(
        ratio=Range(low=later.low * grown, mid=later.mid * grown, high=later.high * grown),
        water_per_dry=0.54,
        age_s=7200,
    )
    taken_off = step_from(aged, 0.5).slope.mid
    as_if_young = [BowlRead(ratio=read.ratio, water_per_dry=read.water_per_dry) for read in aged]
    assert step_from(as_if_young, 0.5).slope.mid < 4.8 < taken_off < 5.6


AIM_MM = 15.0


@pytest.mark.parametrize("name", ["kitchen", "toys"])
def test_on_made_up_pastes_more_readings_land_nearer_and_ranges_hold(name):
    """Pastes that know nothing of slake, begun where the cone goes in half as deep as it should."""
    family = named(name)
    drawn = getattr(family, "draw_waste", family.draw)
    found = [one_bowl(family, drawn(number, 7)) for number in range(60, 85 if name == "kitchen" else 72)]
    bowls = np.array([one for one in found if one is not None])
    assert len(bowls) > 5
    held, error = bowls[..., 0].mean((0, 1)), bowls[..., 1].mean((0, 1))
    assert error[2] < error[1] < error[0] and error[2] < 0.5 * error[0], error
    assert ((held > 0.68) & (held < 0.95)).all(), held


def one_bowl(family: Any, waste: Any) -> list[list[tuple[float, float]]] | None:
    """(held, how far off the aim the true cone ends, in its logarithm) with one, two and three readings: after each but
    the last half of what is advised goes in, after the last all of it. Eight sets of reading errors; None where no
    water brings this paste to its aim.
    """
    rng = np.random.default_rng([waste.number, 5])
    base = uniform(waste, 1, rng)[0]
    waters = np.linspace(0.5, 2.0, 601) * base[-1] / (1.0 - base[-1])
    depth = family.truth(waste, rows_with(base, waters))["cone_depth_mm"]
    place, start = int(np.argmax(depth >= AIM_MM)), int(np.argmax(depth >= 0.5 * AIM_MM))
    if not 0 < start < place or depth[-1] < 1.5 * AIM_MM:
        return None
    demand, found = usual_demand(waste, base), []
    for error in rng.normal(0.0, 0.05, (8, 3)):
        found.append([poured((waters, depth), (waters[start], AIM_MM, demand), error[:count]) for count in (1, 2, 3)])
    return found


def poured(
    curve: tuple[np.ndarray, np.ndarray], begun: tuple[float, float, float], errors: np.ndarray
) -> tuple[float, float]:
    (waters, depth), (water, aim, demand), reads = curve, begun, []
    for left, error in zip(range(len(errors) - 1, -1, -1), errors, strict=True):
        shown = float(np.interp(water, waters, depth)) * math.exp(error)
        reads.append(read_at(water, aim / shown))
        advised = step_from(reads, demand).water_per_dry_change
        needed = float(np.interp(aim, depth, waters)) - water
        water += advised.mid / 2 if left else advised.mid
    off = abs(math.log(float(np.interp(water, waters, depth)) / aim))
    return float(advised.low <= needed <= advised.high), off


def rows_with(base: np.ndarray, waters: np.ndarray) -> np.ndarray:
    rows = np.tile(base, (len(waters), 1))
    rows[:, -1] = waters * (1.0 - base[-1])
    return rows / rows.sum(axis=1, keepdims=True)


def read_at(water: float, times: float) -> BowlRead:
    """A cone that goes in by the root of the stress over the aim's: 6 % of error in depth is 12 % in stiffness."""
    sd = 2 * 0.05
    ratio = times**2
    return BowlRead(
        ratio=Range(low=ratio * math.exp(-Z80 * sd), mid=ratio, high=ratio * math.exp(Z80 * sd)), water_per_dry=water
    )


def usual_demand(waste: Any, base: np.ndarray) -> float:
    """What a person would have: the drip test where it was made, else what the water of a usual recipe says."""
    told = {key: waste.told_demand.get(key) for key in waste.names[:-1]}
    known = [(base[i], told[key]) for i, key in enumerate(waste.names[:-1]) if told[key]]
    if known:
        return sum(part * value for part, value in known) / (1 - base[-1])
    return base[-1] / (1 - base[-1]) / 1.3
