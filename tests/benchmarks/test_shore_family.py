"""The shore family of made-up wastes keeps its interface, its noise, and the plain directions of a paste."""

from dataclasses import replace

import numpy as np
import pytest

from benchmarks.families import shore

WET = {"too runny", "puddled"}
DRY = {"stalled", "would not extrude"}
UNPRINTED = WET | DRY | {"clogged"}
ENDS = ("fell at layer ",)
WORDS = UNPRINTED | {"tore", "kept oozing", "good", "printed well", "good but cracked"}
ROLES = {"filler", "thickener", "binder", "plasticiser", "liquid"}
READINGS = {
    "cone_depth_mm",
    "slump_mm",
    "ram_force_n",
    "springback_percent",
    "bleed_g_per_100g",
    "layers_stood",
    "shrinkage_percent",
    "crack_grade",
    "strength_mpa",
    "density_g_per_ml",
}
TWICE_CONE_NOISE = 0.12  # of the middle of a window


@pytest.fixture(scope="module")
def wastes():
    return [shore.draw(number, 7) for number in range(10)]


def bounded(waste, wanted, seed):
    """Recipes spread evenly over the bounds, drawn here without the family's own help."""
    rng = np.random.default_rng(seed)
    low, high = np.array([waste.bounds[name] for name in waste.names]).T
    kept = np.empty((0, len(low)))
    while len(kept) < wanted:
        most = rng.uniform(low[:-1], high[:-1], size=(40_000, len(low) - 1))
        water = 1.0 - most.sum(axis=1)
        fits = (water >= low[-1]) & (water <= high[-1])
        kept = np.vstack([kept, np.column_stack([most, water])[fits]])
    return kept[:wanted]


def meets(waste, said):
    keep = np.ones(len(said["cone_depth_mm"]), dtype=bool)
    for name, (low, high) in waste.brief.items():
        keep &= (said[name] >= (-np.inf if low is None else low)) & (said[name] <= (np.inf if high is None else high))
    return keep


def share(waste, seed=3):
    return meets(waste, shore.truth(waste, bounded(waste, 30_000, seed))).mean()


def more_of(recipes, place, by):
    moved = recipes.copy()
    moved[:, place] += by
    return moved / moved.sum(axis=1, keepdims=True)


def holds_the_interface(waste):
    assert 4 <= len(waste.names) <= 6 and waste.names[-1] == "water"
    assert len(set(waste.names)) == len(waste.names)
    for about in (waste.kitchen, waste.roles, waste.bounds, waste.told_moisture, waste.told_demand):
        assert set(about) == set(waste.names)
    assert set(waste.told_grain_um) == set(waste.names) and set(waste.roles.values()) <= ROLES
    assert all(0.0 <= low < high <= 1.0 for low, high in waste.bounds.values())
    assert 4 <= len(waste.brief) <= 8 and set(waste.brief) <= READINGS
    assert 0 < waste.object_layers < waste.cap_layers and waste.force_limit_n > 0
    assert 2.0 <= waste.nozzle_mm <= 4.0


def test_the_same_number_and_seed_give_the_same_waste_and_batches(wastes):
    again = shore.draw(4, 7)
    assert again == wastes[4]
    recipe = bounded(again, 1, 1)[0]
    first, second = (shore.mix(again, recipe, np.random.default_rng(5)) for _ in range(2))
    assert first == second
    assert shore.draw(4, 8) != again and shore.draw(5, 7) != again


def test_every_waste_holds_the_interface(wastes):
    for waste in wastes:
        holds_the_interface(waste)
        windows = [window for window in waste.brief.values() if None not in window]
        assert all(high > low for low, high in windows)
        low, high = waste.brief["cone_depth_mm"]
        assert high - low > TWICE_CONE_NOISE * (low + high) / 2


