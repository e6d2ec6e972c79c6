"""Instruments: described with dated revisions, checked against something known, and what they fill into a reading."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime

from slake.bench.declaration import BenchTest, Input, Scalar
from slake.bench.shelf import all_tests
from slake.ground.numbers import Limits, is_open, read_number
from slake.ground.problems import Problem
from slake.records.models import Instrument, InstrumentCheck, Reading
from slake.records.models.instruments import INSTRUMENT_KINDS

from .entry import Entry, recorded, short_name, short_text

WITH = "instrument"
"""The field of a reading that names the instrument it was taken with, by its number; never an input of a test."""
CHECK_UNITS = ("g", "kg", "mm", "mL", "C", "%")
CHECKED = Limits(low=-1e6, high=1e6, do="type what the check weight or gauge says, and what was shown")
FACT_OF_INPUT = {
    "cone_mass_g": ("cone", "cone_mass_g"),
    "cone_angle": ("cone", "cone_angle"),
    "series_angle": ("cone", "cone_angle"),
    "cylinder_height_mm": ("cylinder", "cylinder_height_mm"),
    "tare_g": ("bowl", "tare_g"),
    "scale_step_g": ("scale", "scale_step_g"),
    "step_mm": ("calipers", "step_mm"),
    "syringe_bore_mm": ("syringe", "syringe_bore_mm"),
    "lands_syringe_mm": ("syringe", "syringe_bore_mm"),
    "friction_kg": ("syringe", "friction_kg"),
    "lands_friction_kg": ("syringe", "friction_kg"),
    "volume_ml": ("syringe", "volume_ml"),
}
"""The kind of instrument that carries a declared input, and the fact of it that fills the input in."""
OWN = (
    Scalar(name="tare_g", label="empty mass", unit="g", low=0, high=20_000, mend="weigh it empty and dry"),
    Scalar(
        name="scale_step_g", label="smallest step", unit="g", low=0.001, high=100, mend="read the last digit it shows"
    ),
    Scalar(name="step_mm", label="smallest step", unit="mm", low=0.001, high=1, mend="read the last digit it shows"),
)
"""Facts said in words of their own, also where no bench test asks for them."""


def facts_of(kind: str) -> dict[str, Input]:
    """What may be said of an instrument of this kind, each fact as the bench tests that take it declare it."""
    own = {item.name: item for item in OWN}
    names = dict.fromkeys(fact for of, fact in FACT_OF_INPUT.values() if of == kind)
    found: dict[str, Input] = {}
    for test in all_tests().values():
        for item in test.inputs:
            fact = FACT_OF_INPUT.get(item.name, ("", ""))[1]
            if fact in names:
                found.setdefault(fact, item)
    return {name: own.get(name) or found[name] for name in names if name in own or name in found}


def kinds_of(test: BenchTest) -> list[str]:
    """The kinds of instrument that carry an input of this test."""
    return list(dict.fromkeys(FACT_OF_INPUT[item.name][0] for item in test.inputs if item.name in FACT_OF_INPUT))


def carried_by(test: BenchTest, instrument: Instrument) -> dict[str, str]:
    """The inputs of this test that the instrument fills in, as typed when it was described."""
    filled = {item.name: FACT_OF_INPUT.get(item.name, ("", ""))[1] for item in test.inputs}
    return {name: instrument.facts[fact] for name, fact in filled.items() if fact in instrument.facts}


def describe_instrument(entry: Entry, typed: Mapping[str, str]) -> Instrument:
    """A new instrument, or a dated revision of the one with this name; what is left open is not known."""
    with recorded(entry, "describe instrument", dict(typed)) as log:
        if log.before is not None:
            return Instrument.objects.get(pk=log.before["instrument"])
        name, kind = short_name(typed.get("name"), "the name of the instrument"), typed.get("kind", "")
        if kind not in INSTRUMENT_KINDS:
            raise Problem(f"the kind is “{kind[:20]}”: choose one of {', '.join(INSTRUMENT_KINDS)}")
        facts, note = _facts(kind, typed), short_text(typed.get("note"), "the note")
        before = Instrument.objects.filter(name=name).last()
        if before is not None and before.kind != kind:
            raise Problem(f"“{name}” is already a {before.kind} here: give the {kind} another name")
        if before is not None and (before.facts, before.note) == (facts, note):
            raise Problem(f"nothing of “{name}” is different from before: change what changed, or leave it as it is")
        row = Instrument.objects.create(name=name, kind=kind, since=entry.at, facts=facts, note=note)
        log.answer = {"instrument": row.pk}
        return row


def _facts(kind: str, typed: Mapping[str, str]) -> dict[str, str]:
    """As typed, once each was read as its test would read it."""
    said = {}
    for name, item in facts_of(kind).items():
        text = str(typed.get(name, "")).strip()
        if not is_open(text):
            item.read(text)
            said[name] = text
    return said


def check_instrument(entry: Entry, instrument_id: int, known: str, shown: str, unit: str = "g") -> InstrumentCheck:
    """What it showed of something known, such as a coin. Asked for nowhere; kept where somebody did it."""
    inputs = {"instrument": instrument_id, "known": known, "shown": shown, "unit": unit}
    with recorded(entry, "check instrument", inputs) as log:
        if log.before is not None:
            return InstrumentCheck.objects.get(pk=log.before["check"])
        if unit not in CHECK_UNITS:
            raise Problem(f"the unit is “{unit[:12]}”: choose one of {', '.join(CHECK_UNITS)}")
        row = InstrumentCheck.objects.create(
            instrument=Instrument.objects.get(pk=instrument_id),
            known=read_number(known, "what it should show", CHECKED),
            shown=read_number(shown, "what it showed", CHECKED),
            unit=unit,
            typed={"known": known.strip(), "shown": shown.strip()},
            at=entry.at,
            person_id=entry.person,
            entry=entry.id,
        )
        log.answer = {"check": row.pk}
        return row


def instruments(kind: str | None = None) -> list[Instrument]:
    """Each instrument as it is now, by name."""
    rows = Instrument.objects.all() if kind is None else Instrument.objects.filter(kind=kind)
    return sorted({row.name: row for row in rows}.values(), key=lambda row: (row.kind, row.name.casefold()))


def unchecked_scales(now: datetime) -> list[Instrument]:
    """Scales nobody checked on the day of `now`, by the clock of this machine."""
    day = now.astimezone().replace(hour=0, minute=0, second=0, microsecond=0)
    checked = set(InstrumentCheck.objects.filter(at__gte=day).values_list("instrument__name", flat=True))
    return [row for row in instruments("scale") if row.name not in checked]


def last_used(test: BenchTest) -> str:
    """The name of the instrument the last reading of this test was taken with; empty where none was named."""
    newest = [
        _newest(test, pk) for pk in Instrument.objects.filter(kind__in=kinds_of(test)).values_list("pk", flat=True)
    ]
    return max(newest, default=(0, ""))[1]


def _newest(test: BenchTest, instrument_id: int) -> tuple[int, str]:
    """Asked for one instrument after the other: each answer is the end of an index, however many readings there are."""
    rows = Reading.objects.filter(instrument_id=instrument_id, test=test.id).order_by("-id")
    return rows.values_list("id", "instrument__name").first() or (0, "")


def taken_with(test: BenchTest, fields: Mapping[str, str]) -> tuple[dict[str, str], Instrument | None]:
    """The fields of a reading with what its instrument fills in where they were left open, and the instrument."""
    said = {name: text for name, text in fields.items() if name != WITH}
    number = fields.get(WITH, "").strip()
    if not number:
        return said, None
    fine = number.isascii() and number.isdigit() and len(number) < 10
    row = Instrument.objects.filter(pk=int(number)).first() if fine else None
    if row is None or row.kind not in kinds_of(test):
        raise Problem(f"{test.title} was taken with an instrument that is not one of this bench for it: pick another")
    for name, text in carried_by(test, row).items():
        if is_open(said.get(name, "")):
            said[name] = text
    return said, row
