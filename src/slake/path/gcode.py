"""A G-code file read in pieces: moves in metres and cubic metres, and what its lines had to say."""

from __future__ import annotations

import io
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any, BinaryIO

import numpy as np
from numpy.typing import NDArray

from slake.ground.problems import Problem, as_typed
from slake.ground.units import from_si, to_si

from . import gcode_words as g
from .gcode_arcs import unfolded
from .gcode_bytes import read_lines
from .gcode_modal import Steps, steps_of
from .gcode_said import Said
from .gcode_words import LineProblem, Note, Notes
from .pushing import AS_WRITTEN, Motion, Pushed

Array = NDArray[np.float64]
Places = NDArray[np.int64]
PIECE = 1 << 20
STILL_MM = 1e-9
SPARE, GROWS = 1.05, 1.5
"""Room kept beyond what a file seems to need, and growth where it says nothing of its length."""
LEAST_BYTE = 9
"""Text holds no byte below the tab."""
MARK = b"\xef\xbb\xbf"
Source = Path | bytes | BinaryIO
Tell = Callable[[int], None]


@dataclass(frozen=True, kw_only=True)
class Toolpath:
    """Moves in order, all straight. pushed_m3: paste the ram pushes, below zero where it goes back.

    speed_m_s: of the nozzle where it moves. still_s: waiting, or pushing on the spot. lines: read in all.
    """

    start_m: Array  # (n, 3)
    end_m: Array  # (n, 3)
    length_m: Array  # (n,)
    pushed_m3: Array  # (n,)
    speed_m_s: Array  # (n,)
    still_s: Array  # (n,)
    line: Places  # (n,)
    notes: tuple[Note, ...]
    lines: int


def read_gcode(source: Source, pushed: Pushed, motion: Motion = AS_WRITTEN, tell: Tell | None = None) -> Toolpath:
    """The moves of a file, or of its bytes. tell: called with the bytes read so far, and may raise to stop.

    Raises LineProblem for a line that cannot be followed, Problem for a file that is none.
    """
    said, notes, moves, line, size = Said(), Notes(), _Moves(_expected_bytes(source)), 1, 0
    with _opened(source) as stream:
        for text, whole in _pieces(stream):
            _refuse_binary(text, line)
            size += len(text)
            with _cut_short(text, whole, line, notes):
                rows = read_lines(text if whole else text + b"\n", line, notes)
                moves.add(_moves(unfolded(steps_of(rows, said, notes, pushed.by_length)), motion), pushed, size)
            line += text.count(b"\n") + (not whole)
            if tell is not None:
                tell(size)
            if said.ended:
                break
    return moves.all(notes, line - 1)


@contextmanager
def _opened(source: Source) -> Iterator[BinaryIO]:
    if isinstance(source, bytes):
        yield io.BytesIO(source)
    elif isinstance(source, Path):
        try:
            with source.open("rb") as stream:
                yield stream
        except OSError as fault:
            raise Problem(
                f"“{as_typed(source.name)}” cannot be read ({fault.strerror}): choose the file again"
            ) from None
    else:
        yield source


def _pieces(stream: BinaryIO) -> Iterator[tuple[bytes, bool]]:
    """Whole lines of about a megabyte at a time; false beside the last line where it has no end."""
    left, size = b"", 0
    while piece := stream.read(PIECE):
        left += piece.removeprefix(MARK) if not size else piece
        size += len(piece)
        if size > g.MOST_BYTES:
            raise Problem(
                f"the file is larger than {g.MOST_BYTES // 10**6} MB, the most that is read here: cut it in parts"
            )
        cut = left.rfind(b"\n") + 1
        if cut:
            yield left[:cut], True
            left = left[cut:]
        elif len(left) > g.LONGEST_LINE:
            yield left + b"\n", True
            left = b""
    if left:
        yield left, False
    if not size:
        raise Problem("the file is empty: choose another one")


def _refuse_binary(text: bytes, line: int) -> None:
    letters = np.frombuffer(text, dtype=np.uint8)
    if letters.min() >= LEAST_BYTE:
        return
    place = int((letters < LEAST_BYTE).argmax())
    raise LineProblem(
        line + text.count(b"\n", 0, place), f"it holds byte {text[place]}: this is not text, and no toolpath"
    )


