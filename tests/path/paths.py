"""Toolpaths made for tests: a tube as a spiral, rings in layers."""

from __future__ import annotations

import math

BARREL_M, WALL_M, LAYER_M, RADIUS_M = 0.06, 0.0024, 0.0012, 0.04


def _push(length_mm: float) -> float:
    """mm of ram for a rectangular bead of 2.4 x 1.2 mm."""
    return length_mm * WALL_M * LAYER_M * 1e6 / (math.pi * (BARREL_M * 500) ** 2)


def tube(height_m: float, points: int = 200, feed: float = 1200) -> bytes:
    """One spiral of a round tube, 80 mm across the middle of its wall; E is mm of a 60 mm ram."""
    lines, radius = (
        ["; a tube", "G21", "G90", "M83", f"G1 F{feed:g}", f"G0 X{RADIUS_M * 1000:g} Y0 Z0"],
        RADIUS_M * 1000,
    )
    turns, step = height_m / LAYER_M, 2 * math.pi / points
    for number in range(1, round(turns * points) + 1):
        x, y, z = radius * math.cos(number * step), radius * math.sin(number * step), LAYER_M * 1000 * number / points
        lines.append(f"G1 X{x:.5f} Y{y:.5f} Z{z:.5f} E{_push(radius * step):.7f}")
    return "\n".join([*lines, ""]).encode()


def rings(layers: int, centres_mm: tuple[tuple[float, float], ...] = ((60, 60),), extra: str = "") -> bytes:
    """Rings of 40 mm across in flat layers, one at each centre; `extra` is said after each ring."""
    lines = ["G21", "G90", "M83", "G0 F3000"]
    for layer in range(layers):
        for x0, y0 in centres_mm:
            lines.append(f"G0 X{x0 + 20:.3f} Y{y0:.3f} Z{LAYER_M * 1000 * (layer + 1):.3f} F3000")
            lines.append("G1 F1200")
            for point in range(1, 61):
                angle = 2 * math.pi * point / 60
                x, y = x0 + 20 * math.cos(angle), y0 + 20 * math.sin(angle)
                lines.append(f"G1 X{x:.4f} Y{y:.4f} E{_push(2 * math.pi * 20 / 60):.7f}")
            lines += [extra] if extra else []
    return "\n".join([*lines, ""]).encode()
