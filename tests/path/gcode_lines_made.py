"""Lines of G-code made at random: plain ones, awkward ones, and bytes that are none. For tests and for fuzzing."""

from __future__ import annotations

import numpy as np

WORDS = ("X", "Y", "Z", "E", "F", "I", "J", "R", "P", "S", "x", "e", "N", "A", "T", "K")
CODES = ("G0", "G1", "G1", "G1", "G01", "G2", "G3", "G4", "G20", "G21", "G28", "G90", "G91", "G92", "G92.1", "G17")
OTHERS = ("M82", "M83", "M104", "M117", "M2", "M221", "M30", "G5", "G", "M", "", "", "g1", "START_IT", "%", "N5", "O1")
NUMBERS = (
    "0",
    "1",
    "-1",
    "+2.5",
    ".5",
    "-.25",
    "5.",
    ".",
    "-.",
    "10",
    "600",
    "0.001",
    "12.3456",
    "1.2.3",
    "nan",
    "",
    "-",
    "1e2",
)
GLUE = ("", " ", " ", " ", "  ", "\t")
TAILS = (
    "",
    "",
    "",
    "",
    ";",
    "; layer 3",
    "(a)",
    "(a) X2 (b)",
    "( ; ) X1",
    "(open",
    "*71",
    "\r",
    " ; é",
    ")",
    "@",
    "\x0b",
)


def number(rng: np.random.Generator) -> str:
    if rng.random() < 0.7:
        return f"{rng.normal() * 10.0 ** rng.integers(-1, 3):.{int(rng.integers(0, 6))}f}"
    return str(rng.choice(NUMBERS))


def line(rng: np.random.Generator, odd: float) -> str:
    """One line; `odd` is the share of what is unusual in it."""
    code = str(rng.choice(OTHERS if rng.random() < odd else CODES))
    words = [code] if rng.random() > odd / 2 else []
    letters = rng.permutation(WORDS if rng.random() < odd else WORDS[:5])
    for letter in letters[: rng.integers(0, 5)]:
        words.append(str(letter) + (" " if rng.random() < odd / 3 else "") + number(rng))
    glue = str(rng.choice(GLUE)) if rng.random() < odd else " "
    text = glue.join(words)
    if rng.random() < odd / 2:
        text = checked(text, rng)
    return text + (str(rng.choice(TAILS)) if rng.random() < odd else "")


def checked(text: str, rng: np.random.Generator) -> str:
    """The line numbered and with its checksum, seldom a wrong one."""
    body, check = f"N{int(rng.integers(1, 9999))} {text}", 0
    for byte in body.encode():
        check ^= byte
    return f"{body}*{check if rng.random() > 0.02 else (check + 1) % 256}"


def damaged(content: bytes, rng: np.random.Generator) -> bytes:
    """The same with some bytes changed, left out, put in or cut off."""
    found = bytearray(content)
    for _ in range(int(rng.integers(1, 6))):
        place, kind = int(rng.integers(0, max(len(found), 1))), int(rng.integers(0, 5))
        if kind == 0 and found:
            found[place] = int(rng.integers(0, 256))
        elif kind == 1:
            found[place:place] = bytes(rng.integers(0, 256, int(rng.integers(1, 8)), dtype=np.uint8))
        elif kind == 2:
            del found[place : place + int(rng.integers(1, 20))]
        elif kind == 3:
            found = found[: place + 1]
        else:
            found[place:place] = found[max(place - 30, 0) : place] * int(rng.integers(1, 4))
    return bytes(found)
