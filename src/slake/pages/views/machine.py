"""The machine as it is today; a change is a dated revision, the earlier ones stay."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect

from slake.actions.setting_up import MACHINE_LIMITS, NEEDED_OF_MACHINE, describe_machine
from slake.ground.problems import plain
from slake.records.models import Batch, Brief, Machine

from ..asking import attempt, form_page, show
from ..forms import Asking, line, needed, number, read_within, words


class MachineForm(Asking):
    name = line("Name", hint="What you call it. The same name again is a change of the same machine.")
    nozzle_mm = number("Nozzle bore", "mm", open_word="")
    barrel_mm = number("Barrel bore", "mm", open_word="")
    force_n = number("Ram force", "N", hint="1 kg on the ram is 9.81 N. The two lines below are enough instead.")
    pushed_cone_mm = number("Stiffest paste it pushed, as a cone reading", "mm")
    stalled_cone_mm = number("Paste that stalled it, as a cone reading", "mm", hint="Stiffer, so the smaller number.")
    land_mm = number("Nozzle land", "mm", hint="The length of the narrow, straight part.")
    layer_height_mm = number("Layer height", "mm", hint="Usual: 0.4 to 0.7 of the nozzle bore (common practice).")
    cartridge_ml = number("Cartridge volume", "mL")
    fill_mm = number("Paste in a full barrel, its length", "mm")
    bead_speed_mm_s = number("Speed of the bead", "mm/s", hint="Usual: 10 to 30 (common practice).")
    bead_width_mm = number("Width of the bead", "mm", hint="Usual: 1.0 to 1.4 of the nozzle bore (common practice).")
    ring_friction_n = number("Friction of the ring", "N", hint="What it takes to push the empty, wetted ram.")
    motor_torque_nm = number(
        "Motor torque", "N m", hint="With the lead it gives the force, where that is not measured."
    )
    screw_lead_mm = number("Lead of the screw", "mm", hint="How far the ram goes in one turn.")
    drive_efficiency_percent = number("Efficiency of the drive", "%", hint="Usual: 25 to 66 (common practice).")
    fixtures = line("Bed, heater, fan", longest=200)
    changed = line("What is new since the last time", hint="Such as: heater added; 3 mm nozzle.", longest=200)
    note = words("Note", rows=2)

    FIRST = ("name", "nozzle_mm", "barrel_mm", "force_n", "pushed_cone_mm", "stalled_cone_mm", "changed")

    @property
    def first(self) -> list[object]:
        return [self[name] for name in self.FIRST]

    @property
    def more(self) -> list[object]:
        return [field for field in self.asked if field.name not in self.FIRST]


read_within(MachineForm, MACHINE_LIMITS)
for _name in NEEDED_OF_MACHINE:
    needed(MachineForm.base_fields[_name])


@form_page
def machine(request: HttpRequest) -> HttpResponse:
    """Say what the printer is today."""
    now = Machine.objects.last()
    form = MachineForm(request.POST or None, initial=_as_typed(now))
    kept = attempt(request, form, lambda entry: describe_machine(entry, form.typed))
    if kept is not None:
        bores = f"nozzle {plain(kept.nozzle_mm)} mm, barrel {plain(kept.barrel_mm)} mm"
        messages.success(request, f"Kept: {kept.name}, {bores}. It is so from now on; batches before keep theirs.")
        return redirect("machine" if Batch.objects.exists() or Brief.objects.exists() else "brief")
    earlier = Machine.objects.order_by("-since", "-id")[1:21]
    return show(request, "pages/machine/describe.html", form, now=now, earlier=earlier)


def _as_typed(row: Machine | None) -> dict[str, str]:
    if row is None:
        return {}
    values = {name: getattr(row, name) for name in MachineForm.base_fields if hasattr(row, name) and name != "changed"}
    return {name: _text(value) for name, value in values.items()}


def _text(value: object) -> str:
    return "" if value is None else f"{value:g}" if isinstance(value, float) else str(value)
