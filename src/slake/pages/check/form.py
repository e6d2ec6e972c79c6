"""What the check before the print asks: one file, the paste, the machine; whatever is not known stays open."""

from __future__ import annotations

from collections.abc import Mapping

from django import forms
from django.forms import BoundField

from slake.actions import check_question
from slake.path import checked_asked
from slake.path.checked_asked import CHOICES, MESHES, TOOLPATHS
from slake.records.models import Batch, Machine
from slake.records.struck import standing_batches

from ..forms import DONT_KNOW, Asking, choice, number, pick, read_within

LIMITS = {**check_question.NUMBERS, **checked_asked.NUMBERS}
ACCEPTED = ",".join((*MESHES, *TOOLPATHS))
PASTE = ("cone_mm", "yield_pa", "density_g_ml", "wait_min", "shrinkage_percent")
MACHINE = ("nozzle_mm", "barrel_mm", "land_mm", "force_n", "cartridge_ml", "bead_mm", "layer_mm")
FILE = ("beads_across", "filament_mm", "file_speed_mm_s", "primed_ml", "unit", "bed_x_mm", "bed_y_mm", "bed_z_mm")
MOST_BATCHES = 60
RECORDED = "as recorded"


class CheckForm(Asking):
    file = forms.FileField(
        label="The file",
        required=False,
        allow_empty_file=True,
        max_length=None,
        widget=forms.FileInput(attrs={"accept": ACCEPTED}),
    )
    batch = pick("The paste", [])
    machine = pick("The machine", [])
    e_counts = choice("What E counts in a toolpath", [*CHOICES["e_counts"][1].items(), ("", DONT_KNOW)])
    cone_mm = number("Cone reading", "mm", hint="Of the paste as it goes in. Goes before what the batch says.")
    yield_pa = number("Yield stress", "Pa", hint="Where you know it better than a cone does.")
    density_g_ml = number("Density of the paste", "g/mL")
    wait_min = number("Minutes until the first bead", "min", open_word="none")
    shrinkage_percent = number("How much shorter it dries", "%", open_word="from bars")
    nozzle_mm = number("Bore of the nozzle", "mm", open_word=RECORDED)
    barrel_mm = number("Bore of the barrel", "mm", open_word=RECORDED)
    land_mm = number("Land of the nozzle", "mm", open_word=RECORDED)
    force_n = number("Force of the ram", "N", open_word=RECORDED)
    cartridge_ml = number("One cartridge holds", "mL", open_word=RECORDED)
    bead_mm = number("Width of a bead", "mm", open_word=RECORDED)
    layer_mm = number("Height of a layer", "mm", open_word=RECORDED)
    beads_across = number("Beads across the wall", "", open_word="1")
    filament_mm = number("Thickness of the filament", "mm", open_word="1.75", hint="Where E counts mm of filament.")
    file_speed_mm_s = number("Speed where the file says none", "mm/s", open_word="it says one")
    primed_ml = number("Paste primed by each cartridge", "mL", open_word="none")
    unit = pick("Unit of the drawing", [("", "as the file says, else mm"), *CHOICES["unit"][1].items()])
    bed_x_mm = number("Width of the bed", "mm")
    bed_y_mm = number("Depth of the bed", "mm")
    bed_z_mm = number("Height there is", "mm")

    def __init__(self, *given: object, **more: object) -> None:
        super().__init__(*given, **more)
        self.fields["batch"].widget.choices = [("", "none of these, or not known"), *_batches()]
        self.fields["machine"].widget.choices = [*_machines(), ("", "not recorded: its bores are typed below")]

    def _of(self, names: tuple[str, ...]) -> list[BoundField]:
        return [self[name] for name in names]

    @property
    def first(self) -> list[BoundField]:
        return self._of(("batch", "machine", "e_counts"))

    @property
    def folded(self) -> list[tuple[str, list[BoundField], bool]]:
        """The rest, by what it is of; open where something in it was typed or is wrong."""
        groups = (
            ("The paste: a cone reading, minutes to wait …", PASTE),
            ("The machine, where it is not as recorded", MACHINE),
            ("The file and the bed", FILE),
        )
        return [
            (words, self._of(names), any(self[n].value() or self[n].errors for n in names)) for words, names in groups
        ]

    @property
    def numbers(self) -> Mapping[str, str]:
        """What was typed, without file and picks."""
        return {
            name: str(text) for name, text in self.typed.items() if name not in {"file", "batch", "machine"} and text
        }


read_within(CheckForm, LIMITS)


def _batches() -> list[tuple[str, str]]:
    rows = standing_batches().select_related("recipe").order_by("-number")[:MOST_BATCHES]
    return [(str(row.number), f"batch {row.number}: {row.recipe.name}"[:60]) for row in rows]


def _machines() -> list[tuple[str, str]]:
    """The newest revision of each machine."""
    newest = {row.name: row for row in Machine.objects.order_by("since", "id")}
    return [(str(row.pk), str(row)[:70]) for row in reversed(newest.values())]


def batch_of(text: str) -> Batch | None:
    return Batch.objects.select_related("recipe", "machine").filter(number=_whole(text)).first()


def machine_of(text: str, batch: Batch | None) -> Machine | None:
    """The one picked; where none was, the batch's own."""
    picked = Machine.objects.filter(pk=_whole(text)).first()
    return picked or (batch.machine if batch is not None else None)


def _whole(text: str) -> int:
    return int(text) if text.isascii() and text.isdigit() and len(text) < 10 else 0
