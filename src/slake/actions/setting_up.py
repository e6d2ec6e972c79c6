"""The bench is set up: who works here, the machine, the brief, the room."""

from __future__ import annotations

from collections.abc import Mapping

from slake.bench.shelf import all_tests
from slake.campaign import Notebook
from slake.ground.numbers import Limits, read_number, read_optional
from slake.ground.problems import OutsideRange, Problem
from slake.records.models import Brief, Machine, Person, Room, Window

from .entry import Entry, recorded, short_name, short_text

MACHINE_LIMITS = {
    "nozzle_mm": ("nozzle bore", Limits(low=0.1, high=20, unit="mm", do="measure it with a drill shank or calipers")),
    "barrel_mm": ("barrel bore", Limits(low=2, high=300, unit="mm", do="measure it with calipers")),
    "land_mm": ("nozzle land", Limits(low=0, high=200, unit="mm")),
    "force_n": ("ram force", Limits(low=1, high=50000, unit="N", do="1 kg on the ram is 9.81 N")),
    "pushed_cone_mm": ("stiffest cone reading it pushed", Limits(low=0.5, high=60, unit="mm")),
    "stalled_cone_mm": ("cone reading that stalled it", Limits(low=0.5, high=60, unit="mm")),
    "layer_height_mm": ("layer height", Limits(low=0.05, high=20, unit="mm")),
    "cartridge_ml": ("cartridge volume", Limits(low=1, high=20000, unit="mL")),
    "motor_torque_nm": ("motor torque", Limits(low=0.001, high=1000, do="give it in N m; it is on the motor's sheet")),
    "screw_lead_mm": ("lead of the screw", Limits(low=0.1, high=200, unit="mm", do="travel for one turn")),
    "drive_efficiency_percent": ("efficiency of the drive", Limits(low=1, high=100, unit="%")),
    "ring_friction_n": ("friction of the ring", Limits(low=0, high=5000, unit="N", do="push the empty, wetted ram")),
    "fill_mm": ("paste in a full barrel", Limits(low=1, high=2000, unit="mm")),
    "bead_speed_mm_s": ("speed of the bead", Limits(low=0.1, high=500, do="give it in mm/s")),
    "bead_width_mm": ("width of the bead", Limits(low=0.1, high=60, unit="mm")),
}
MACHINE_WORDS = {"fixtures": "what is fixed to it", "changed": "what is new", "note": "the note"}
NEEDED_OF_MACHINE = {"nozzle_mm", "barrel_mm"}

ROOM_LIMITS = {
    "temperature_c": ("temperature", Limits(low=-10, high=60, unit="C")),
    "humidity_percent": ("humidity", Limits(low=0, high=100, unit="%")),
    "water_hardness_mg_l": ("water hardness", Limits(low=0, high=2000, unit="mg/L")),
}


def add_person(entry: Entry, name: str) -> Person:
    """Somebody who works here. The same name twice is the same person."""
    with recorded(entry, "add person", {"name": name}) as log:
        if log.before is not None:
            return Person.objects.get(pk=log.before["person"])
        who, _ = Person.objects.get_or_create(name=short_name(name, "the name"), defaults={"since": entry.at})
        log.answer = {"person": who.pk}
        return who


def describe_machine(entry: Entry, typed: Mapping[str, str]) -> Machine:
    """The machine as it is from now on. Whatever is not known may stay open but nozzle and barrel."""
    with recorded(entry, "describe machine", typed) as log:
        if log.before is not None:
            return Machine.objects.get(pk=log.before["machine"])
        numbers = {key: _machine_number(key, typed.get(key, "")) for key in MACHINE_LIMITS}
        _check_pushed(numbers["pushed_cone_mm"], numbers["stalled_cone_mm"])
        machine = Machine.objects.create(
            name=short_text(typed.get("name"), "the name", 80) or "printer",
            since=entry.at,
            **{key: short_text(typed.get(key), what) for key, what in MACHINE_WORDS.items()},
            **numbers,
        )
        log.answer = {"machine": machine.pk}
        return machine


def _machine_number(key: str, typed: str) -> float | None:
    what, limits = MACHINE_LIMITS[key]
    return read_number(typed, what, limits) if key in NEEDED_OF_MACHINE else read_optional(typed, what, limits)


def _check_pushed(pushed: float | None, stalled: float | None) -> None:
    if pushed is not None and stalled is not None and stalled >= pushed:
        raise Problem(
            f"it pushed a paste of {pushed:g} mm and stalled at {stalled:g} mm, but the one that stalled it must be "
            "the stiffer, with the smaller reading: check which is which"
        )


def set_brief(entry: Entry, windows: Mapping[str, tuple[str, str]], words: str = "", *, typical: bool = False) -> Brief:
    """What the paste and part must do from now on: a window per declared reading, open sides left empty."""
    with recorded(entry, "set brief", {"windows": {k: list(v) for k, v in windows.items()}, "words": words}) as log:
        if log.before is not None:
            return Brief.objects.get(pk=log.before["brief"])
        lines = [line for name, sides in windows.items() if (line := _window(name, *sides)) is not None]
        if not lines:
            raise Problem("the brief has no line: give at least one reading a lower or an upper limit")
        _check_by_notebook({name: (low, high) for name, low, high in lines})
        brief = Brief.objects.create(since=entry.at, words=short_text(words, "the brief"), typical=typical)
        for name, low, high in lines:
            Window.objects.create(brief=brief, reading=name, low=low, high=high)
        log.answer = {"brief": brief.pk}
        return brief


def _check_by_notebook(windows: Mapping[str, tuple[float | None, float | None]]) -> None:
    """The notebook that will work with the brief is asked whether it can: a limit no reading can reach is refused."""
    Notebook(lots={"any": "mussel shell"}, brief=windows)


def _window(name: str, low: str, high: str) -> tuple[str, float | None, float | None] | None:
    test = next((t for t in all_tests().values() if t.notebook_name == name), None)
    if test is None:
        raise Problem(f"no bench test reads “{name[:40]}”: choose one of the tests this bench has")
    limits = Limits(low=-1e9, high=1e9, unit=test.notebook_unit)
    bottom = read_optional(low, f"{test.title}, at least", limits)
    top = read_optional(high, f"{test.title}, at most", limits)
    if bottom is None and top is None:
        return None
    if bottom is not None and top is not None and bottom > top:
        raise OutsideRange(f"{test.title}, at least", got=bottom, low=-1e9, high=top, do="swap the two limits")
    return name, bottom, top


def say_room(entry: Entry, typed: Mapping[str, str]) -> Room:
    """Air and water of the bench, asked once; kept with every batch that starts after."""
    with recorded(entry, "say room", typed) as log:
        if log.before is not None:
            return Room.objects.get(pk=log.before["room"])
        numbers = {key: read_optional(typed.get(key), *ROOM_LIMITS[key]) for key in ROOM_LIMITS}
        room = Room.objects.create(since=entry.at, **numbers)
        log.answer = {"room": room.pk}
        return room
