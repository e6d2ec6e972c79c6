"""Every rule speaks on its case and keeps quiet on a clean one; doses, cooking and coats; the rows of topic 12."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from slake.ground.problems import DoesNotFit, OutsideRange, Problem
from slake.paste.batch import LotFacts, plan_batch
from slake.paste.doses import dose_given
from slake.paste.ingredients import HowKnown, Role, catalogue, typical_of_role
from slake.paste.interactions import rules, rules_about, warnings_for
from slake.paste.mix import Effect, Mix, MixWarning, Severity
from slake.paste.order import rule_for
from slake.paste.recipe import Recipe

SOURCES = tomllib.loads(
    (Path(__file__).parents[2] / "src" / "slake" / "ground" / "sources.toml").read_text(encoding="utf-8")
)
CLAIMS = ("compostable", "biodegradable", "food-safe", "non-toxic", "waterproof", "repel", "harmless", "safe to")
SOFT, HARD = 0.05, 0.3
"""Water hardness, kg/m3 of CaCO3."""


def said(
    parts: dict[str, float], *, hard: float | None = SOFT, coats: tuple[str, ...] = (), cooked: tuple[str, ...] = ()
) -> tuple[MixWarning, ...]:
    listed = catalogue()
    return warnings_for(
        Mix(
            ingredients={key: listed[key] for key in parts},
            parts=parts,
            water_per_dry=0.7,
            hardness_kg_m3=hard,
            coats=tuple(listed[key] for key in coats),
            cooked=frozenset(cooked),
        )
    )


def rules_of(keys: str, **more) -> set[str]:
    names = keys.split()
    return {warning.rule for warning in said({key: 1 / len(names) for key in names}, **more)} - {"dose"}


def test_a_clean_recipe_is_quiet() -> None:
    """Kaolin, leaves and xanthan in soft water, at usual doses."""
    assert said({"kaolin": 0.693, "leaf_litter": 0.3, "xanthan": 0.007}) == ()


CASES = [
    ("guar_and_xanthan", "kaolin guar xanthan", "kaolin guar psyllium"),
    ("guar_and_xanthan", "kaolin locust_bean xanthan", "kaolin xanthan konjac"),
    ("borate_and_guar", "kaolin guar borax", "kaolin xanthan borax"),
    ("alkali_and_guar", "kaolin guar slaked_lime", "kaolin guar borax"),
    ("calcium_and_alginate", "mussel_shell alginate", "kaolin alginate"),
    ("calcium_and_alginate", "chalk pectin", "mussel_shell alginate sodium_citrate"),
    ("calcium_acid_and_alginate", "egg_shell alginate citrus_peel", "egg_shell alginate"),
    ("acid_and_carbonate", "oyster_shell vinegar", "kaolin vinegar"),
    ("acid_and_carbonate", "mussel_shell citrus_peel guar", "mussel_shell banana_peel guar"),
    ("acid_and_alkali", "kaolin slaked_lime citric_acid", "kaolin borax citric_acid"),
    ("acid_and_cmc", "kaolin cmc citric_acid", "kaolin xanthan citric_acid"),
    ("calcium_and_cmc", "chalk cmc", "kaolin cmc"),
    ("acid_and_bentonite", "kaolin bentonite citric_acid", "kaolin bentonite"),
    ("acid_and_casein", "kaolin casein vinegar", "chalk casein"),
    ("enzymes_and_starch", "kaolin starch wheat_flour", "kaolin starch"),
    ("enzymes_and_starch", "spent_grain starch", "leaf_litter starch"),
    ("sets_on_cooling", "kaolin agar", "kaolin alginate"),
    ("sets_on_cooling", "kaolin gelatin", "kaolin starch"),
    ("methylcellulose_heat", "kaolin methylcellulose", "kaolin cmc"),
    ("chitosan_and_carbonate", "egg_shell chitosan vinegar", "leaf_litter chitosan vinegar"),
    ("chitosan_needs_acid", "leaf_litter chitosan", "leaf_litter chitosan vinegar"),
    ("oil_and_binding", "coffee_grounds guar", "leaf_litter guar"),
    ("drying_oil_and_waste", "wood_dust guar linseed_oil", "kaolin guar linseed_oil"),
    ("drying_oil_alone", "kaolin linseed_oil", "wood_dust linseed_oil"),
    ("quicklime_and_water", "kaolin quicklime", "kaolin slaked_lime"),
    ("caustic_paste", "kaolin slaked_lime", "kaolin chalk"),
    ("psyllium_swells", "kaolin psyllium", "kaolin guar"),
    ("psyllium_dust", "kaolin psyllium", "kaolin konjac"),
    ("sticky_sugars", "banana_peel xanthan", "leaf_litter xanthan"),
    ("salt_pulls_water", "kaolin salt", "kaolin glycerol"),
    ("softener_and_damp", "kaolin glycerol", "kaolin salt"),
    ("sorbate_in_alkaline_paste", "mussel_shell sorbate", "leaf_litter sorbate"),
    ("benzoate_in_alkaline_paste", "mussel_shell benzoate", "leaf_litter benzoate"),
    ("sorbate_without_acid", "leaf_litter sorbate", "leaf_litter sorbate citric_acid"),
    ("benzoate_without_acid", "leaf_litter benzoate", "leaf_litter benzoate vinegar"),
    ("foams_when_stirred", "kaolin egg_white", "kaolin casein"),
    ("foams_when_stirred", "kaolin soapnut", "kaolin sorbitol"),
    ("feeds_mould", "kaolin starch", "kaolin guar"),
]


@pytest.mark.parametrize(("rule", "speaks", "quiet"), CASES)
def test_a_rule_speaks_on_its_case_and_not_on_another(rule: str, speaks: str, quiet: str) -> None:
    assert rule in rules_of(speaks)
    assert rule not in rules_of(quiet)


def test_every_rule_has_a_case() -> None:
    elsewhere = {"hard_water_and_alginate", "spirit_coat_and_alkali"}
    assert {rule for rule, _, _ in CASES} | elsewhere == {rule.name for rule in rules()}


def test_hard_water_sets_alginate_and_soft_water_does_not() -> None:
    """Practice: above 150 mg/L of CaCO3."""
    assert "hard_water_and_alginate" in rules_of("kaolin alginate", hard=HARD)
    assert "hard_water_and_alginate" not in rules_of("kaolin alginate", hard=0.15)
    assert "hard_water_and_alginate" not in rules_of("kaolin xanthan", hard=HARD)


def test_water_nobody_measured_makes_it_a_note_that_says_so() -> None:
    (unknown,) = [w for w in said({"kaolin": 0.97, "alginate": 0.03}, hard=None) if "hard_water" in w.rule]
    (known,) = [w for w in said({"kaolin": 0.97, "alginate": 0.03}, hard=HARD) if "hard_water" in w.rule]
    assert (unknown.severity, known.severity) == (Severity.NOTE, Severity.CARE)
    assert "Nobody has noted" in unknown.what and "Nobody has noted" not in known.what


SELF_HEATING = ["wood_dust", "coffee_grounds", "leaf_litter", "spent_grain", "paper_pulp", "plant_fibre", "citrus_peel"]


@pytest.mark.parametrize("filler", SELF_HEATING)
@pytest.mark.parametrize("oil", ["linseed_oil", "boiled_linseed_oil", "tung_oil"])
def test_row_12_04_drying_oil_on_plant_waste_is_self_heating(filler: str, oil: str) -> None:
    """Reference topic 12, row 04: with wood, coffee or leaf filler the warning for rags and wet stacks must come,
    whether the oil is in the paste or brushed on the part.
    """
    coat = catalogue()[oil].role is Role.COAT
    parts = {filler: 0.97, "guar": 0.01} | ({} if coat else {oil: 0.02})
    (found,) = [w for w in said(parts, coats=(oil,) if coat else ()) if w.effect is Effect.HEATS]
    assert found.severity is Severity.STOP
    assert "rags" in found.what and "wet stacks" in found.what and "self-heating" in found.what
    assert found.how is HowKnown.READ and found.source in SOURCES


def test_row_12_01_the_densities_of_the_row_are_within_the_list() -> None:
    """Calcite 2.71 and grounds 1.30 g/mL; the mixture itself is row 12-01 of tests/references."""
    assert catalogue()["chalk"].density_kg_m3.value.low <= 2710 <= catalogue()["chalk"].density_kg_m3.value.high
    assert catalogue()["coffee_grounds"].density_kg_m3.value.mid == 1300


TOPIC_12 = [
    # key, what, low, high: figures of reference topic 12 that are tagged read there
    ("egg_shell", "calcium carbonate", 94, 94),
    ("beeswax", "melts", 62, 65),
    ("guar", "viscosity", 2000, 22_500),
    ("xanthan", "viscosity", 1200, 2500),
    ("methylcellulose", "gels", 48, 55),
    ("chalk", "breathed deep", 5, 5),
    ("chalk", "all of it", 15, 15),
    ("carnauba", "melts", 82, 86),
]


@pytest.mark.parametrize(("key", "what", "low", "high"), TOPIC_12)
def test_facts_of_topic_12_lie_where_it_says(key: str, what: str, low: float, high: float) -> None:
    found = [fact for fact in catalogue()[key].facts if what in fact.what]
    assert found and all(low <= fact.value.low <= fact.value.high <= high for fact in found)


def test_a_coat_of_shellac_on_alkali() -> None:
    assert "spirit_coat_and_alkali" in rules_of("kaolin slaked_lime", coats=("shellac",))
    assert "spirit_coat_and_alkali" not in rules_of("kaolin starch", coats=("shellac",))


def test_a_coat_beside_the_paste_does_not_count_as_being_in_it() -> None:
    assert "coat" not in rules_of("kaolin guar", coats=("beeswax",))
    assert "oil_and_binding" not in rules_of("kaolin guar", coats=("boiled_linseed_oil",))


# doses, cooking, coats


def test_doses_are_counted_on_their_basis() -> None:
    listed = catalogue()
    mix = Mix(
        ingredients={key: listed[key] for key in ("kaolin", "guar", "salt")},
        parts={"kaolin": 0.96, "guar": 0.01, "salt": 0.03},
        water_per_dry=0.5,
    )
    assert dose_given(mix, listed["guar"]) == pytest.approx(2.0)  # 1 g in 50 g of water
    assert dose_given(mix, listed["salt"]) == pytest.approx(3.0)  # 3 g in 100 g dry
    assert dose_given(mix, listed["kaolin"]) is None
    assert dose_given(mix, listed["xanthan"]) is None


@pytest.mark.parametrize(
    ("guar", "words"), [(0.0005, "less than"), (0.0022, ""), (0.009, ""), (0.0278, ""), (0.03, "more than")]
)
def test_a_dose_outside_its_limits_is_said(guar: float, words: str) -> None:
    """At 0.7 g/g: limits 0.3 and 4 g per 100 g of water are 0.0021 and 0.028 of the dry mass."""
    found = [w for w in said({"kaolin": 1 - guar, "guar": guar}) if w.effect is Effect.DOSE]
    assert [words in w.what for w in found] == ([True] if words else [])


def test_without_water_known_doses_per_water_are_not_judged() -> None:
    listed = catalogue()
    mix = Mix(ingredients={k: listed[k] for k in ("kaolin", "guar")}, parts={"kaolin": 0.5, "guar": 0.5})
    assert not [w for w in warnings_for(mix) if w.effect is Effect.DOSE]


@pytest.mark.parametrize("key", ["starch", "agar", "potato_peel", "wheat_flour"])
def test_what_must_be_cooked_is_said_until_it_was(key: str) -> None:
    assert "uncooked" in rules_of(f"kaolin {key}")
    assert "uncooked" not in rules_of(f"kaolin {key}", cooked=(key,))
    assert "uncooked" not in rules_of("kaolin guar")


def test_a_coat_in_a_paste_is_a_stop_and_cannot_be_weighed() -> None:
    (found,) = [w for w in said({"kaolin": 0.99, "beeswax": 0.01}) if w.effect is Effect.COAT]
    assert found.severity is Severity.STOP and "dried part" in found.what
    lots = {
        "kaolin": LotFacts(role=Role.FILLER, moisture_wet_basis=0.01),
        "beeswax": LotFacts(role=Role.COAT, moisture_wet_basis=0.0),
    }
    with pytest.raises(DoesNotFit, match="beeswax is a coat and goes onto the dried part"):
        plan_batch(Recipe(parts={"kaolin": 0.99, "beeswax": 0.01}, water_per_dry=0.5), lots, 0.3)
    assert rule_for("beeswax", Role.COAT).name == "coat"


# what a warning says


@pytest.mark.parametrize("rule", rules(), ids=lambda rule: rule.name)
def test_a_rule_says_what_when_what_to_do_and_how_it_is_known(rule) -> None:
    assert rule.what.rstrip().endswith(".") and rule.do.endswith(".") and rule.when
    if rule.how is HowKnown.READ:
        assert SOURCES[rule.source]["how"] == "read"
    else:
        assert rule.how in {HowKnown.MEMORY, HowKnown.PRACTICE} and rule.source == ""
    assert not any(claim in f"{rule.what} {rule.do}".lower() for claim in CLAIMS)
    catalogued = set(catalogue())
    for group in (*rule.needs, *rule.unless):
        assert group.keys <= catalogued
        assert group.keys or group.roles or group.traits
    fitting = [[item for item in catalogue().values() if group.met_by(item)] for group in rule.needs]
    assert all(fitting), "a group no ingredient meets never speaks"


def test_every_trait_of_the_list_is_asked_for_by_some_rule_or_page() -> None:
    asked = {trait for rule in rules() for group in (*rule.needs, *rule.unless) for trait in group.traits}
    only_for_hazards_and_cooking = {"hot_coat", "spirit_coat", "sensitiser", "gum", "cooked"}
    used = {trait for item in catalogue().values() for trait in item.traits}
    assert {trait.name.lower() for trait in used - asked} <= only_for_hazards_and_cooking


def test_the_worst_comes_first_and_each_rule_once() -> None:
    found = said({"mussel_shell": 0.5, "citrus_peel": 0.3, "oyster_shell": 0.15, "alginate": 0.05})
    order = [list(Severity).index(w.severity) for w in found]
    assert order == sorted(order)
    names = [w.rule for w in found if w.rule != "dose"]
    assert len(names) == len(set(names))
    (fizz,) = [w for w in found if w.effect is Effect.FIZZES]
    assert set(fizz.about) == {"mussel shell", "oyster shell", "citrus peel"}


def test_an_ingredient_at_nothing_is_not_there() -> None:
    assert said({"kaolin": 0.993, "xanthan": 0.007, "guar": 0.0}) == ()


def test_an_ingredient_nobody_knows_has_no_interactions_and_does_not_stop_the_others() -> None:
    strange = typical_of_role("moon dust", Role.FILLER)
    listed = catalogue()
    mix = Mix(
        ingredients={"moon_dust": strange, "guar": listed["guar"], "borax": listed["borax"]},
        parts={"moon_dust": 0.98, "guar": 0.01, "borax": 0.01},
        water_per_dry=0.7,
    )
    assert "borate_and_guar" in {w.rule for w in warnings_for(mix)}
    assert rules_about(strange) == ()


def test_rules_about_an_ingredient_are_those_it_can_set_off() -> None:
    assert {"guar_and_xanthan", "borate_and_guar"} <= {rule.name for rule in rules_about(catalogue()["guar"])}
    assert rules_about(catalogue()["kaolin"]) == ()
    lime = {rule.name for rule in rules_about(catalogue()["quicklime"])}
    assert "quicklime_and_water" in lime and "caustic_paste" not in lime
    oiled = {rule.name for rule in rules_about(catalogue()["boiled_linseed_oil"])}
    assert "drying_oil_and_waste" in oiled and "oil_and_binding" not in oiled


def test_an_empty_mix_is_quiet_and_bad_ones_are_refused() -> None:
    assert warnings_for(Mix(ingredients={}, parts={})) == ()
    with pytest.raises(Problem, match="nothing is known of guar"):
        Mix(ingredients={}, parts={"guar": 1.0})
    for hard in (-0.1, 2.5, float("nan"), float("inf")):
        with pytest.raises(OutsideRange, match="hardness"):
            Mix(ingredients={}, parts={}, hardness_kg_m3=hard)
