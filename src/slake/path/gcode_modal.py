"""Commands to moves: units, absolute and relative, offsets and feed carried from line to line, over arrays.

Chosen where firmwares differ: G90/G91 also rule E until M82/M83 has been said, which then alone rules it; G92 sets
what a position is called and moves nothing; homing is a jump to zero that takes no time.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from slake.ground.units import to_si

from . import gcode_words as g
from .gcode_said import Said, last_said, running
from .gcode_words import LineProblem, Notes, Rows

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]
Places = NDArray[np.int64]
INCH_MM = 25.4
AXES = "XYZ"


@dataclass(frozen=True, kw_only=True)
class Mood:
    """What holds in each row: its code, whether it moves, the unit of its words, whether they are relative."""

    code: Places
    moving: Flags
    unit: Array
    relative: Flags


@dataclass(frozen=True, kw_only=True)
class Steps:
    """Moves and waits of a stretch of lines, arcs not yet unfolded.

    start_mm, end_mm: (r, 3). pushed_e: in E units. feed: mm (or E units where nothing else moves) per second.
    """

    start_mm: Array
    end_mm: Array
    pushed_e: Array
    feed: Array
    wait_s: Array
    code: Places
    line: Places
    centre: dict[str, Array]

    def only(self, keep: Flags | Places) -> Steps:
        return Steps(
            start_mm=self.start_mm[keep],
            end_mm=self.end_mm[keep],
            pushed_e=self.pushed_e[keep],
            feed=self.feed[keep],
            wait_s=self.wait_s[keep],
            code=self.code[keep],
            line=self.line[keep],
            centre={letter: values[keep] for letter, values in self.centre.items()},
        )


def steps_of(rows: Rows, said: Said, notes: Notes, by_length: bool) -> Steps:
    """What the nozzle and the ram do in these rows; `said` is carried on. Raises LineProblem."""
    rows = _until_end(rows, said, notes)
    code = _with_motion(rows, said)
    unit = _carried(code, {g.MILLIMETRES: 1.0, g.INCHES: INCH_MM}, said, "unit")
    relative = _carried(code, {g.ABSOLUTE: 0.0, g.RELATIVE: 1.0}, said, "relative")
    push = _carried(code, {g.PUSH_ABSOLUTE: 0.0, g.PUSH_RELATIVE: 1.0}, said, "push relative")
    moving = (code >= g.RAPID) & (code <= g.COUNTER) & (code % 10 == 0)
    mood = Mood(code=code, moving=moving, unit=unit, relative=relative > 0)
    start, end = np.empty((len(code), 3)), np.empty((len(code), 3))
    for place, letter in enumerate(AXES):
        start[:, place], end[:, place] = _axis(letter, rows, mood, said)
    pushing = replace(
        mood, unit=unit if by_length else np.ones(len(unit)), relative=np.where(push < 0, relative, push) > 0
    )
    _note_unknown(rows, code, notes)
    return Steps(
        start_mm=start,
        end_mm=end,
        pushed_e=_pushed(rows, pushing, said),
        feed=_feed(rows, mood, said) / 60,
        wait_s=_waits(rows, code, notes),
        code=code,
        line=rows.line,
        centre={letter: rows.words[letter] * unit for letter in "IJR" if letter in rows.words},
    )


def _until_end(rows: Rows, said: Said, notes: Notes) -> Rows:
    ends = np.flatnonzero((rows.code == g.END) | (rows.code == g.END_TOO))
    if not ends.size:
        return rows
    said.ended = int(rows.line[ends[0]])
    notes.add(said.ended, "the program ends here: what comes after it is not read")
    return rows.upto(int(ends[0]))


def _with_motion(rows: Rows, said: Said) -> Places:
    """Codes with the last motion filled in where a line only goes on with it."""
    motion = np.isin(rows.code, g.MOTIONS)
    last = last_said(motion, rows.code.astype(np.float64), said.held["motion"])
    if not len(last):
        return rows.code
    said.held["motion"] = float(last[-1])
    open_rows = rows.code == g.MODAL
    unsaid = np.flatnonzero(open_rows & (last == g.NOTHING))
    if unsaid.size:
        raise LineProblem(
            rows.line[unsaid[0]], "it gives words and no G0 to G3 came before it: begin the line with one"
        )
    return np.where(open_rows, last, rows.code).astype(np.int64)


def _carried(code: Places, meaning: dict[int, float], said: Said, name: str) -> Array:
    """A setting after each row, and kept for the rows to come."""
    values, given = np.zeros(len(code)), np.zeros(len(code), dtype=bool)
    for number, value in meaning.items():
        mine = code == number
        given |= mine
        values[mine] = value
    before = said.held[name]
    if not given.any():
        return np.full(len(code), before)
    found = last_said(given, values, before)
    said.held[name] = float(found[-1])
    return found


def _axis(letter: str, rows: Rows, mood: Mood, said: Said) -> tuple[Array, Array]:
    """Where an axis is before and after each row, in mm from where the file began."""
    given, relative = rows.word(letter) * mood.unit, mood.relative
    moves = mood.moving & ~np.isnan(given)
    sets, homes = (mood.code == g.SET) & ~np.isnan(given), _homed(letter, rows, mood.code)
    before, old_offset = said.called[letter], said.offset[letter]
    adds = np.where(moves & relative, given, 0.0)
    called = running(adds, (moves & ~relative) | sets | homes, np.where(homes, 0.0, given), before)
    earlier = np.append(before, called)[: len(called)]
    if sets.any() or homes.any():
        shift = np.where(sets, earlier - given, 0.0)
        offset = running(shift, homes, np.zeros(len(called)), old_offset)
    else:
        offset = np.full(len(called), old_offset)
    place = called + offset
    start = np.append(before + old_offset, place)[: len(place)]
    if len(called):
        said.called[letter], said.offset[letter] = float(called[-1]), float(offset[-1])
    _refuse_far(letter, place, rows.line)
    return np.where(homes, place, start), place


def _homed(letter: str, rows: Rows, code: Places) -> Flags:
    """Rows that home this axis: named, or none named."""
    home = code == g.HOME
    if not home.any():
        return np.asarray(home)
    named = np.logical_or.reduce([~np.isnan(rows.word(axis)) for axis in AXES])
    return np.asarray(home & (~named | ~np.isnan(rows.word(letter))))


def _refuse_far(letter: str, place: Array, line: Places) -> None:
    far = np.flatnonzero(~(np.abs(place) <= g.FARTHEST_MM))
    if far.size:
        raise LineProblem(
            line[far[0]],
            f"{letter} would be at {place[far[0]]:.4g} mm, farther than {g.FARTHEST_MM:g} mm: mend the number",
        )


def _pushed(rows: Rows, mood: Mood, said: Said) -> Array:
    """E units pushed in each row, negative where the ram goes back."""
    if "E" not in rows.words:
        return np.zeros(len(rows.line))
    given, relative = rows.words["E"] * mood.unit, mood.relative
    moves, sets = mood.moving & ~np.isnan(given), (mood.code == g.SET) & ~np.isnan(given)
    before = said.called["E"]
    called = running(np.where(moves & relative, given, 0.0), (moves & ~relative) | sets, given, before)
    said.called["E"] = float(called[-1]) if len(called) else before
    earlier = np.append(before, called)[: len(called)]
    pushed = np.where(moves, np.where(relative, given, given - earlier), 0.0)
    far = np.flatnonzero(~(np.abs(pushed) <= g.MOST_PUSHED))
    if far.size:
        raise LineProblem(rows.line[far[0]], f"E pushes {pushed[far[0]]:.4g} at once: mend the number")
    return pushed


def _feed(rows: Rows, mood: Mood, said: Said) -> Array:
    """Feed after each row, mm per minute."""
    given = rows.word("F") * mood.unit
    says = mood.moving & ~np.isnan(given)
    low = np.flatnonzero(says & ~((given > 0) & (given < 1e9)))
    if low.size:
        raise LineProblem(
            rows.line[low[0]], f"F is {given[low[0]]:.4g}, and nothing moves at that: give a speed above 0"
        )
    feed = last_said(says, given, said.held["feed"])
    said.held["feed"] = float(feed[-1]) if len(feed) else said.held["feed"]
    return feed


def _waits(rows: Rows, code: Places, notes: Notes) -> Array:
    """Seconds of each wait: S in seconds, else P in milliseconds."""
    waiting = np.flatnonzero(code == g.WAIT)
    found = np.zeros(len(code))
    if not waiting.size:
        return found
    seconds, thousandths = rows.word("S")[waiting], rows.word("P")[waiting] * to_si(1, "ms")
    found[waiting] = np.nan_to_num(np.where(np.isnan(seconds), thousandths, seconds))
    wrong = waiting[~((found[waiting] >= 0) & (found[waiting] <= g.LONGEST_WAIT_S))]
    if wrong.size:
        raise LineProblem(rows.line[wrong[0]], f"it waits {found[wrong[0]]:.4g} s: give 0 to {g.LONGEST_WAIT_S:g} s")
    milli = waiting[np.isnan(seconds) & ~np.isnan(thousandths)]
    if milli.size:
        notes.add(rows.line[milli[0]], "P of G4 is read as milliseconds, S as seconds", len(milli))
    return found


def _note_unknown(rows: Rows, code: Places, notes: Notes) -> None:
    line = rows.line
    for number in np.setdiff1d(code, g.KNOWN).tolist():
        mine = np.flatnonzero(code == number)
        notes.add(line[mine[0]], f"{g.name_of(number)} is not known here and was passed over", len(mine))
    if (code == g.HOME).any():
        notes.add(line[(code == g.HOME).argmax()], "homing is taken as a jump to zero that takes no time")
    if (code == g.SET).any():
        named = np.logical_or.reduce([~np.isnan(rows.word(letter)) for letter in "XYZE"])
        empty = np.flatnonzero((code == g.SET) & ~named)
        if empty.size:
            notes.add(line[empty[0]], "G92 without X, Y, Z or E sets nothing here", len(empty))
