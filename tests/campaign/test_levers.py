"""Levers after a cracked print: the water found anew, directions, ranks, what is not offered."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from slake.campaign import Lot, Notebook
from slake.campaign.belief import forecast
from slake.campaign.features import wet
from slake.campaign.layout import table
from slake.campaign.lever_practice import Part, beside, first_stage_days
from slake.campaign.lever_recipes import put_together, taken_apart, thirstiest
from slake.campaign.levers import NO_CRACKS, Asked, Levers, levers, stiffness_of
from slake.paste.uneven_drying import COVERED, OPEN_AIR

LEAF = {"leaf": 0.24, "shell": 0.06, "guar": 0.008, "glycerol": 0.0, "water": 0.692}
LOTS = {"leaf": "leaf litter", "shell": "mussel shell", "guar": "guar gum", "glycerol": "glycerol"}
PART = Part(nozzle_m=0.002, water_kg_m3=650)


def book(**more: object) -> Notebook:
    found = Notebook(
        lots={key: Lot(name) for key, name in LOTS.items()},
        brief={
            "cone_depth_mm": (10, 15),
            "layers_stood": (30, None),
            "shrinkage_percent": (None, 8),
            "crack_grade": (None, 1),
        },
    )
    readings = {"cone_depth_mm": (12.5, 60), "shrinkage_percent": 14.0, "crack_grade": 3.0}
    found.add(LEAF, "good but cracked", readings, **more)
    return found


def asked(one: Notebook, **more: object) -> Asked:
    allowed = frozenset(one.keys)
    return replace(
        Asked(belief=one.belief(), aim=one.aim(), brief=one.brief, keys=one.keys, allowed=allowed, part=PART), **more
    )


@pytest.fixture(scope="module")
def found() -> tuple[Asked, Levers]:
    one = asked(book())
    return one, levers(one, tuple(LEAF.values()))


def the(found: tuple[Asked, Levers], key: str):
    return next(way for way in found[1].ways if way.key == key)


def test_the_levers_of_the_issue_are_named(found):
    keys = {way.key for way in found[1].ways}
    assert {"skeleton", "finer_grind", "less_water", "slower_drying", "less_thickener", "plasticiser"} <= keys


def test_each_changed_recipe_stays_as_stiff_as_the_brief_wants(found):
    one, said = found
    look = stiffness_of(one).look
    line = one.brief.line("cone_depth_mm")
    for way in (*said.ways, *said.pairs):
        row = np.array([list(way.fractions.values())])
        assert row.sum() == pytest.approx(1.0)
        stiff = forecast(one.belief, table(one.belief.layout, row), [look]).mean[0, 0]
        assert line.latent_low < stiff < line.latent_high, way.key


def test_shell_for_leaf_shrinks_and_cracks_less_and_takes_less_water(found):
    one, _ = found
    skeleton = the(found, "skeleton")
    by_name = {effect.name: effect for effect in skeleton.effects}
    assert by_name["shrinkage"].times.mid < 0.9 and by_name["shrinkage"].after.mid < by_name["shrinkage"].before.mid
    assert by_name["shrinkage"].times.high < 1.4
    assert by_name["cracks"].times.mid < 1
    space = one.belief.layout.space
    rows = np.array([list(LEAF.values()), list(skeleton.fractions.values())])
    then, now = wet(space, rows).water_per_dry
    assert now < 0.8 * then


def test_best_first_and_two_together_only_where_one_is_not_enough(found):
    _, said = found
    chances = [way.chance for way in said.ways]
    assert chances == sorted(chances, reverse=True)
    if chances[0] >= 0.5:
        assert said.pairs == ()
    else:
        assert all(len(way.steps) == 2 and way.chance > chances[0] for way in said.pairs)


def test_two_together_are_better_than_one_of_a_hard_brief():
    narrow = Notebook(
        lots={
            key: Lot(name) for key, name in (("leaf", "leaf litter"), ("shell", "mussel shell"), ("guar", "guar gum"))
        },
        brief={"cone_depth_mm": (12, 13), "shrinkage_percent": (None, 2.5), "crack_grade": (None, 0)},
    )
    recipe = {key: part for key, part in LEAF.items() if key != "glycerol"}
    narrow.add(recipe, "cracked", {"cone_depth_mm": (12.5, 60), "shrinkage_percent": 14.0, "crack_grade": 3.0})
    said = levers(asked(narrow), tuple(recipe.values()))
    assert not said.enough and said.pairs
    assert said.pairs[0].chance > said.ways[0].chance


def test_what_is_not_on_the_shelf_is_not_offered():
    one = book()
    said = levers(asked(one, allowed=frozenset({"leaf", "guar"})), tuple(LEAF.values()))
    assert {"skeleton", "plasticiser"}.isdisjoint(way.key for way in said.ways)
    assert {"skeleton", "plasticiser", "more_binder"} <= set(said.not_at_hand)


def test_nothing_to_take_out_where_no_filler_is_thirsty():
    shell = Notebook(lots={"shell": Lot("mussel shell"), "guar": Lot("guar gum")}, brief={"crack_grade": (None, 1)})
    recipe = {"shell": 0.68, "guar": 0.007, "water": 0.313}
    shell.add(recipe, "cracked", {"crack_grade": 2.0})
    said = levers(asked(shell), tuple(recipe.values()))
    keys = {way.key for way in said.ways}
    assert {"skeleton", "less_thirsty"}.isdisjoint({*keys, *said.not_at_hand})
    assert {"less_water", "slower_drying"} <= keys


def test_a_brief_that_says_nothing_of_cracks_is_judged_by_them_all_the_same():
    silent = Notebook(
        lots={"leaf": Lot("leaf litter"), "shell": Lot("mussel shell")}, brief={"cone_depth_mm": (10, 15)}
    )
    recipe = {"leaf": 0.24, "shell": 0.06, "water": 0.70}
    silent.add(recipe, "cracked", {"cone_depth_mm": (12.5, 60), "crack_grade": 3.0})
    said = levers(asked(silent), tuple(recipe.values()))
    assert NO_CRACKS in said.as_it_was.chances and said.as_it_was.chance < 0.2
    assert said.ways[0].chance > said.as_it_was.chance


def test_a_recipe_taken_apart_and_put_together_is_the_same(found):
    one, _ = found
    space, row = one.belief.layout.space, np.array(list(LEAF.values()))
    mixture = taken_apart(space, row, 7.0)
    paste = wet(space, row[None, :])
    gums = space.where(*{f.role for f in space.facts if f.key == "guar"})
    water = paste.water / (paste.dry[0] * ~gums).sum()
    assert put_together(space, [mixture], water)[0] == pytest.approx(row, abs=1e-9)
    assert thirstiest(space, mixture) == 0


def test_a_lever_of_practice_widens_and_never_narrows(found):
    slow, said = the(found, "slower_drying"), found[1]
    (cracks,) = [effect for effect in slow.effects if effect.name == "cracks"]
    assert cracks.times.low < cracks.times.mid < 1 and cracks.times.high > 0.95
    assert slow.fractions == pytest.approx(said.as_it_was.fractions)
    assert slow.more_days is not None and 0 < slow.more_days.low < slow.more_days.mid < slow.more_days.high


def test_days_under_a_cover_by_hand():
    """650 kg/m3 x 2 mm (half of a 4 mm wall) = 1.3 kg/m2: 1.20 days at 45 g/m2 h, 3.61 at 15."""
    assert first_stage_days(PART, OPEN_AIR).mid == pytest.approx(1.3 / 0.045 / 24)
    assert first_stage_days(PART, COVERED).mid == pytest.approx(1.3 / 0.015 / 24)


def test_levers_beside_the_recipe_only_where_there_is_room_for_them():
    fine = beside(replace(PART, largest_grain_m=1e-4, covered=True, wall_m=0.002))
    assert fine == []
    assert {one.key for one in beside(PART)} == {"finer_grind", "slower_drying", "thinner_wall"} - (
        {"thinner_wall"} if 0.6 * 0.004 < 1.4 * 0.002 else set()
    )
    assert "thinner_wall" in {one.key for one in beside(replace(PART, wall_m=0.006))}
