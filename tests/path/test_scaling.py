"""How large to print, from bars of this batch or of elsewhere; against the trade's own arithmetic."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from pytest import approx

from slake.bench.declaration import Raw
from slake.bench.shrinkage_bar import TEST
from slake.ground.problems import DoesNotFit, OutsideRange
from slake.path.mesh import on_the_bed, volume_m3
from slake.path.scaling import TO_AND_FRO, print_factor, scale_to_dry, stretched
from slake.path.shrinking import NO_BARS, Bars, Direction, Today, bars_of, foreseen, nearest_bars
from tests.path.solids import box, cone, ours

TODAY = Today(batch="b7", water_per_dry=0.70, wall_m=0.006)


def bar(along: float, across: float = 0.0, height: float = 0.0) -> Raw:
    """A reading of one bar, marks 100 mm, 15 mm wide, 6 mm high; shrinkages as fractions, nought: not measured."""
    sides = {"wet_mm": 0.1, "dry_mm": 0.1 * (1 - along)}
    for names, size, s in (("across", 0.015, across), ("height", 0.006, height)):
        sides |= {f"wet_{names}_mm": size if s else 0.0, f"dry_{names}_mm": size * (1 - s) if s else 0.0}
    return Raw(rows=(sides,))


def bars(**more: float) -> Bars:
    return bars_of([bar(0.072, 0.075, 0.091)] * 4, replace(TODAY, **more))


def test_the_trades_own_figures():
    """80 mm at 7.2 % is 86.21, z at 9.1 % is 88.0; multiplying by (1 + s) would give 85.8. Own arithmetic."""
    assert 80 * print_factor(0.072) == approx(86.21, abs=0.005)
    assert 80 * print_factor(0.091) == approx(88.0, abs=0.05)
    assert 80 * print_factor(0.072) != approx(85.8, abs=0.1)
    assert print_factor(0.0) == 1


def test_the_dried_part_has_the_drawn_size_on_every_axis():
    """Drawn a cone of 40 x 40 x 40; printed larger by each axis; shrunk by the bars it is the drawn one again."""
    drawn = on_the_bed(ours(cone(20, 40)))
    found = scale_to_dry(drawn, bars(), TODAY, TO_AND_FRO)
    shrunk = stretched(found.mesh, 1 - np.array([0.072, 0.075, 0.091]))
    assert shrunk.size_m.tolist() == approx(drawn.size_m.tolist())
    assert volume_m3(shrunk) == approx(volume_m3(drawn))
    assert volume_m3(found.mesh) == approx(volume_m3(drawn) * found.volume_factor)
    assert [axis.times.mid for axis in found.axes] == approx([1 / 0.928, 1 / 0.925, 1 / 0.909])
    assert found.warnings == ()
    assert found.axes[0].in_words.startswith("x: print 43.1 mm (")


def test_axes_go_their_own_way_and_round_prints_take_both_plan_axes_along_the_bead():
    round_ = scale_to_dry(on_the_bed(ours(box())), bars(), TODAY)
    assert round_.axes[0].times.mid == round_.axes[1].times.mid != round_.axes[2].times.mid


def test_ranges_enclose_and_come_out_smaller_where_the_paste_shrinks_more():
    axis = scale_to_dry(on_the_bed(ours(box(80, 80, 80))), bars(), TODAY).axes[0]
    assert axis.print_m.low < axis.print_m.mid < axis.print_m.high and axis.print_m.mid == approx(0.08621, abs=1e-5)
    assert axis.dried_m.low < axis.drawn_m < axis.dried_m.high
    most = axis.foreseen.shrinkage.high
    assert axis.print_m.mid * (1 - most) == approx(axis.dried_m.low)


@pytest.mark.parametrize(
    ("today", "word"),
    [
        (replace(TODAY, batch="b8"), "another batch"),
        (replace(TODAY, water_per_dry=0.80), "0.1 g/g more water"),
        (replace(TODAY, water_per_dry=0.60), "0.1 g/g less water"),
        (replace(TODAY, wall_m=0.0024), "0.4 times as thick"),
    ],
)
def test_bars_of_another_batch_water_or_wall_warn_and_widen(today: Today, word: str):
    own = foreseen(Direction.ALONG, bars(), TODAY)
    other = foreseen(Direction.ALONG, bars(), today)
    assert own.warnings == () and len(other.warnings) == 1 and word in other.warnings[0]
    assert other.shrinkage.mid == own.shrinkage.mid
    assert other.shrinkage.high - other.shrinkage.low > own.shrinkage.high - own.shrinkage.low


def test_a_direction_without_bars_is_taken_from_another_with_a_warning():
    """Height 1.2 to 2 times as much as plan: common practice."""
    only_along = bars_of([bar(0.05)] * 3, TODAY)
    upright = foreseen(Direction.UPRIGHT, only_along, TODAY)
    assert upright.bars == 0 and "no bar was measured in height" in upright.warnings[0]
    assert upright.shrinkage.low < 0.05 * 1.2 and upright.shrinkage.high > 0.05 * 2
    assert foreseen(Direction.BESIDE, only_along, TODAY).shrinkage.mid == approx(0.05)
    only_upright = Bars(
        batch="b7", mean={Direction.UPRIGHT: 0.08}, sd={Direction.UPRIGHT: 0.002}, count={Direction.UPRIGHT: 2}
    )
    assert foreseen(Direction.ALONG, only_upright, TODAY).shrinkage.mid < 0.08


def test_without_any_bar_the_range_is_what_pastes_do_and_says_so():
    found = scale_to_dry(on_the_bed(ours(box())), None, TODAY)
    assert found.axes[0].foreseen.shrinkage == NO_BARS
    assert "print a shrinkage bar first" in found.warnings[0] and len(found.warnings) == 1
    wet_only = bars_of([Raw(rows=({"wet_mm": 0.1, "dry_mm": 0.0},))], TODAY)
    assert foreseen(Direction.ALONG, wet_only, TODAY).shrinkage == NO_BARS


def test_more_bars_narrow_the_range_down_to_what_one_print_scatters():
    def width(count: int) -> float:
        found = foreseen(Direction.ALONG, bars_of([bar(0.072)] * count, TODAY), TODAY).shrinkage
        return found.high - found.low

    assert width(12) < width(4) < width(1)
    assert foreseen(Direction.ALONG, bars_of([TEST.quick(7.2)], TODAY), TODAY).shrinkage.mid == approx(0.072)


def test_this_batchs_bars_come_first_then_those_of_the_nearest_water():
    own, near, far = bars(), bars(batch="b5", water_per_dry=0.72), bars(batch="b6", water_per_dry=0.9)
    wet = Bars(batch="b7", mean={}, sd={}, count={})
    unknown = replace(near, batch="b4", water_per_dry=None)
    assert nearest_bars([far, near, own, unknown], TODAY) is own
    assert nearest_bars([far, unknown, near, wet], TODAY) is near
    assert nearest_bars([unknown, far], TODAY) is far
    assert nearest_bars([wet], TODAY) is None and nearest_bars([], TODAY) is None


def test_bad_bars_and_scales_are_refused():
    with pytest.raises(DoesNotFit, match="longer by"):
        bars_of([bar(-0.2)], TODAY)
    for shrinkage in (1.0, 2.0, float("nan"), -0.7):
        with pytest.raises(OutsideRange):
            print_factor(shrinkage)
    for factors in ([1, 1, 0], [1, -1, 1], [1, 1, np.inf], [1, 1, np.nan], [11, 1, 1]):
        with pytest.raises(OutsideRange):
            stretched(ours(box()), np.array(factors, dtype=float))
    wild = Bars(batch="x", mean={Direction.ALONG: 0.7}, sd={Direction.ALONG: 0.1}, count={Direction.ALONG: 1})
    with pytest.raises(OutsideRange, match="shrinkage"):
        foreseen(Direction.ALONG, wild, TODAY)