@contextmanager
def _cut_short(text: bytes, whole: bool, line: int, notes: Notes) -> Iterator[None]:
    """Says of a last line without an end that the file may have been cut there."""
    if whole:
        yield
        return
    try:
        yield
    except LineProblem as fault:
        if fault.line != line:
            raise
        raise LineProblem(line, f"the file ends in the middle of it: {str(fault).split(': ', 1)[1]}") from None
    notes.add(line, "the file ends without a line end: if it was cut short, copy it again")


def _moves(steps: Steps, motion: Motion) -> tuple[Steps, Array]:
    """The steps in which something happens, with the length of each in mm. Raises LineProblem."""
    away = steps.end_mm - steps.start_mm
    length = np.sqrt(np.einsum("ij,ij->i", away, away))
    happens = (length > STILL_MM) | (steps.pushed_e != 0) | (steps.wait_s > 0)
    if not happens.all():
        steps, length = steps.only(happens), length[happens]
    back = np.flatnonzero((steps.pushed_e < 0) & (length > STILL_MM))
    if back.size:
        raise LineProblem(
            steps.line[back[0]],
            f"E goes back by {-steps.pushed_e[back[0]]:.4g} while the nozzle moves, and no bead is laid with less than "
            "nothing: where E counts each bead by itself, write M83 before it",
        )
    unsaid = np.flatnonzero(np.isnan(steps.feed) & (steps.wait_s == 0))
    if unsaid.size:
        if motion.speed_m_s is None:
            raise LineProblem(
                steps.line[unsaid[0]], "it moves before any F said how fast: add F, or give the machine's usual speed"
            )
        steps.feed[unsaid] = from_si(motion.speed_m_s, "mm/s")
    return steps, length


class _Moves:
    """Moves as they are gathered, piece by piece, in SI, in arrays made as long as the file seems to need."""

    def __init__(self, expected_bytes: int) -> None:
        self.expected_bytes, self.count = expected_bytes, 0
        self.columns: list[NDArray[Any]] = [
            np.empty((0, 3)),
            np.empty((0, 3)),
            *(np.empty(0) for _ in range(4)),
            np.empty(0, dtype=np.int64),
        ]

    def add(self, found: tuple[Steps, Array], pushed: Pushed, read_bytes: int) -> None:
        steps, length = found
        moves, mm, begin = length > STILL_MM, to_si(1, "mm"), self.count
        with np.errstate(invalid="ignore"):
            alone = np.where(steps.pushed_e != 0, np.abs(steps.pushed_e) / steps.feed, 0.0)
        self.count += len(length)
        if self.count > g.MOST_MOVES:
            raise Problem(f"the file holds more than {g.MOST_MOVES} moves, the most followed here: cut it in parts")
        self._make_room(read_bytes)
        start_m, end_m, length_m, pushed_m3, speed_m_s, still_s, line = (c[begin : self.count] for c in self.columns)
        np.multiply(steps.start_mm, mm, out=start_m)
        np.multiply(steps.end_mm, mm, out=end_m)
        length_m[:] = np.where(moves, length, 0.0) * mm
        np.multiply(steps.pushed_e, pushed.m3_per_e, out=pushed_m3)
        speed_m_s[:] = np.where(moves, steps.feed, 0.0) * mm
        still_s[:] = np.where(moves, 0.0, alone) + steps.wait_s
        line[:] = steps.line

    def _make_room(self, read_bytes: int) -> None:
        if self.count > len(self.columns[0]):
            likely = int(self.count * self.expected_bytes / read_bytes * SPARE)
            room = min(max(likely, int(self.count * GROWS)), g.MOST_MOVES)
            for place, column in enumerate(self.columns):
                longer = np.empty((room, *column.shape[1:]), dtype=column.dtype)
                longer[: len(column)] = column
                self.columns[place] = longer

    def all(self, notes: Notes, lines: int) -> Toolpath:
        if not self.count:
            raise Problem("no line of the file moves anything: this is no toolpath that could be printed")
        start, end, length, pushed, speed, still, line = (column[: self.count] for column in self.columns)
        return Toolpath(
            start_m=start,
            end_m=end,
            length_m=length,
            pushed_m3=pushed,
            speed_m_s=speed,
            still_s=still,
            line=line,
            notes=notes.all(),
            lines=lines,
        )


def _expected_bytes(source: Source) -> int:
    """Length of the source as far as it says so beforehand."""
    if isinstance(source, bytes):
        return len(source)
    return source.stat().st_size if isinstance(source, Path) and source.is_file() else 0
