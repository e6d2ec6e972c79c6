"""The ingredient list: every value tagged, hazards where they bite, nothing claimed."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from slake.ground.problems import Problem
from slake.paste.ingredients import Basis, HowKnown, Ingredient, Role, catalogue, close_to, find, typical_of_role
from slake.paste.traits import Trait

SOURCES = tomllib.loads(
    (Path(__file__).parents[2] / "src" / "slake" / "ground" / "sources.toml").read_text(encoding="utf-8")
)
ALL = list(catalogue().values())
EACH = pytest.mark.parametrize("item", ALL, ids=lambda item: item.key)
STAGES = {"milling", "weighing", "wetting", "heating", "handling", "storing", "coating", "burial"}
EU_ALLERGENS = {"molluscs", "crustaceans", "egg", "gluten", "milk", "nuts", "lupin", "sulphites", "fish", "soy"}
CLAIMS = ("compostable", "biodegradable", "food-safe", "food safe", "non-toxic", "waterproof", "repel", "harmless")
NEEDED = """
mussel_shell oyster_shell egg_shell cockle_shell spent_grain coffee_grounds leaf_litter citrus_peel compost
wood_dust guar xanthan psyllium alginate starch gum_arabic cmc agar casein methylcellulose konjac pectin
gelatin glycerol water beeswax carnauba shellac soy_wax boiled_linseed_oil linseed_oil charcoal iron_oxide ochre
spirulina clove_oil rosemary_oil chilli garlic salt sorbate benzoate vinegar citric_acid quicklime slaked_lime borax
""".split()  # noqa: SIM905


def test_the_common_ones_are_there() -> None:
    assert set(NEEDED) <= set(catalogue())
    assert len(catalogue()) >= 55
    assert {item.role for item in ALL} == set(Role)


@EACH
def test_values_are_possible_and_tagged(item: Ingredient) -> None:
    assert 850 <= item.density_kg_m3.value.low <= item.density_kg_m3.value.high <= 5500
    assert 0 <= item.water_demand.value.low <= item.water_demand.value.high <= 10
    assert 0 <= item.moisture.value.low <= item.moisture.value.high <= 1
    values = (item.density_kg_m3, item.water_demand, item.moisture, item.fresh_moisture, item.linear_shrinkage)
    for known in (*(value for value in values if value), *((item.dose,) if item.dose else ()), *item.facts):
        if known.how in {HowKnown.READ, HowKnown.SECONDARY}:
            assert SOURCES[known.source]["how"] == known.how.value, "known no better than its source"
        else:
            assert known.how in {HowKnown.MEMORY, HowKnown.PRACTICE} and not known.source


@EACH
def test_gums_have_a_dose_per_water_and_no_other_enters_the_belief(item: Ingredient) -> None:
    assert (item.dose_per_100_water is not None) == (item.role in {Role.THICKENER, Role.BINDER})


@EACH
def test_doses_have_limits_outside_the_usual_and_the_basis_of_the_role(item: Ingredient) -> None:
    if item.role in {Role.THICKENER, Role.BINDER, Role.COAT, Role.PLASTICISER, Role.ADDITIVE}:
        assert item.dose is not None, "an additive without a dose cannot be judged"
    if item.dose is not None:
        assert 0 < item.dose.limits.low <= item.dose.usual.low < item.dose.usual.high <= item.dose.limits.high
        assert (item.dose.basis is Basis.AREA) == (item.role is Role.COAT)


def test_what_the_page_counts_is_what_is_in_the_list() -> None:
    beeswax = catalogue()["beeswax"]
    assert beeswax.how_known.count(HowKnown.READ) == 3  # density, two facts; it drinks none, so that is not counted
    counted = [how for item in ALL for how in item.how_known]
    assert counted.count(HowKnown.READ) >= 55
    assert set(counted) == {HowKnown.READ, HowKnown.SECONDARY, HowKnown.MEMORY, HowKnown.PRACTICE}


@EACH
def test_hazards_are_sentences_of_known_stages_and_claim_nothing(item: Ingredient) -> None:
    assert set(item.hazards) <= STAGES
    for sentence in item.hazards.values():
        assert sentence[0].isupper() and sentence.endswith(".")
        assert not any(claim in sentence.lower() for claim in CLAIMS)
    assert set(item.allergens) <= EU_ALLERGENS


@EACH
def test_powders_say_how_to_weigh_them(item: Ingredient) -> None:
    if item.role in {Role.FILLER, Role.FIBRE, Role.THICKENER, Role.BINDER}:
        assert "weighing" in item.hazards
    if item.role in {Role.FILLER, Role.FIBRE}:
        assert "milling" in item.hazards


@EACH
def test_coats_say_what_coating_and_burying_does(item: Ingredient) -> None:
    if item.role is Role.COAT:
        assert {"coating", "burial"} <= set(item.hazards)
    if Trait.HOT_COAT in item.traits:
        assert "heating" in item.hazards
    if Trait.DRYING_OIL in item.traits:
        assert {"coating", "storing"} <= set(item.hazards)
    if item.traits & {Trait.CAUSTIC, Trait.BORATE, Trait.PRESERVATIVE_BENZOATE, Trait.PRESERVATIVE_SORBATE, Trait.ACID}:
        assert "burial" in item.hazards


@pytest.mark.parametrize("key", ["salt", "slaked_lime", "quicklime", "borax", "clove_oil", "chilli", "iron_oxide"])
def test_what_harms_soil_says_so(key: str) -> None:
    assert "burial" in catalogue()[key].hazards


@EACH
def test_allergens_are_named_where_the_dust_is(item: Ingredient) -> None:
    if item.allergens and item.role is not Role.COAT:
        assert "weighing" in item.hazards
    if Trait.SENSITISER in item.traits:
        assert {"weighing", "coating"} & set(item.hazards)


@pytest.mark.parametrize(
    ("key", "stage", "word"),
    [
        ("mussel_shell", "milling", "mask"),
        ("mussel_shell", "heating", "quicklime"),
        ("mussel_shell", "weighing", "shellfish"),
        ("egg_shell", "handling", "Salmonella"),
        ("spent_grain", "weighing", "gluten"),
        ("spent_grain", "storing", "oulds"),
        ("citrus_peel", "wetting", "fizzes"),
        ("quicklime", "wetting", "boils"),
        ("slaked_lime", "weighing", "goggles"),
        ("beeswax", "heating", "water bath"),
        ("boiled_linseed_oil", "coating", "Rags"),
        ("salt", "burial", "kills"),
        ("chilli", "milling", "eyes"),
        ("borax", "weighing", "unborn"),
        ("psyllium", "weighing", "sensitiser"),
        ("casein", "weighing", "milk"),
        ("compost", "weighing", "spores"),
        ("wood_dust", "weighing", "mask"),
        ("linseed_oil", "storing", "coffee"),
        ("linseed_oil", "handling", "Rags"),
        ("alginate", "wetting", "Calcium"),
    ],
)
def test_the_caution_is_where_it_bites(key: str, stage: str, word: str) -> None:
    assert word in catalogue()[key].hazards[stage]


def test_food_waste_is_marked_raw_and_plant_waste_cellulose_rich() -> None:
    marked = {item.key for item in ALL if item.raw_food_waste}
    assert {"mussel_shell", "oyster_shell", "egg_shell", "spent_grain", "coffee_grounds", "citrus_peel"} <= marked
    rich = {item.key for item in ALL if item.cellulose_rich}
    assert {"spent_grain", "leaf_litter", "citrus_peel", "wood_dust"} <= rich
    assert not rich & {"mussel_shell", "egg_shell", "compost"}


def test_no_caution_names_a_partner_that_may_not_be_there() -> None:
    for key, partner in (("xanthan", "guar"), ("guar", "orax"), ("mussel_shell", "acid"), ("citric_acid", "shell")):
        assert not any(partner in sentence for sentence in catalogue()[key].hazards.values())


def test_cellulose_shrinks_more_than_shell() -> None:
    """Common practice, no source."""
    shell = catalogue()["mussel_shell"].linear_shrinkage
    for item in ALL:
        if item.cellulose_rich and item.linear_shrinkage is not None:
            assert shell is not None and item.linear_shrinkage.value.low > shell.value.high


@EACH
def test_each_is_found_by_each_of_its_names(item: Ingredient) -> None:
    for name in (item.key, item.name, *item.other_names, item.name.upper(), f"  {item.name} "):
        assert find(name) is item


@pytest.mark.parametrize("name", ["", "  ", "moon dust", "guarr", "x" * 10_000])
def test_an_unknown_name_is_none(name: str) -> None:
    assert find(name) is None


@pytest.mark.parametrize("role", list(Role))
def test_typical_of_a_role_is_wider_than_any_of_the_list(role: Role) -> None:
    made = typical_of_role("moon dust", role)
    assert made.density_kg_m3.how is HowKnown.TYPICAL
    assert made.key == "moon_dust"
    assert not made.traits


def test_a_nameless_ingredient_is_refused() -> None:
    with pytest.raises(Problem):
        typical_of_role("  ", Role.FILLER)


@pytest.mark.parametrize("said", ["ground oyster shell", "Dried, milled oyster shell", "oyster  shell, fine"])
def test_how_it_was_prepared_does_not_hide_what_it_is(said: str) -> None:
    assert find(said) is catalogue()["oyster_shell"]
    assert find("sieved compost") is catalogue()["compost"]  # its own name, not compost that was sieved
    assert find("ground") is None


def test_a_slip_of_the_finger_is_asked_about_and_never_guessed() -> None:
    assert find("ground oyster shel") is None
    assert close_to("ground oyster shel") is catalogue()["oyster_shell"]
    assert close_to("xantan") is catalogue()["xanthan"]
    assert close_to("seaweed ash") is None
