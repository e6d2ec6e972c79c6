"""What would carry it: each change at its least amount, worked out anew, and the one just short of it does not."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from slake.paste.strength_by_age import Growing
from slake.path.standing import Laid, Plain, laid_of_yield_stress, stack_of
from slake.path.stands_answer import chance_of, stands
from slake.path.stands_fixes import LEVERS, SURE, fixes, thinned

WALL = Plain(layers=30, layer_height_m=0.0012, layer_s=20, wall_m=0.003, contact_m=0.0018, plan_m=0.1)


def paste(draws: int = 60) -> Laid:
    rng = np.random.default_rng(4)
    first = Growing(at_laying=900 * np.exp(0.2 * rng.standard_normal(draws)), log_per_s=np.array([4e-4]))
    return laid_of_yield_stress(first, 300 * np.exp(0.2 * rng.standard_normal(draws)), np.array([1500.0]))


STACK, LAID = stack_of(WALL), paste()
FOUND = fixes(STACK, LAID)


def test_the_object_does_not_stand_as_it_is_and_every_change_carries_it() -> None:
    assert stands(STACK, LAID).chance < SURE
    assert [fix.name for fix in FOUND] == [lever.name for lever in LEVERS]
    assert all(fix.carries and fix.answer.chance >= SURE for fix in FOUND)


@pytest.mark.parametrize("place", range(len(LEVERS)))
def test_the_answer_is_that_of_the_changed_object_and_less_would_not_do(place: int) -> None:
    lever, fix = LEVERS[place], FOUND[place]
    assert chance_of(*lever.changed(STACK, LAID, fix.amount)) == pytest.approx(fix.answer.chance)
    less = lever.none + 0.9 * (fix.amount - lever.none)
    assert chance_of(*lever.changed(STACK, LAID, less)) < SURE + 0.03
    assert chance_of(*lever.changed(STACK, LAID, lever.none)) == pytest.approx(stands(STACK, LAID).chance)


def test_pauses_and_slower_layers_take_longer_and_the_others_do_not() -> None:
    longer = {fix.name: fix.longer_s for fix in FOUND}
    assert longer["pauses"] == pytest.approx(3 * next(f.amount for f in FOUND if f.name == "pauses"))
    assert longer["slower layers"] > 0
    assert longer["thicker wall"] == longer["waved wall"] == longer["stiffer paste"] == 0


def test_what_is_not_enough_says_so_with_its_chance() -> None:
    tall = stack_of(replace(WALL, layers=400))
    found = fixes(tall, thinned(LAID, 20))
    short = [fix for fix in found if not fix.carries]
    assert short and all("not enough by itself" in fix.words for fix in short)
    assert all(fix.answer.chance < SURE for fix in short)


def test_an_object_that_stands_needs_next_to_nothing() -> None:
    for fix, lever in zip(fixes(stack_of(replace(WALL, layers=4)), LAID), LEVERS, strict=True):
        assert fix.carries and fix.amount - lever.none < 0.02 * (lever.most - lever.none)


def test_thinned_draws_are_some_of_them() -> None:
    few = thinned(LAID, 10)
    assert few.draws == 10 and set(few.modulus.at_laying) <= set(LAID.modulus.at_laying)