def test_few_but_some_bounded_recipes_meet_each_brief_and_not_in_the_middle(wastes):
    shares = [share(waste) for waste in wastes]
    assert all(0.003 <= found <= 0.03 for found in shares), shares
    assert max(shares) > 1.8 * min(shares)
    off = []
    for waste in wastes:
        recipes = bounded(waste, 30_000, 4)
        low, high = np.array([waste.bounds[name] for name in waste.names]).T
        works = recipes[meets(waste, shore.truth(waste, recipes))].mean(axis=0)
        off.append(np.abs((works - low) / (high - low) - 0.5).max())
    assert min(off) > 0.08 and np.median(off) > 0.15


def test_every_truth_is_finite_even_at_the_rim(wastes):
    for waste in wastes:
        rim = np.eye(len(waste.names)) * 0.98 + 0.02 / len(waste.names)
        bare = bounded(waste, 2000, 9)
        bare[:, 2:-1] = 0.0
        recipes = np.vstack([bounded(waste, 20_000, 8), rim, bare / bare.sum(axis=1, keepdims=True)])
        said = shore.truth(waste, recipes)
        assert set(said) == READINGS
        assert all(values.shape == (len(recipes),) and np.isfinite(values).all() for values in said.values())
        assert said["cone_depth_mm"].max() <= 40.0 and said["layers_stood"].max() <= waste.cap_layers
        assert said["crack_grade"].min() >= 0.0 and said["crack_grade"].max() <= 5.0


def test_reading_noise_is_of_the_size_stated(wastes):
    seen = {
        "cone_depth_mm": [],
        "ram_force_n": [],
        "strength_mpa": [],
        "density_g_per_ml": [],
        "springback_percent": [],
    }
    for waste in wastes:
        calm = replace(waste, temper=replace(waste.temper, ageing=0.0), force_limit_n=1e6, object_layers=1)
        recipes = bounded(waste, 4000, 2)
        said = shore.truth(waste, recipes)
        ready = np.flatnonzero(meets(waste, said) & (said["bleed_g_per_100g"] < 3))[:1]
        rng = np.random.default_rng(11)
        for place in ready:
            for _ in range(60):
                for name, (value, _) in shore.mix(calm, recipes[place], rng).readings.items():
                    if name in seen:
                        seen[name].append(np.log(value / said[name][place]))
    spread = {name: float(np.std(errors)) for name, errors in seen.items()}
    assert 0.035 < spread["cone_depth_mm"] < 0.085  # reading 4-6 %, and weighing of a steep paste
    assert 0.075 < spread["ram_force_n"] < 0.16
    assert 0.11 < spread["strength_mpa"] < 0.2
    assert 0.006 < spread["density_g_per_ml"] < 0.016
    assert 0.13 < spread["springback_percent"] < 0.24


def test_outcomes_are_known_words_and_take_their_readings_away(wastes):
    rng = np.random.default_rng(21)
    heard = set()
    for waste in wastes:
        for recipe in bounded(waste, 60, 5):
            batch = shore.mix(waste, recipe, rng)
            heard.add(batch.outcome.split(" layer")[0])
            assert batch.outcome in WORDS or batch.outcome.startswith(ENDS)
            assert set(batch.readings) <= READINGS and set(batch.fractions) == set(waste.names)
            assert abs(sum(batch.fractions.values()) - 1.0) < 1e-3
            if batch.outcome in UNPRINTED:
                dried = {"layers_stood", "shrinkage_percent", "crack_grade", "strength_mpa"}
                assert not dried & set(batch.readings) and not batch.reached_cap
            if batch.reached_cap:
                assert batch.readings["layers_stood"][0] == waste.cap_layers
            if "crack_grade" in batch.readings:
                assert batch.readings["crack_grade"][0] in range(6) and batch.readings["crack_grade"][1] == 4320
            if "cone_depth_mm" in batch.readings:
                assert 45 <= batch.readings["cone_depth_mm"][1] <= 80
    assert {"stalled", "fell at", "good"} <= heard and heard & WET


