"""The list of ingredients counts itself; one page says all; a mix that will misbehave says so before weighing."""

from __future__ import annotations

import re

import pytest
from django.utils.html import escape

from slake.actions.lots import take_lots
from slake.actions.mixes import mix_of, warnings_of_parts
from slake.actions.notebook import look_at, take_in
from slake.actions.setting_up import say_room
from slake.bench.describe import known_sources
from slake.ground.problems import Problem
from slake.pages.templatetags.bench import HOW_WORDS
from slake.pages.views.ingredients import counts_of
from slake.paste.ingredients import HowKnown, Role, catalogue
from slake.paste.interactions import rules_about
from slake.records.models import Batch, Blend, Lot

ALL = list(catalogue().values())


def text_of(answer) -> str:
    return re.sub(r"\s+", " ", re.sub("<[^>]+>", " ", answer.content.decode()))


def test_the_list_counts_from_the_data_how_each_value_is_known(client) -> None:
    known = [how for item in ALL for how in item.how_known]
    page = text_of(client.get("/ingredients/"))
    for how, words in (
        (HowKnown.READ, "read in a source"),
        (HowKnown.SECONDARY, "in a text that reports another"),
        (HowKnown.MEMORY, "from memory"),
        (HowKnown.PRACTICE, "common practice without a source"),
    ):
        assert f"{known.count(how)} {words}" in page
    assert f"{len(ALL)} ingredients with {len(known)} values" in page


def test_of_the_values_read_those_of_an_abstract_only_are_counted(client) -> None:
    """`seen` of the source says it; the share the page prints is that of the list and of the sources."""
    read = [source for item in ALL for how, source in item.rests_on if how is HowKnown.READ]
    abstract = [source for source in read if known_sources()[source]["seen"].startswith("abstract")]
    assert 0 < len(abstract) < len(read)
    page = text_of(client.get("/ingredients/"))
    assert f"{len(read)} read in a source ({len(abstract)} of them in its abstract only)" in page
    assert "in an abstract only)" in text_of(client.get("/ingredients/rice_husk/"))
    assert "in an abstract only)" not in text_of(client.get("/ingredients/beeswax/"))


def test_a_value_more_is_counted_one_more() -> None:
    some = [item for item in ALL if item.key in {"guar", "beeswax"}]
    both, first = counts_of(some), counts_of(some[:1])
    assert both.together == len(some[0].how_known) + len(some[1].how_known) > first.together


@pytest.mark.parametrize("role", list(Role))
def test_the_list_is_sifted_by_role(client, role: Role) -> None:
    page = client.get("/ingredients/", {"role": role.value}).content.decode()
    shown = set(re.findall(r'href="/ingredients/([a-z_]+)/"', page))
    assert shown == {item.key for item in ALL if item.role is role}


@pytest.mark.parametrize("odd", ["", "moon", "x" * 9000, "filler'--", "<script>"])
def test_a_role_there_is_none_of_shows_all(client, odd: str) -> None:
    answer = client.get("/ingredients/", {"role": odd})
    assert answer.status_code == 200 and "/ingredients/water/" in answer.content.decode()
    assert "<script>" not in answer.content.decode().replace("<script defer", "")


@pytest.mark.parametrize("item", ALL, ids=lambda item: item.key)
def test_each_page_says_values_dose_hazards_and_how_known(client, item) -> None:
    page = client.get(f"/ingredients/{item.key}/")
    assert page.status_code == 200
    words = text_of(page)
    for stage in item.hazards:
        assert stage in words
    if item.dose is not None:
        assert item.dose.basis.value in words and "slake warns" in words
    for fact in item.facts:
        assert (fact.what[:1].upper() + fact.what[1:]) in words
    assert len(item.how_known) == int(re.search(r"(\d+) values:", words)[1])


@pytest.mark.parametrize("item", ALL, ids=lambda item: item.key)
def test_each_page_says_all_that_is_asked_of_an_ingredient_or_that_it_is_not_known(client, item) -> None:
    """Density, water demand, dose and limits, interactions, and cautions of five stages, each with how it is known."""
    html = client.get(f"/ingredients/{item.key}/").content.decode()
    said = dict(re.findall(r"<dt>(.*?)</dt>\s*<dd>(.*?)</dd>", html, re.S))
    known = {"Density of the dry solid": item.density_kg_m3, "Water it drinks, per dry": item.water_demand}
    for what, value in known.items():
        assert HOW_WORDS[value.how] in said[what] or (not value.value.high and "none counted" in said[what])
    if item.dose is None:
        assert "not known" in said["Usual dose and its limits"]
    else:
        assert HOW_WORDS[item.dose.how] in said["Usual dose"] and "above" in said["slake warns"]
    for stage in ("milling", "heating", "wetting", "coating", "burial"):
        assert escape(item.hazards.get(stage, "")) in said[stage]
        assert stage in item.hazards or "nothing known to slake: no clearance" in said[stage]
    assert bool(rules_about(item)) != ("Not known: no rule of slake" in html)
    assert "the the" not in html and "{0}" not in html and "{1}" not in html


