"""Buckets of fresh waste: is this one worth taking, how far is it on the way to powder, and the lot it becomes."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_safe

from slake.actions.asked import per_print_kg_asked
from slake.actions.bucket_lot import make_lot
from slake.actions.bucket_told import drying_of, item_of, leaves_of, steps_of, told_of
from slake.actions.buckets import (
    ACCEPTED,
    OPEN_FIELDS,
    REFUSED,
    STEPS,
    WET,
    look_at_bucket,
    strike_bucket_weighing,
    take_bucket,
    weigh_bucket,
)
from slake.ground.problems import plain
from slake.ground.units import from_si
from slake.paste.bucket import USUAL_DRY_KG_PER_PRINT
from slake.paste.fresh import fresh_of
from slake.paste.ingredients import Role, catalogue
from slake.records.models import Bucket, BucketWeighing

from ..asking import attempt, form_page, show
from ..forms import Asking, choice, line, needed, number, pick, read_within, words
from ..paging import page_of
from .address import from_address, told_or_why

ROLES = [("", "as slake knows it"), *((role.value, role.value) for role in Role)]
DOING = {
    "cleaning": "cleaning: washed and drained",
    "boiling": "boiling",
    "baking": "baking",
    "drying": "drying",
}


@require_safe
def buckets(request: HttpRequest) -> HttpResponse:
    """Newest first, each with what was decided."""
    page = page_of(request, Bucket.objects.select_related("lot"))
    rows = [(row, item_of(row)) for row in page.rows]
    return show(request, "stock/buckets.html", page=page, rows=rows)


class NewForm(Asking):
    """Only what, where from and how heavy is needed."""

    ingredient = needed(
        line("What is it", known="ingredients", hint="Such as mussel shell, spent grain, coffee grounds.")
    )
    source = needed(line("Where from", hint="Who gave it; their name for it is enough."))
    wet_g = needed(number("Wet mass", "g", open_word="", hint="As it stands, the bucket's own mass taken off."))
    hours_old = number("Hours old", "h", hint="Since it was eaten, brewed or cut.")
    temperature_c = number("Where it stands", "C", hint="A fridge is about 5, a room about 20.")
    moisture_percent = number("Moisture, of the mass as it is", "%", hint="Only if somebody weighed it.")
    role = pick("What it is there for", ROLES, hint="Only needed where slake does not know the waste.")
    note = words("Note", hint="Smell, what is mixed in.", rows=2)

    FIRST = ("ingredient", "source", "wet_g", "hours_old")

    @property
    def first(self) -> list[object]:
        return [self[name] for name in self.FIRST]

    @property
    def more(self) -> list[object]:
        return [field for field in self.asked if field.name not in self.FIRST]


read_within(NewForm, {**OPEN_FIELDS, "wet_g": ("Wet mass", WET)})


@form_page
def new(request: HttpRequest) -> HttpResponse:
    """A bucket stands at the door: what is known of it."""
    form = NewForm(request.POST or None)
    kept = attempt(request, form, lambda entry: look_at_bucket(entry, form.typed))
    if kept is not None:
        return redirect("bucket", kept.pk)
    return show(request, "stock/new_bucket.html", form, catalogue=catalogue().values())


class DecideForm(Asking):
    reason = line("Why", hint="Needed where you refuse it: smell, fuzz, slime, too old, no room.", longest=500)


@form_page
def bucket(request: HttpRequest, bucket_id: int) -> HttpResponse:
    """What it is worth, then the decision; once taken, how far it is."""
    one = get_object_or_404(Bucket.objects.select_related("lot"), pk=bucket_id)
    form = DecideForm(request.POST or None, initial={"revision": one.revision})
    decision = request.POST.get("decision", "")
    done = attempt(
        request,
        form,
        lambda entry: take_bucket(entry, bucket_id, decision, form.typed["reason"], form.seen_revision),
    )
    if done is not None:
        return redirect("bucket", bucket_id)
    if form.moved_on:
        form.see_revision(one.revision)
    return _page(request, one, form)


def _page(request: HttpRequest, one: Bucket, form: DecideForm) -> HttpResponse:
    typed = from_address(request, ["dry_g"])["dry_g"]
    per_print_kg, why = told_or_why(lambda: per_print_kg_asked(typed), lambda: USUAL_DRY_KG_PER_PRINT)
    refused = form.sentences if form.is_bound else why
    context = {
        "bucket": one,
        "form": form,
        "told": told_of(one, per_print_kg),
        "per_print_kg": per_print_kg,
        "leaves": leaves_of(one),
        "steps": steps_of(one),
        "struck": one.weighings.exclude(strike=None).select_related("strike"),
        "dry_g": typed or plain(from_si(per_print_kg, "g")),
        "answers": (ACCEPTED, REFUSED),
        "sentences": refused,
    }
    return render(request, "stock/bucket.html", context, status=422 if refused else 200)


class WeighForm(Asking):
    step = choice("What is being done to it", list(DOING.items()))
    grams = number("On the scale", "g", open_word="", hint="Always with the same tray taken off.")
    minutes_ago = number("Minutes ago", "min", open_word="now")


@form_page
def weigh(request: HttpRequest, bucket_id: int) -> HttpResponse:
    """One weighing of one step."""
    one = get_object_or_404(Bucket, pk=bucket_id)
    last = one.weighings.filter(strike=None).last()
    form = WeighForm(request.POST or None, initial={"step": last.step if last else STEPS[0]})
    if attempt(request, form, lambda entry: weigh_bucket(entry, bucket_id, form.typed)) is not None:
        return redirect("bucket", bucket_id)
    return show(request, "stock/weigh_bucket.html", form, bucket=one, item=item_of(one), last=last)


class StrikeForm(Asking):
    reason = words("Why", hint="The weighing stays readable; this says why it does not count.", rows=2)


@form_page
def strike_weighing(request: HttpRequest, weighing_id: int) -> HttpResponse:
    """A line through one weighing, with the reason."""
    row = get_object_or_404(BucketWeighing.objects.select_related("bucket"), pk=weighing_id)
    form = StrikeForm(request.POST or None)
    done = attempt(request, form, lambda entry: strike_bucket_weighing(entry, weighing_id, form.typed["reason"]))
    if done is not None:
        return redirect("bucket", row.bucket_id)
    return show(request, "stock/strike_weighing.html", form, row=row)


class LotForm(Asking):
    """The powder, and what is kept aside of it before anything is used."""

    grams = number("Powder, as it is now", "g", open_word="", hint="All of it, the sample still in it.")
    sample_g = number("Sample kept aside", "g", hint="30 to 50 g, before anything is used: to read it again later.")
    sample_where = line("Where the sample is", hint="Shelf and label, closed and dry.", longest=300)
    sieve_um = number("Sieved at", "um", hint="“500”, or in mm: “0,5 mm”.")
    milled = line("How it was milled", longest=500)
    name = line("Your name for this lot", hint="Left empty it is called after the ingredient.")
    note = words("Note", rows=2)


@form_page
def lot_of_it(request: HttpRequest, bucket_id: int) -> HttpResponse:
    """The sieved powder as a lot."""
    one = get_object_or_404(Bucket, pk=bucket_id)
    form = LotForm(request.POST or None)
    made = attempt(request, form, lambda entry: make_lot(entry, bucket_id, form.typed))
    if made is not None:
        return redirect("lot", made.pk)
    item = item_of(one)
    context = {"bucket": one, "item": item, "drying": drying_of(one), "store_below": fresh_of(item).store_below}
    return show(request, "stock/bucket_lot.html", form, **context)
