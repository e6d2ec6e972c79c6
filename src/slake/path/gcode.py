"""A G-code file read in pieces: moves in metres and cubic metres, and what its lines had to say."""

from __future__ import annotations

import io
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

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
    said, notes, moves, line, size = Said(), Notes(), _Moves(), 1, 0
    with _opened(source) as stream:
        for text, whole in _pieces(stream):
            _refuse_binary(text, line)
            size += len(text)
            with _cut_short(text, whole, line, notes):
                rows = read_lines(text if whole else text + b"\n", line, notes)
                moves.add(_moves(unfolded(steps_of(rows, said, notes, pushed.by_length)), motion), pushed)
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
    """Moves as they are gathered, piece by piece, in SI."""

    def __init__(self) -> None:
        self.pieces: list[tuple[Array, Array, Array, Array, Array, Places]] = []
        self.count = 0

    def add(self, found: tuple[Steps, Array], pushed: Pushed) -> None:
        steps, length = found
        moves = length > STILL_MM
        with np.errstate(invalid="ignore"):
            alone = np.where(steps.pushed_e != 0, np.abs(steps.pushed_e) / steps.feed, 0.0)
        mm = to_si(1, "mm")
        self.pieces.append(
            (
                steps.start_mm * mm,
                steps.end_mm * mm,
                steps.pushed_e * pushed.m3_per_e,
                np.where(moves, steps.feed, 0.0) * mm,
                np.where(moves, 0.0, alone) + steps.wait_s,
                steps.line,
            )
        )
        self.count += len(steps.line)
        if self.count > g.MOST_MOVES:
            raise Problem(f"the file holds more than {g.MOST_MOVES} moves, the most followed here: cut it in parts")

    def all(self, notes: Notes, lines: int) -> Toolpath:
        if not self.count:
            raise Problem("no line of the file moves anything: this is no toolpath that could be printed")
        start, end, pushed, speed, still, line = (self._column(place) for place in range(6))
        self.pieces.clear()
        return Toolpath(
            start_m=start,
            end_m=end,
            pushed_m3=pushed,
            speed_m_s=speed,
            still_s=still,
            line=line.astype(np.int64, copy=False),
            notes=notes.all(),
            lines=lines,
        )

    def _column(self, place: int) -> NDArray[np.float64]:
        return np.concatenate([piece[place] for piece in self.pieces])