def test_lines_of_the_brief_are_read_more_often_than_the_others(wastes):
    rng = np.random.default_rng(3)
    asked, other = [], []
    for waste in wastes:
        for recipe in bounded(waste, 60, 6):
            batch = shore.mix(waste, recipe, rng)
            wet = {"cone_depth_mm", "bleed_g_per_100g", "density_g_per_ml"}
            for name in wet:
                (asked if name in waste.brief else other).append(name in batch.readings)
    assert 0.75 < np.mean(asked) < 0.95 and 0.2 < np.mean(other) < 0.5


def test_too_wet_puddles_and_too_dry_stalls(wastes):
    rng = np.random.default_rng(2)
    wet, dry = [], []
    for waste in wastes:
        recipes = bounded(waste, 4000, 12)
        good = recipes[meets(waste, shore.truth(waste, recipes))][0]
        for _ in range(8):
            wet.append(shore.mix(waste, more_of(good[None], -1, 3.0)[0], rng).outcome in WET)
            dry.append(shore.mix(waste, more_of(good[None], -1, -0.6 * good[-1])[0], rng).outcome in DRY)
    assert np.mean(wet) > 0.9 and np.mean(dry) > 0.9


def test_more_water_sinks_the_cone_deeper_and_shrinks_more(wastes):
    for waste in wastes:
        recipes = bounded(waste, 3000, 13)
        before, after = shore.truth(waste, recipes), shore.truth(waste, more_of(recipes, -1, 0.02))
        assert (after["cone_depth_mm"] >= before["cone_depth_mm"] - 1e-9).mean() > 0.99
        assert (after["shrinkage_percent"] > before["shrinkage_percent"]).mean() > 0.97


def test_more_gum_stiffens_and_bleeds_less(wastes):
    for waste in wastes:
        place = list(waste.roles.values()).index("thickener")
        recipes = bounded(waste, 3000, 14)
        before, after = shore.truth(waste, recipes), shore.truth(waste, more_of(recipes, place, 0.005))
        paste = (before["cone_depth_mm"] > 9) & (before["cone_depth_mm"] < 30)  # in a crumb, gum mostly loosens
        assert (after["cone_depth_mm"] < before["cone_depth_mm"])[paste].mean() > 0.95
        assert (after["bleed_g_per_100g"] < before["bleed_g_per_100g"])[paste].mean() > 0.97


def test_another_lot_keeps_the_book_and_moves_the_waste(wastes):
    for waste in wastes[:6]:
        lot = shore.another_lot(waste, 3)
        holds_the_interface(lot)
        assert lot == shore.another_lot(waste, 3) and lot != shore.another_lot(waste, 4)
        for kept in ("names", "kitchen", "roles", "bounds", "brief", "kind", "force_limit_n", "nozzle_mm"):
            assert getattr(lot, kept) == getattr(waste, kept)
        assert 0.003 <= share(lot) <= 0.03
        recipes = bounded(waste, 500, 1)
        moved = shore.truth(lot, recipes)["cone_depth_mm"] / shore.truth(waste, recipes)["cone_depth_mm"]
        assert 0.005 < np.abs(np.log(moved)).mean() < 0.8


def test_kin_is_of_the_same_kind_with_habits_of_its_own(wastes):
    for waste in wastes[:6]:
        other = shore.kin(waste, 3)
        holds_the_interface(other)
        assert other == shore.kin(waste, 3)
        assert (other.kind, other.kitchen, other.roles) == (waste.kind, waste.kitchen, waste.roles)
        assert other.bounds != waste.bounds and other.brief != waste.brief
        assert 0.003 <= share(other) <= 0.03


def test_many_wastes_differ_in_kind_and_in_law():
    many = [shore.draw(number, 1) for number in range(24)]
    assert len({waste.kind for waste in many}) >= 5
    assert {waste.temper.law for waste in many} == {"jam", "net", "gel"}
