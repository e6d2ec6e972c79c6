"""What happened here, as pages."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from slake.actions.side_by_side import SideBySide, side_by_side
from slake.actions.stiffness_map import StiffnessMap, stiffness_map, worked_out
from slake.actions.trends import FOLLOWED, Point, Property, followed, trend
from slake.ground.evidence import Kind
from slake.ground.problems import Problem
from slake.records.models import Batch
from slake.records.struck import standing_batches

from ..next.chart import PHONE, SHAPES, WIDE
from .drawing import Mark, Picture, draw_trend
from .map_drawing import draw_map, grid_of

MOST_OFFERED = 200
TABLE_STEP = 5


@require_safe
def happened(request: HttpRequest) -> HttpResponse:
    """Where to look: trends, two batches side by side, how well readings repeat."""
    newest = list(standing_batches().order_by("-number").values_list("number", flat=True)[:2])
    return render(request, "happened/all.html", {"followed": FOLLOWED, "newest": newest})


@require_safe
def compare(request: HttpRequest) -> HttpResponse:
    """Two batches side by side; without two numbers the form alone."""
    numbers = list(standing_batches().order_by("-number").values_list("number", flat=True)[:MOST_OFFERED])
    typed = [request.GET.get(name, "").strip() for name in ("first", "second")]
    found, sentence = None, ""
    if all(typed):
        try:
            found = _pair(typed)
        except Problem as problem:
            sentence = str(problem)
    context = {"numbers": numbers, "typed": typed, "found": found, "sentences": [sentence] if sentence else []}
    return render(request, "happened/compare.html", context, status=422 if sentence else 200)


def _pair(typed: Sequence[str]) -> SideBySide:
    return side_by_side(*(_batch(text) for text in typed))


def _batch(text: str) -> Batch:
    number = int(text) if text.isascii() and text.isdigit() and len(text) < 10 else 0
    found = Batch.objects.select_related("machine", "recipe", "bowl").filter(number=number).first()
    if found is None:
        raise Problem(f"there is no batch “{text[:20]}” on this bench: choose two of the list")
    return found


@require_safe
def trends(request: HttpRequest, key: str) -> HttpResponse:
    of = _property(key)
    points = trend(of)
    picture = _picture(of, points)
    context = {
        "of": of,
        "followed": FOLLOWED,
        "points": points,
        "undated": any(not point.batch.since_told for point in points),
        "above": Kind.ABOVE,
        "below": Kind.BELOW,
        "alt": _alt(of, points),
        "seen": hashlib.sha256(repr(picture).encode()).hexdigest()[:12],
        "wide": WIDE,
        "phone": PHONE,
    }
    return render(request, "happened/trend.html", context)


@require_safe
def trend_drawing(request: HttpRequest, key: str, shape: str) -> HttpResponse:
    if shape not in SHAPES:
        raise Http404("no such drawing")
    of = _property(key)
    answer = HttpResponse(draw_trend(_picture(of, trend(of)), SHAPES[shape]), content_type="image/svg+xml")
    answer["Cache-Control"] = "no-cache"
    return answer


def _property(key: str) -> Property:
    try:
        return followed(key)
    except Problem as problem:
        raise Http404(str(problem)) from None


def _picture(of: Property, points: Sequence[Point]) -> Picture:
    return Picture(marks=tuple(_mark(point) for point in points), words=of.words, unit=of.unit, on_log=of.on_log)


def _mark(point: Point) -> Mark:
    changed = "; ".join(point.changed)
    if point.around is not None:
        low, mid, high = point.around.low, point.around.mid, point.around.high
        return Mark(label=str(point.batch.number), low=low, mid=mid, high=high, changed=changed)
    end = point.end or 0.0
    side = 1 if point.kind is Kind.ABOVE else -1
    return Mark(label=str(point.batch.number), low=end, mid=end, high=end, open_side=side, changed=changed)


def _alt(of: Property, points: Sequence[Point]) -> str:
    if not points:
        return f"An empty drawing: no reading tells of {of.words} yet."
    changes = sum(bool(point.changed) for point in points)
    return (
        f"{of.words.capitalize()} of {len(points)} batches in the order mixed, each with its 80 % range; {changes} "
        "places where a lot or the machine changed. The table below holds the same."
    )


@require_http_methods(["GET", "HEAD", "POST"])
def stiffness(request: HttpRequest) -> HttpResponse:
    """Stiffness over water and gum; where it is not worked out yet, a page that asks for it and shows that it works."""
    try:
        found = stiffness_map() if request.method == "POST" else worked_out()
    except Problem as problem:
        return render(request, "happened/stiffness.html", {"sentences": [str(problem)]})
    if request.method == "POST":
        return redirect("stiffness")
    if found is None:
        return render(request, "happened/working.html", {})
    drawn = hashlib.sha256(repr(grid_of(found)).encode()).hexdigest()[:12]
    context = {"found": found, "rows": _rows(found), "seen": drawn, "wide": WIDE, "phone": PHONE}
    context["waters"] = found.waters[::TABLE_STEP]
    return render(request, "happened/stiffness.html", context)


def _rows(found: StiffnessMap) -> list[tuple[float, list[object]]]:
    """A coarser grid as a table, most gum first: each cell with its range (None: too dry) and whether it was tried."""
    lines = list(zip(found.gums, found.around, found.tried, strict=True))[:: TABLE_STEP - 1]
    return [(gum, list(zip(line, near, strict=True))[::TABLE_STEP]) for gum, line, near in reversed(lines)]


@require_safe
def stiffness_drawing(request: HttpRequest, shape: str) -> HttpResponse:
    if shape not in SHAPES:
        raise Http404("no such drawing")
    try:
        found = stiffness_map()
    except Problem as problem:
        raise Http404(str(problem)) from None
    answer = HttpResponse(draw_map(grid_of(found), SHAPES[shape]), content_type="image/svg+xml")
    answer["Cache-Control"] = "no-cache"
    return answer
