"""Who is at this device, and the room they work in."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST

from slake.actions.setting_up import ROOM_LIMITS, add_person, say_room
from slake.records.models import Person, Room

from ..asking import attempt, form_page, person_here, remember_person, show
from ..forms import Asking, line, number, read_within


class PersonForm(Asking):
    name = line("Your name or sign", hint="It goes beside what you weigh and read. No account, no password.")


@form_page
def people(request: HttpRequest) -> HttpResponse:
    """Pick one person for this device, or add one."""
    form = PersonForm(request.POST or None)
    who = attempt(request, form, lambda entry: add_person(entry, form.typed["name"]))
    if who is not None:
        remember_person(request, who.pk, who.name)
        return redirect("home")
    everyone = Person.objects.order_by("name")
    return show(request, "pages/people/pick.html", form, everyone=everyone, here=person_here(request))


@require_POST
def pick_person(request: HttpRequest) -> HttpResponse:
    """This device remembers who is at it; nothing on the bench changes."""
    text = request.POST.get("person", "")
    who = Person.objects.filter(pk=int(text)).first() if text.isascii() and text.isdigit() and len(text) < 10 else None
    remember_person(request, who.pk if who else None, who.name if who else "")
    return redirect("people")


class RoomForm(Asking):
    temperature_c = number("Temperature", "C")
    humidity_percent = number("Humidity", "%")
    water_hardness_mg_l = number(
        "Hardness of the water", "mg/L CaCO3", hint="Hard water (above about 150) sets alginate: common practice."
    )


read_within(RoomForm, ROOM_LIMITS)


@form_page
def room(request: HttpRequest) -> HttpResponse:
    """Air and water of the bench, asked once."""
    now = Room.objects.last()
    form = RoomForm(request.POST or None, initial=_as_typed(now))
    if attempt(request, form, lambda entry: say_room(entry, form.typed)) is not None:
        return redirect("room")
    return show(request, "pages/room/say.html", form, now=now, earlier=Room.objects.order_by("-since", "-id")[1:11])


def _as_typed(row: Room | None) -> dict[str, str]:
    return {name: "" if (value := getattr(row, name, None)) is None else f"{value:g}" for name in RoomForm.base_fields}
