"""What a page asks. A form only carries typed texts, in bench units, to one action; numbers are read there."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from uuid import uuid4

from django import forms
from django.http import QueryDict

from slake.ground.numbers import is_open
from slake.ground.problems import MovedOn, Problem

from .fields import DONT_KNOW as DONT_KNOW
from .fields import Chosen as Chosen
from .fields import Typed as Typed
from .fields import choice as choice
from .fields import line as line
from .fields import needed as needed
from .fields import number as number
from .fields import pick as pick
from .fields import read_within as read_within
from .fields import words as words

MOST_ROWS = 60


def plain_label(label: str | None) -> str:
    """A label without case and without what stands in brackets behind it."""
    return (label or "").split(" (")[0].casefold()


def new_entry_id() -> str:
    return uuid4().hex


class Asking(forms.Form):
    """A form that does one thing once: the same form sent twice carries the same entry id."""

    entry = forms.CharField(widget=forms.HiddenInput, required=False, max_length=64)
    revision = forms.CharField(widget=forms.HiddenInput, required=False, max_length=12)

    def __init__(self, data: Mapping[str, str] | None = None, **more: object) -> None:
        initial = {"entry": new_entry_id(), **(more.pop("initial", None) or {})}
        super().__init__(data, initial=initial, use_required_attribute=False, **more)
        self.problem: Problem | None = None

    @property
    def asked(self) -> list[forms.BoundField]:
        return [field for field in self if not field.is_hidden]

    @property
    def typed(self) -> dict[str, str]:
        """What was typed, field by field, without the two hidden ones."""
        return {name: text for name, text in self.cleaned_data.items() if name not in {"entry", "revision"}}

    @property
    def seen_revision(self) -> int | None:
        text = self.cleaned_data.get("revision", "")
        return int(text) if text.isascii() and text.isdigit() else None

    def clean(self) -> dict[str, str]:
        refuse_empty(self, self.brought)
        return self.cleaned_data

    @property
    def brought(self) -> Iterable[str]:
        """Fields that need not be filled in because something else brings them."""
        return ()

    def refuse(self, problem: Problem) -> None:
        """Show the sentence at the form, and mark the field it speaks of where the sentence names one."""
        self.problem = problem
        what = plain_label(getattr(problem, "what", ""))
        named = next((name for name, field in self.fields.items() if what and plain_label(field.label) == what), None)
        self.add_error(named, str(problem))

    def see_revision(self, now: int) -> None:
        """After somebody else's change was shown: sending the form once more is meant for how things are now."""
        self.data = self.data.copy()
        self.data["revision"] = str(now)

    @property
    def moved_on(self) -> bool:
        return isinstance(self.problem, MovedOn)

    @property
    def sentences(self) -> list[str]:
        """Everything that is to be put right, each once."""
        return list(dict.fromkeys(text for texts in self.errors.values() for text in texts))


def refuse_empty(form: forms.Form, brought: Iterable[str] = ()) -> None:
    """Mark every needed field that was left open."""
    for name, field in form.fields.items():
        wanted = getattr(field, "needed", False) and name not in brought and name not in form.errors
        if wanted and is_open(form.cleaned_data.get(name, "")):
            form.add_error(name, field.is_empty)


class Row(forms.Form):
    """One of several like rows; blank rows are left out."""

    def clean(self) -> dict[str, str]:
        if any(str(text).strip() for text in self.data_typed.values()):
            refuse_empty(self)
        return self.cleaned_data

    @property
    def data_typed(self) -> dict[str, str]:
        return {name: str(self.data.get(self.add_prefix(name), "")) for name in self.fields}

    def __init__(self, data: Mapping[str, str] | None = None, **more: object) -> None:
        super().__init__(data, use_required_attribute=False, **more)

    @property
    def typed(self) -> dict[str, str]:
        return dict(self.cleaned_data)

    @property
    def is_blank(self) -> bool:
        return not any(str(text).strip() for text in self.cleaned_data.values())


class Rows:
    """Like rows under one form: a number shown at first, one more at the touch of a button, without a script."""

    def __init__(
        self, make: type[Row], data: QueryDict | None, *, shown: int, most: int = MOST_ROWS, auto_id: str = "id_%s"
    ) -> None:
        self.most = min(most, MOST_ROWS)
        self.count = max(1, min(_counted(data, shown), self.most))
        self.rows: Sequence[Row] = [make(data, prefix=f"row{n}", auto_id=auto_id) for n in range(1, self.count + 1)]

    @property
    def room_for_more(self) -> bool:
        return self.count < self.most

    def begin_with(self, typed: Sequence[Mapping[str, str]]) -> None:
        """Rows given earlier, filled in where nothing was sent yet."""
        for row, texts in zip(self.rows, typed, strict=False):
            row.initial = dict(texts)

    def is_valid(self) -> bool:
        found = [row.is_valid() for row in self.rows]
        return all(found)

    @property
    def typed(self) -> list[dict[str, str]]:
        return [row.typed for row in self.rows if not row.is_blank]

    @property
    def sentences(self) -> list[str]:
        return list(dict.fromkeys(text for row in self.rows for texts in row.errors.values() for text in texts))


def _counted(data: QueryDict | None, shown: int) -> int:
    if data is None:
        return shown
    text = data.get("rows", "")
    count = int(text) if text.isascii() and text.isdigit() and len(text) < 4 else shown
    return count + 1 if "more" in data else count


def form_of(name: str, fields: Mapping[str, forms.Field], base: Callable[..., forms.Form] = Asking) -> type:
    """A form class made from data, such as the inputs of a declared test."""
    return type(name, (base,), dict(fields))
