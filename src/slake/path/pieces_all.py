"""Every test piece, by its key."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from .beads import Printer
from .pieces import Piece
from .pieces_bars import bend_bars, crack_ring, purge_line, shrinkage_bar
from .pieces_reach import overhang_fan, span_ladder
from .pieces_standing import failing_tube, failing_wall

EVERY_PIECE: Mapping[str, Callable[[Printer], Piece]] = {
    "purge_line": purge_line,
    "shrinkage_bar": shrinkage_bar,
    "failing_wall": failing_wall,
    "failing_tube": failing_tube,
    "overhang_fan": overhang_fan,
    "span_ladder": span_ladder,
    "bend_bars": bend_bars,
    "crack_ring": crack_ring,
}
