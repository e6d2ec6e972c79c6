"""The reading pad: a form per declared test, the ones that matter first in front; how it ended, in words to tap."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from django import forms
from django.http import QueryDict

from slake.bench.declaration import About, BenchTest
from slake.bench.shelf import all_tests
from slake.campaign.outcomes import Ending

from ..forms import Asking, Rows, form_of, line, number
from ..readings import INPUT, field_of, row_form

FIRST = ("fall_cone", "layers_stood", "shrinkage_bar")
ROWS_IN_SIGHT = 2
MOST_ROWS_HERE = 6
TAPPED = tuple(ending.value for ending in Ending if ending is not Ending.FELL)


class PadForm(Asking):
    """The inputs of one test; `late` is how long ago it was read."""

    @property
    def of_test(self) -> list[forms.BoundField]:
        return [field for field in self.asked if field.name != "late"]


@dataclass(frozen=True, kw_only=True)
class Pad:
    """One test to pick. `rows_in_sight` are open at once, the others a tap away."""

    test: BenchTest
    form: PadForm
    rows: Rows | None
    open: bool

    @property
    def rows_in_sight(self) -> Sequence[forms.Form]:
        return self.rows.rows[: self._shown] if self.rows else ()

    @property
    def rows_further(self) -> Sequence[forms.Form]:
        return self.rows.rows[self._shown :] if self.rows else ()

    @property
    def _shown(self) -> int:
        return max(self.test.rows.at_least, ROWS_IN_SIGHT) if self.test.rows else 0


def late(label: str = "minutes ago") -> forms.Field:
    return number(label, open_word="just now")


def pads(refused: QueryDict | None) -> tuple[list[Pad], list[Pad]]:
    """Those in front and the further ones. What was refused without a script comes back as typed."""
    here = {name: test for name, test in all_tests().items() if test.about is not About.LOT}
    first = [_pad(here[name], refused) for name in FIRST if name in here]
    more = [_pad(test, refused) for name, test in here.items() if name not in FIRST]
    return first, more


def _pad(test: BenchTest, refused: QueryDict | None) -> Pad:
    mine = refused if refused is not None and refused.get("test") == test.id else None
    fields: Mapping[str, forms.Field] = {f"{INPUT}{item.name}": field_of(item) for item in test.inputs}
    make = form_of(f"PadOf_{test.id}", {**fields, "late": late()}, PadForm)
    form = make(mine, auto_id=f"{test.id}-%s")
    row = row_form(test)
    rows = None
    if row is not None and test.rows is not None:
        rows = Rows(row, mine, shown=min(test.rows.at_most, max(MOST_ROWS_HERE, test.rows.at_least)))
    return Pad(test=test, form=form, rows=rows, open=mine is not None)


class EndedForm(Asking):
    """How it ended: words to tap, the layer where it fell, or further words of the same kind."""

    fell_layer = number("fell at layer", open_word="")
    words = line("or typed", hint="Several at once are fine, such as “good but cracked”.", longest=300)
    late = late()


def ended_form(refused: QueryDict | None) -> EndedForm:
    mine = refused if refused is not None and refused.get("kind") == "outcome" else None
    return EndedForm(mine, auto_id="ended-%s")


def ended_taps(refused: QueryDict | None) -> list[tuple[str, bool]]:
    chosen = set(refused.getlist("ended")) if refused is not None else set()
    return [(word, word in chosen) for word in TAPPED]
