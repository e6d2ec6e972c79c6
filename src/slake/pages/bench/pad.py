"""The reading pad: a form per declared test, the ones that matter first in front; how it ended, in words to tap."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from django import forms
from django.http import QueryDict

from slake.actions.instruments import WITH, carried_by, instruments, kinds_of, last_used
from slake.bench.declaration import About, BenchTest
from slake.bench.shelf import all_tests
from slake.campaign.outcomes import Ending
from slake.records.models import Instrument

from ..forms import Asking, Rows, form_of, line, number
from ..readings import INPUT, field_of, row_form

FIRST = ("fall_cone", "layers_stood", "shrinkage_bar")
STANDS = "How it stands"
STIFF, PUSH, INSIDE = "How stiff it is", "How it pushes", "Air and water in it"
DRIED, KEEPS = "The dried piece", "How it ages and keeps"
OTHER = "Other tests"
GROUP_OF = {
    "yield_stress_pa": STIFF,
    "ram_force_n": PUSH,
    "spring_back": PUSH,
    "extrusion_pressure_pa": PUSH,
    "wall_stress_pa": PUSH,
    "density_kg_m3": INSIDE,
    "bleed_share": INSIDE,
    "bead_moisture_apart": INSIDE,
    "layers_stood": STANDS,
    "linear_shrinkage": DRIED,
    "crack_grade": DRIED,
    "dry_after_s": DRIED,
    "bend_strength_pa": DRIED,
    "mould_first_s": KEEPS,
    "stiffening_rate_per_s": KEEPS,
    "water_activity": KEEPS,
}
"""Which question a further test answers, by the property it informs."""
ROWS_IN_SIGHT = 2
MOST_ROWS_HERE = 6
TAPPED = tuple(ending.value for ending in Ending if ending not in {Ending.FELL, Ending.DRYING})


class PadForm(Asking):
    """The inputs of one test; `late` is how long ago it was read."""

    carried: frozenset[str] = frozenset()
    """Inputs the instruments offered bring along: a tap away."""
    further: frozenset[str] = frozenset()
    """Inputs that seldom matter: a tap away."""

    @property
    def of_test(self) -> list[forms.BoundField]:
        return [field for field in self.asked if field.name not in {"late", *self.carried, *self.further}]

    @property
    def of_further(self) -> list[forms.BoundField]:
        return [field for field in self.asked if field.name in self.further - self.carried]

    @property
    def further_is_open(self) -> bool:
        """Open where something in it was typed or is wrong."""
        return any(field.errors or field.value() for field in self.of_further)

    @property
    def of_instrument(self) -> list[forms.BoundField]:
        return [field for field in self.asked if field.name in self.carried]


@dataclass(frozen=True, kw_only=True)
class Pad:
    """One test to pick. `rows_in_sight` are open at once, the others a tap away.

    `taps`: the instruments that fit, each with whether it is the one taken last.
    """

    test: BenchTest
    form: PadForm
    rows: Rows | None
    open: bool
    taps: Sequence[tuple[Instrument, bool]] = ()

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


@dataclass(frozen=True, kw_only=True)
class Group:
    """Further tests of one kind of question."""

    words: str
    pads: Sequence[Pad]


def pads(refused: QueryDict | None) -> tuple[list[Pad], list[Group]]:
    """Those in front and the further ones in groups. What was refused without a script comes back as typed."""
    here = {name: test for name, test in all_tests().items() if test.read_of(About.BATCH.value)}
    fitting = instruments()
    first = [_pad(here[name], refused, fitting) for name in FIRST if name in here]
    more: dict[str, list[Pad]] = {words: [] for words in (*dict.fromkeys(GROUP_OF.values()), OTHER)}
    for name, test in here.items():
        if name not in FIRST:
            more[group_of(test)].append(_pad(test, refused, fitting))
    return first, [Group(words=words, pads=found) for words, found in more.items() if found]


def group_of(test: BenchTest) -> str:
    usual = DRIED if test.about is About.PART else OTHER
    return GROUP_OF.get(test.informs, usual)


def _taps(test: BenchTest, fitting: Sequence[Instrument], mine: QueryDict | None) -> list[tuple[Instrument, bool]]:
    """The instruments of a fitting kind; taken is the one sent, else the one of the last reading."""
    kinds = kinds_of(test)
    rows = [row for row in fitting if row.kind in kinds]
    if not rows:
        return []
    last = last_used(test)
    sent = None if mine is None else mine.get(WITH, "")
    return [(row, row.name == last if sent is None else str(row.pk) == sent) for row in rows]


def _pad(test: BenchTest, refused: QueryDict | None, fitting: Sequence[Instrument]) -> Pad:
    mine = refused if refused is not None and refused.get("test") == test.id else None
    taps = _taps(test, fitting, mine)
    fields: Mapping[str, forms.Field] = {f"{INPUT}{item.name}": field_of(item) for item in test.inputs}
    make = form_of(f"PadOf_{test.id}", {**fields, "late": late()}, PadForm)
    form = make(mine, auto_id=f"{test.id}-%s")
    if taps:
        form.carried = frozenset(f"{INPUT}{name}" for row, _taken in taps for name in carried_by(test, row))
    form.further = frozenset(f"{INPUT}{item.name}" for item in test.inputs if item.further)
    row = row_form(test)
    rows = None
    if row is not None and test.rows is not None:
        rows = Rows(
            row, mine, shown=min(test.rows.at_most, max(MOST_ROWS_HERE, test.rows.at_least)), auto_id=f"{test.id}-%s"
        )
    return Pad(test=test, form=form, rows=rows, open=mine is not None, taps=taps)


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
