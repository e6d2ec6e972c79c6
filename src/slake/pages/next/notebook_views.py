"""The notebook: lines pasted, typed or filled into a small grid; looked at first, then taken in all or none."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect, QueryDict
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from slake.actions.campaign import lots_to_use
from slake.actions.entry import Entry
from slake.actions.lots import take_lots
from slake.actions.notebook import Preview, TakenIn, look_at, take_in
from slake.bench.shelf import test_of_reading
from slake.campaign.reading_lines import LONGEST_TEXT, Line
from slake.ground.problems import Problem, plain
from slake.records.models import Lot

from ..asking import entry_of, show
from ..forms import Asking, Typed
from .lines import EXAMPLE, NEW, ROLES, Grid, chosen_lots, joined, known_lots, limit_words, new_lots, text_of_file


class LinesForm(Asking):
    """All lines as one text; a grid or a file only adds to it."""

    lines = Typed(
        "the text",
        longest=LONGEST_TEXT,
        strip=False,
        widget=forms.Textarea(attrs={"rows": 9, "class": "lines", "spellcheck": "false", "autocomplete": "off"}),
    )


@dataclass(frozen=True, kw_only=True)
class Word:
    """One word of the notebook with the lots it may mean and the one it is taken for."""

    number: int
    word: str
    picked: str
    unknown: bool


@require_http_methods(["GET", "HEAD", "POST"])
def notebook(request: HttpRequest) -> HttpResponse:
    """Nothing typed is lost: whatever comes is put into the one text first, then read."""
    lots = list(Lot.objects.all())
    if request.method != "POST":
        return _page(request, LinesForm(), lots, {})
    data, refused, grown = _one_text(request, lots)
    form, chosen = LinesForm(data), chosen_lots(data)
    fine = form.is_valid()
    if refused is not None:
        form.refuse(refused)
    if refused is not None or not fine:
        return _page(request, form, lots, chosen)
    try:
        if "save" in request.POST and not grown:
            taken = _taken(entry_of(request), form.cleaned_data["lines"], chosen)
            return _done(request, taken)
        return _page(request, form, lots, chosen, look_at(form.cleaned_data["lines"], known_lots(chosen)))
    except Problem as problem:
        preview = getattr(problem, "preview", None)
        if preview is None:
            form.refuse(problem)
        return _page(request, form, lots, chosen, preview)


def _one_text(request: HttpRequest, lots: Sequence[Lot]) -> tuple[QueryDict, Problem | None, bool]:
    """The form's data with file and grid put below the typed lines, what was wrong with the file, and whether they
    added something: that is looked at before it is kept.
    """
    data, refused, from_file = request.POST.copy(), None, ""
    try:
        from_file = text_of_file(request.FILES.get("file"))
    except Problem as problem:
        refused = problem
    from_grid = Grid(lots, data).lines
    data["lines"] = joined(data.get("lines", ""), from_file, from_grid)
    return data, refused, bool(from_file or from_grid)


def _taken(entry: Entry, text: str, chosen: Mapping[str, str]) -> TakenIn:
    """New lots first, then every line; a word that is to become a lot is made one only when all else is read."""
    lots, new = known_lots(chosen), new_lots(chosen)
    if new and not _in_the_way(look_at(text, lots), new):
        rows = [{"ingredient": word, "role": role} for word, role in new.items()]
        made = take_lots(Entry(id=entry.part("lots"), at=entry.at, person=entry.person), rows)
        lots |= {word: lot.pk for word, lot in zip(new, made, strict=True)}
    return take_in(entry, text, lots)


def _in_the_way(preview: Preview, new: Mapping[str, str]) -> bool:
    return bool(preview.troubles or _unknown(preview, new))


def _unknown(preview: Preview, new: Mapping[str, str]) -> list[str]:
    """Words that are no lot yet and are not to become one."""
    return [word for word in preview.words_unknown if word not in new]


def _done(request: HttpRequest, taken: TakenIn) -> HttpResponse:
    numbers = [batch.number for batch in taken.batches]
    which = f"batch {numbers[0]}" if len(numbers) == 1 else f"batches {numbers[0]} to {numbers[-1]}"
    messages.success(request, f"Taken in: {which}.")
    return HttpResponseRedirect(f"{reverse('map')}?taken=in")


def _page(
    request: HttpRequest,
    form: LinesForm,
    lots: Sequence[Lot],
    chosen: Mapping[str, str],
    preview: Preview | None = None,
) -> HttpResponse:
    new = new_lots(chosen)
    if preview is not None and _in_the_way(preview, new) and "save" in request.POST:
        form.refuse(Problem("Nothing was taken in yet: put right what is marked below, your lines are all still here."))
    context = {
        "lots": lots,
        "grid": Grid(lots_to_use(lots), {}),
        "example": EXAMPLE,
        "limits": limit_words(),
        "preview": preview,
        "read": [_shown(line) for line in preview.lines] if preview else [],
        "words": _words(preview, chosen) if preview else [],
        "roles": [(NEW + role, role) for role in ROLES],
        "unknown": _unknown(preview, new) if preview else [],
        "in_the_way": preview is not None and _in_the_way(preview, new),
    }
    return show(request, "next/notebook.html", form, **context)


def _shown(line: Line) -> dict[str, object]:
    """One line as slake read it, in words."""
    amounts = [f"{word} {plain(amount)}" for word, amount in line.masses.items()]
    readings = [_reading_words(name, *pair) for name, pair in line.readings.items()]
    return {
        "number": line.number,
        "amounts": ", ".join(amounts),
        "readings": "; ".join(readings),
        "ended": line.outcome,
    }


def _reading_words(name: str, value: float, minutes: float | None) -> str:
    test = test_of_reading(name)
    what, unit = (test.title, test.notebook_unit) if test else (name, "")
    when = f" at {plain(minutes)} min" if minutes is not None else ""
    return f"{what.lower()} {plain(value)}{' ' + unit if unit not in {'', 'grade'} else ''}{when}"


def _words(preview: Preview, chosen: Mapping[str, str]) -> list[Word]:
    picked = {word: str(lot.pk) for word, lot in preview.matched.items()} | dict(chosen)
    words = [*preview.words_unknown, *preview.matched]
    return [
        Word(number=n, word=word, picked=picked.get(word, ""), unknown=word not in picked)
        for n, word in enumerate(words)
    ]