def test_an_ingredient_there_is_none_of_is_not_found(client) -> None:
    assert client.get("/ingredients/moon_dust/").status_code == 404
    assert client.get("/ingredients/" + "x" * 3000 + "/").status_code == 404


def test_lots_lead_to_their_ingredient_and_back(client, bench) -> None:
    assert '/ingredients/mussel_shell/"' in client.get(f"/lots/{bench.shell.pk}/").content.decode()
    assert '/ingredients/"' in client.get("/lots/").content.decode()
    assert f"/lots/{bench.shell.pk}/" in client.get("/ingredients/mussel_shell/").content.decode()


# before weighing


def test_a_recipe_that_will_gel_says_so_on_its_page_and_at_the_bench_before_the_first_pour(client, bench) -> None:
    """Shell and alginate: reference topic 12, alginate."""
    recipe, batch = bench.runny.recipe, bench.runny
    for address in (f"/recipes/{recipe.pk}/", f"/batches/{batch.number}/bench/"):
        page = text_of(client.get(address))
        assert "Calcium from mussel shell sets sodium alginate early" in page, address
        assert "Add the mussel shell last" in page
    bench_page = client.get(f"/batches/{batch.number}/bench/").content.decode()
    assert bench_page.index("sets sodium alginate early") < bench_page.index('id="weigh"')


def test_guar_without_xanthan_hears_nothing_of_xanthan(client, bench) -> None:
    page = text_of(client.get(f"/batches/{bench.runny.number}/bench/"))
    assert "stiffer than either" not in page


def test_self_heating_is_said_on_the_recipe_page(client, entry) -> None:
    """Reference topic 12, row 12-04."""
    take_lots(entry(), [{"ingredient": "sawdust"}, {"ingredient": "guar"}, {"ingredient": "linseed oil"}])
    (batch,) = take_in(entry(), "wood dust 300, guar 5, linseed 9, water 500 - too runny").batches
    page = text_of(client.get(f"/recipes/{batch.recipe.pk}/"))
    assert "Stop:" in page and "is self-heating: rags, dust and wet stacks of it can catch fire" in page
    assert "Safety data sheet, linseed oil" in page


def test_hardness_of_the_room_decides_about_alginate(databases, entry) -> None:
    take_lots(entry(), [{"ingredient": "kaolin"}, {"ingredient": "alginate"}])
    parts = {"kaolin": 0.97, "sodium alginate": 0.03}

    def severity() -> list[str]:
        return [w.severity.value for w in warnings_of_parts(parts, 0.7) if w.rule == "hard_water_and_alginate"]

    assert severity() == ["note"]
    say_room(entry(), {"water_hardness_mg_l": "320"})
    assert severity() == ["care"]
    say_room(entry(), {"water_hardness_mg_l": "40"})
    assert severity() == []


def test_a_blend_is_warned_of_by_its_parents(databases, entry) -> None:
    shell, peel, guar = take_lots(
        entry(), [{"ingredient": "oyster shell"}, {"ingredient": "orange peel"}, {"ingredient": "guar"}]
    )
    mixed = Lot.objects.create(name="brunch", ingredient="brunch", role="filler", since=shell.since)
    for number, parent in enumerate((shell, peel)):
        Blend.objects.create(child=mixed, parent=parent, grams=50, at=shell.since, entry=f"blend{number}")
    assert "acid_and_carbonate" in {w.rule for w in warnings_of_parts({"brunch": 0.99, guar.name: 0.01}, 0.7)}
    mix = mix_of({mixed: 0.99, guar: 0.01}, 0.7)
    assert sum(mix.parts.values()) == pytest.approx(1) and "oyster_shell" in mix.parts


def test_starch_that_stood_hot_and_wet_is_cooked(databases, entry) -> None:
    (starch,) = take_lots(entry(), [{"ingredient": "starch"}])
    parts = {starch.name: 1.0}
    assert "uncooked" in {w.rule for w in warnings_of_parts(parts, 10.0)}
    for log, cooked in (([[30, 85, "dry"]], False), ([[30, 70, "wet"]], False), ([[12, 85, "wet"]], True)):
        Lot.objects.filter(pk=starch.pk).update(heat_log=log)
        assert ("uncooked" not in {w.rule for w in warnings_of_parts(parts, 10.0)}) is cooked


