"""The fields a page asks with: a text as typed, a number with its unit, words to tap; each read on its own at once."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from functools import partial

from django import forms

from slake.ground.numbers import Limits, is_open, read_optional
from slake.ground.problems import Problem
from slake.records.checks import LONGEST_NAME, LONGEST_TEXT

DONT_KNOW = "don't know"
Reads = Callable[[str], object]
"""Reads one typed text on its own; raises Problem with the sentence that says what is to be put right."""


class Chosen(forms.CharField):
    """A text that is read on its own as soon as the form is sent, so that every wrong field is named at once.

    needed: it may not be left open. reads: what reads it; an open text is left to the action behind the form.
    """

    needed = False
    reads: Reads | None = None

    def clean(self, value: str | None) -> str:
        text = str(super().clean(value))
        if self.reads is not None and not is_open(text):
            try:
                self.reads(text)
            except Problem as problem:
                raise forms.ValidationError(str(problem)) from None
        return text

    @property
    def is_empty(self) -> str:
        """The sentence for a needed field that was left open."""
        words = ", ".join(str(word) for _, word in getattr(self.widget, "choices", ()))
        do = f"choose one of {words}" if words else "type a number" if getattr(self, "unit", "") else "fill it in"
        return f"“{self.label}” is empty: {do}"


def needed(field: Chosen) -> Chosen:
    """The field as one that must be filled in, and is marked so before anything is sent."""
    field.needed = True
    field.widget.attrs["aria-required"] = "true"
    return field


class Typed(Chosen):
    """One text as typed. Too long a text is refused in a sentence, never cut short by the browser."""

    def __init__(self, label: str, *, longest: int = LONGEST_NAME, hint: str = "", unit: str = "", **more: object):
        self.unit = unit
        longer = f"{label} has more than {longest} characters: shorten it"
        more.setdefault("required", False)
        super().__init__(
            label=label,
            help_text=hint,
            max_length=longest,
            error_messages={"max_length": longer, "required": f"{label} is empty: type a word or two"},
            **more,
        )

    def widget_attrs(self, widget: forms.Widget) -> dict[str, object]:
        return {}


def line(label: str, *, hint: str = "", known: str = "", **more: object) -> Typed:
    """A line of text; `known` is the id of a list of suggestions."""
    attrs = {"autocomplete": "off"} | ({"list": known} if known else {})
    return Typed(label, hint=hint, widget=forms.TextInput(attrs=attrs), **more)


def number(
    label: str, unit: str = "", *, hint: str = "", open_word: str = DONT_KNOW, reads: Reads | None = None
) -> Typed:
    """A number as typed, with its unit; the form sees that it is one, the action behind it between which limits."""
    attrs = {"inputmode": "decimal", "autocomplete": "off"} | ({"placeholder": open_word} if open_word else {})
    field = Typed(label, longest=10**7, hint=hint, unit=unit, strip=False, widget=forms.TextInput(attrs=attrs))
    field.reads = reads or (lambda text: read_optional(text, label, Limits(unit=unit)))
    return field


def read_within(form: type[forms.Form], limits: Mapping[str, tuple[str, Limits]]) -> None:
    """Let each of these number fields be judged by its own limits as soon as the form is sent, all at once."""
    for name, (what, between) in limits.items():
        if name in form.base_fields:
            form.base_fields[name].reads = partial(_read_within, what=what, limits=between)


def _read_within(text: str, what: str, limits: Limits) -> object:
    return read_optional(text, what, limits)


def words(label: str, *, hint: str = "", rows: int = 3) -> Typed:
    return Typed(label, longest=LONGEST_TEXT, hint=hint, widget=forms.Textarea(attrs={"rows": rows}))


def choice(label: str, choices: Iterable[tuple[str, str]], *, hint: str = "") -> Chosen:
    """A few words to tap. What is not among them reaches the action, which refuses it in its own words."""
    return Chosen(
        label=label,
        help_text=hint,
        required=False,
        widget=forms.RadioSelect(choices=list(choices)),
        max_length=LONGEST_NAME,
        error_messages={"max_length": f"{label}: choose one of the words offered"},
    )


def pick(label: str, choices: Iterable[tuple[str, str]], *, hint: str = "") -> Chosen:
    """A longer list to choose from."""
    return Chosen(label=label, help_text=hint, required=False, widget=forms.Select(choices=list(choices)))
