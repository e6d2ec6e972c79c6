"""What slake knows of ingredients: the list, counted by how each value is known, and one page for each."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from django.http import Http404, HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from slake.bench.describe import known_sources
from slake.paste.ingredients import HowKnown, Ingredient, Role, catalogue
from slake.paste.interactions import Group, Rule, rules, rules_about
from slake.records.models import Lot
from slake.records.values import ingredient_of

from ..asking import show

STAGES = ("milling", "weighing", "wetting", "heating", "handling", "coating", "storing", "burial")
JUDGED = ("milling", "heating", "wetting", "coating", "burial")
"""Stages of which every page says something: a caution, or that nothing is known."""
COUNTED = (HowKnown.READ, HowKnown.SECONDARY, HowKnown.MEMORY, HowKnown.PRACTICE)
ABSTRACT = "abstract"
"""How `seen` of a source begins where no more than its abstract was read."""
RestsOn = tuple[HowKnown, str]


@dataclass(frozen=True, kw_only=True)
class Counts:
    """How many values are known in which way; `abstract` of those read, by an abstract only."""

    read: int
    abstract: int
    secondary: int
    memory: int
    practice: int

    @property
    def together(self) -> int:
        return self.read + self.secondary + self.memory + self.practice


def _counts(all_of_them: Sequence[RestsOn]) -> Counts:
    found = Counter(how for how, _ in all_of_them)
    abstract = sum(how is HowKnown.READ and by_abstract(source) for how, source in all_of_them)
    return Counts(abstract=abstract, **{how.value: found[how] for how in COUNTED})


def by_abstract(source: str) -> bool:
    """Whether no more than the abstract of this source was read."""
    return str(known_sources().get(source, {}).get("seen", "")).startswith(ABSTRACT)


def counts_of(items: Sequence[Ingredient]) -> Counts:
    """Counted from the list itself; the limits of a dose go with the dose."""
    return _counts([each for item in items for each in item.rests_on])


def counts_of_rules(every: Sequence[Rule]) -> Counts:
    return _counts([(rule.how, rule.source) for rule in every])


@require_safe
def ingredients(request: HttpRequest) -> HttpResponse:
    """The list, all of it or those of one role; what was asked for and is no role shows all."""
    every = list(catalogue().values())
    wanted = request.GET.get("role", "")
    role = next((role for role in Role if role.value == wanted), None)
    return show(
        request,
        "ingredients/list.html",
        shown=[item for item in every if role is None or item.role is role],
        role=role,
        roles=[(each, sum(item.role is each for item in every)) for each in Role],
        every=len(every),
        counts=counts_of(every),
        rule_counts=counts_of_rules(rules()),
    )


@require_safe
def ingredient(request: HttpRequest, key: str) -> HttpResponse:
    """Everything of one: values, dose, what it does with others, cautions by stage, and how each is known."""
    item = catalogue().get(key)
    if item is None:
        raise Http404("no such ingredient")
    return show(
        request,
        "ingredients/one.html",
        item=item,
        counts=counts_of([item]),
        cautions=[(stage, item.hazards.get(stage)) for stage in STAGES if stage in item.hazards or stage in JUDGED],
        meets=[(rule, _partners(rule, item), _do(rule, item)) for rule in rules_about(item)],
        traits=sorted(trait.value for trait in item.traits),
        lots=[lot for lot in Lot.objects.order_by("name") if ingredient_of(lot).key == item.key],
    )


def _partners(rule: Rule, item: Ingredient) -> str:
    """What has to come together for the rule, in words, with the ingredient itself where it meets a group."""
    here = [each for each in catalogue().values() if rule.also_coats or each.role is not Role.COAT]
    return " + ".join(item.name if group.met_by(item) else _group_words(group, here) for group in rule.needs)


def _do(rule: Rule, item: Ingredient) -> str:
    """What to do about it, with the ingredient by its name and whatever it meets as “the other”."""
    names = [item.name if group.met_by(item) else "the other" for group in rule.needs]
    return rule.do.format(*names).replace("the the other", "the other")


def _group_words(group: Group, here: Sequence[Ingredient]) -> str:
    listed = [each for each in here if group.met_by(each)]
    names = [each.name for each in listed[:4]]
    return f"any of {len(listed)}, such as {', '.join(names)}" if len(listed) > 4 else " or ".join(names)