# coats


def test_a_coat_is_a_lot_like_others_but_is_not_mixed(client, bench, entry, form_in) -> None:
    (wax,) = take_lots(entry(), [{"ingredient": "beeswax", "grams": "400"}])
    assert wax.role == "coat"
    page = text_of(client.get(f"/lots/{wax.pk}/"))
    assert "g per m2 of surface" in page and "water bath" in page
    assert client.get("/lots/").status_code == 200
    seen = look_at("shell 300, beeswax 5, guar 3, water 150 - good")
    assert any("is a coat and goes onto the dried part" in problem for problem in seen.problems)
    with pytest.raises(Problem, match="is a coat"):
        take_in(entry(), "shell 300, beeswax 5, guar 3, water 150 - good")
    unknown = client.post("/notebook/", {"lines": "shell 300, moonwax 5, water 150 - good", "look": "yes"})
    assert "new:filler" in unknown.content.decode() and "new:coat" not in unknown.content.decode()


def test_the_next_batch_leaves_coats_out(client, bench, entry) -> None:
    take_lots(entry(), [{"ingredient": "beeswax"}, {"ingredient": "my own varnish", "role": "coat"}])
    assert client.post("/next/work/", {"entry": "wax1"}).status_code == 302
    page = text_of(client.get("/next/"))
    assert "Weigh it out" in page and "beeswax" not in page.lower() and "varnish" not in page
    assert "Before you weigh" in page and "sets sodium alginate early" in page
    assert page.index("Before you weigh") < page.index("Weigh it out")


def test_a_bench_with_coats_only_has_nothing_to_mix_from(client, entry) -> None:
    take_lots(entry(), [{"ingredient": "beeswax"}])
    assert "nothing to mix from yet" in text_of(client.get("/next/"))


def test_the_printed_sheet_says_before_weighing_what_the_mix_will_do(client, bench) -> None:
    page = text_of(client.get(f"/batches/{bench.runny.number}/sheet/"))
    assert "Before you weigh" in page and "sets sodium alginate early" in page
    assert page.index("sets sodium alginate early") < page.index("Weigh as received")
    assert page.count("Wear a dust mask while the dry powder is handled.") == 1


def test_a_coat_of_this_bench_says_on_the_recipe_what_it_does_on_such_a_part(client, entry) -> None:
    """Reference topic 12, row 12-04: oil brushed on parts of wood waste heats itself."""
    take_lots(entry(), [{"ingredient": "sawdust"}, {"ingredient": "guar"}])
    (batch,) = take_in(entry(), "sawdust 300, guar 5, water 500 - too runny").batches
    address = f"/recipes/{batch.recipe.pk}/"
    assert "If you coat it" not in text_of(client.get(address))
    take_lots(entry(), [{"ingredient": "boiled linseed oil"}, {"ingredient": "beeswax"}])
    page = text_of(client.get(address))
    assert "If you coat it" in page and "is self-heating: rags, dust and wet stacks" in page.split("If you coat it")[1]
    assert "beeswax" not in page.split("If you coat it")[1]
    own = text_of(client.get("/ingredients/boiled_linseed_oil/"))
    assert "Dry the pieces singly with air all round" in own


def test_a_recipe_lists_its_batches_a_page_at_a_time(client, bench, entry) -> None:
    recipe = bench.runny.recipe
    Batch.objects.bulk_create(Batch(number=n, recipe=recipe, since=entry().at, water_g=100) for n in range(100, 145))
    numbers, address = [], f"/recipes/{recipe.pk}/"
    for _ in range(4):
        page = client.get(address).content.decode()
        numbers += [int(n) for n in re.findall(r">Batch (\d+), ", page)]
        older = re.search(r'href="(\?before=\d+)">Older<', page)
        if older is None:
            break
        address = f"/recipes/{recipe.pk}/{older[1]}"
    assert len(numbers) == 46 == len(set(numbers)) and numbers == sorted(numbers, reverse=True)


def links_of(client, address: str) -> set[str]:
    return set(re.findall(r'href="([^"#]+)"', client.get(address).content.decode()))


def test_a_newcomer_finds_the_list_the_heat_log_and_blending_in_two_taps(client, bench) -> None:
    """From the first page, and the list from the very first form."""
    assert "/ingredients/" in links_of(client, "/start/")
    first = links_of(client, "/")
    assert {"/ingredients/", "/lots/"} <= first
    assert {f"/lots/{bench.shell.pk}/heat/", "/blend/", "/ingredients/"} <= links_of(client, "/lots/")
