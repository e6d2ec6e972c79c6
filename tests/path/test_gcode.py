"""Files of G-code read whole: words, modes, units, offsets, and what is refused with its line."""

from __future__ import annotations

import io
import math
from pathlib import Path

import numpy as np
import pytest
from pytest import approx

from slake.ground.problems import Problem
from slake.path import gcode_words
from slake.path.gcode import Toolpath, read_gcode
from slake.path.gcode_words import LineProblem
from slake.path.pushing import Motion, filament_mm, millilitres, ram_mm


def read(text: str, **how: object) -> Toolpath:
    return read_gcode(text.encode(), millilitres(), **how)  # type: ignore[arg-type]


def ends_mm(path: Toolpath) -> list[list[float]]:
    return np.round(path.end_m * 1000, 6).tolist()


def pushed_ml(path: Toolpath) -> list[float]:
    return np.round(path.pushed_m3 * 1e6, 9).tolist()


def sentences(path: Toolpath) -> list[str]:
    return [note.sentence for note in path.notes]


def refused(text: str | bytes) -> str:
    with pytest.raises(LineProblem) as fault:
        read_gcode(text.encode() if isinstance(text, str) else text, millilitres())
    assert str(fault.value).startswith(f"line {fault.value.line}: ")
    return str(fault.value)


def test_a_plain_file_is_read_in_metres_and_cubic_metres():
    path = read("G21\nG90\nM82\nG0 X10 Y0 Z1 F1200\nG1 X20 E0.5\nG1 Y10 E1.5 F600\n")
    assert ends_mm(path) == [[10, 0, 1], [20, 0, 1], [20, 10, 1]]
    assert pushed_ml(path) == [0, 0.5, 1.0]
    assert path.speed_m_s.tolist() == approx([0.02, 0.02, 0.01])
    assert path.line.tolist() == [4, 5, 6]
    assert path.lines == 6 and path.notes == ()


def test_moves_begin_where_the_last_one_ended():
    path = read("G1 F600 X1 E1\nG1 Y2 E2\nG0 Z3\n")
    assert np.array_equal(path.start_m[1:], path.end_m[:-1])
    assert path.start_m[0].tolist() == [0, 0, 0]


# ---- the trap lines: things that are commonly misread --------------------------------------------------------------


def test_words_after_a_comment_in_brackets_count():
    assert ends_mm(read("G1 F600 E1 X1 ( note ) Y2\n")) == [[1, 2, 0]]


def test_a_number_has_no_exponent_and_the_line_says_so():
    path = read("G1 F600 X1e2\n")
    assert ends_mm(path) == [[1, 0, 0]] and pushed_ml(path) == [2]
    assert sentences(path) == [
        "line 1: an E right behind a number is read as the E word: numbers in G-code have no exponent"
    ]


def test_a_checksum_is_checked():
    body = b"G1 X1 F600 E1"
    good = 0
    for byte in body:
        good ^= byte
    path = read_gcode(body + b"*%d\n" % good, millilitres())
    assert ends_mm(path) == [[1, 0, 0]]
    assert "checksum says 71" in refused("G1 X1*71\n")
    assert "N-numbered" not in refused(b"N3 " + body + b"*%d\n" % good)


def test_text_of_a_message_is_no_word():
    path = read("G1 F600 X1 E1\nM117 X5 Y5 layer (1) nan *7\nM118 G1 X9\nG1 Y1 E2\n")
    assert ends_mm(path) == [[1, 0, 0], [1, 1, 0]] and path.notes == ()


def test_a_semicolon_in_brackets_and_brackets_behind_a_semicolon():
    path = read("G1 F600 X1 ( ; ) E1 ; ( Y7\nG1 Y3 E2 ; X9\n;G1 X5\n")
    assert ends_mm(path) == [[1, 0, 0], [1, 3, 0]]


def test_words_need_no_blanks_and_no_capitals():
    assert ends_mm(read("g1x1.5y-.5e+1f600\n")) == [[1.5, -0.5, 0]]
    assert ends_mm(read("G01 X 2 Y5. E1 F600\r\n")) == [[2, 5, 0]]


def test_line_numbers_percent_and_windows_ends_are_fine():
    path = read("\ufeff%\r\nN10 G1 X1 F600 E1\r\nN20 G1 X2 E2\r\n%\r\n")
    assert ends_mm(path) == [[1, 0, 0], [2, 0, 0]] and path.line.tolist() == [2, 3]


def test_a_setting_and_a_move_may_share_a_line():
    path = read("G91 G1 X1 F600 E1\nG90 G1 X5 E3\n")
    assert ends_mm(path) == [[1, 0, 0], [5, 0, 0]] and pushed_ml(path) == [1, 2]


def test_a_line_without_a_code_goes_on_with_the_last_motion():
    assert ends_mm(read("G1 X1 F600 E1\nX2 E2\nY3 E3\n")) == [[1, 0, 0], [2, 0, 0], [2, 3, 0]]
    assert "no G0 to G3 came before it" in refused("X1 Y2 F600 E1\n")


# ---- modes ---------------------------------------------------------------------------------------------------------


def test_relative_moves_add_up():
    path = read("G91\nG1 X1 Y1 F600 E1\nG1 X1 E0.5\nG90\nG1 X1 E3\n")
    assert ends_mm(path) == [[1, 1, 0], [2, 1, 0], [1, 1, 0]]
    assert pushed_ml(path) == [1, 0.5, 1.5]


def test_m82_and_m83_rule_e_alone_once_said():
    assert pushed_ml(read("M83\nG90\nG1 X1 E1 F600\nG1 X2 E1\n")) == [1, 1]
    assert pushed_ml(read("M82\nG91\nG1 X1 E1 F600\nG1 X2 E3\n")) == [1, 2]


def test_inches():
    path = read("G20\nG1 X1 F10 E1\nG21\nG1 X50.8 E2\n")
    assert ends_mm(path) == [[25.4, 0, 0], [50.8, 0, 0]]
    assert path.speed_m_s.tolist() == approx([0.254 / 60, 0.254 / 60])
    assert pushed_ml(path) == [1, 1]  # a volume stays what it is


def test_what_e_counts_comes_from_the_machine():
    text = b"G1 X10 E2 F600\n"
    assert read_gcode(text, ram_mm(0.06)).pushed_m3[0] == approx(math.pi * 0.03**2 * 0.002)
    assert read_gcode(text, filament_mm(0.00175)).pushed_m3[0] == approx(math.pi * 0.000875**2 * 0.002)
    inch = read_gcode(b"G20\n" + text, ram_mm(0.06)).pushed_m3[0]
    assert inch == approx(25.4 * math.pi * 0.03**2 * 0.002)


def test_g92_names_a_place_and_moves_nothing():
    path = read("G1 X10 F600 E1\nG92 X0 E0\nG1 X5 E1\nG92 E5\nG1 X6 E5.5\n")
    assert ends_mm(path) == [[10, 0, 0], [15, 0, 0], [16, 0, 0]]
    assert pushed_ml(path) == [1, 1, 0.5]


def test_g92_in_relative_mode_and_again():
    path = read("G91\nG1 X1 F600 E1\nG92 X100\nG1 X1 E1\nG90\nG1 X103 E9\n")
    assert ends_mm(path) == [[1, 0, 0], [2, 0, 0], [4, 0, 0]]


def test_homing_is_said_and_takes_no_time():
    path = read("G1 X10 Y5 F600 E1\nG28 X0\nG1 X1 E2\n")
    assert ends_mm(path) == [[10, 5, 0], [1, 5, 0]] and path.start_m[1].tolist() == approx([0, 0.005, 0])
    assert sentences(path) == ["line 2: homing is taken as a jump to zero that takes no time"]


def test_waits():
    path = read("G1 X1 E1 F600\nG4 P500\nG4 S2\nG1 X2 E2\n")
    assert path.still_s.tolist() == approx([0, 0.5, 2, 0])
    assert sentences(path) == ["line 2: P of G4 is read as milliseconds, S as seconds"]
    assert "it waits" in refused("G1 X1 E1 F600\nG4 P-5\n")
    assert "it waits" in refused("G1 X1 E1 F600\nG4 S1000000\n")


def test_pushing_and_pulling_on_the_spot():
    path = read("M83\nG1 X1 E1 F600\nG1 E-0.5 F30\nG0 X5 F600\nG1 E0.5 F60\n")
    assert pushed_ml(path) == [1, -0.5, 0, 0.5]
    assert path.still_s.tolist() == approx([0, 1.0, 0, 0.5])


def test_a_piece_of_a_file_carries_everything_to_the_next(monkeypatch: pytest.MonkeyPatch):
    text = "G20\nG91\nM83\n" + "G1 X1 Y0.5 E0.25 F30\nG92 X3\nX-0.5 E0.125 ; remark\nG4 P10\n" * 50
    whole = read(text)
    monkeypatch.setattr("slake.path.gcode.PIECE", 61)
    pieces = read(text)
    for name in ("start_m", "end_m", "pushed_m3", "speed_m_s", "still_s", "line"):
        assert np.allclose(getattr(whole, name), getattr(pieces, name), rtol=1e-12, atol=1e-15)
    assert sentences(whole) == sentences(pieces)


def test_a_file_by_path_by_bytes_and_by_stream_with_progress(tmp_path: Path):
    text = b"G1 X1 E1 F600\nG1 X2 E2\n"
    (tmp_path / "object.gcode").write_bytes(text)
    told: list[int] = []
    for source in (tmp_path / "object.gcode", text, io.BytesIO(text)):
        assert ends_mm(read_gcode(source, millilitres(), tell=told.append)) == [[1, 0, 0], [2, 0, 0]]
    assert told == [len(text)] * 3


def test_it_can_be_called_off():
    def stop(read_bytes: int) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        read("G1 X1 E1 F600\n", tell=stop)


# ---- words that are not known --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("G29", "G29 is not known here and was passed over"),
        ("G92.1", "G92.1 is not known here and was passed over"),
        ("G92", "G92 without X, Y, Z or E sets nothing here"),
        ("M221 S90", "M221 is not known here and was passed over"),
        ("T1", "the word T is not known here and was passed over"),
        ("G1 X2 A5", "the word A is not known here and was passed over"),
        ("START_PRINT BED=60", "“START_PRINT” is not known here and was passed over"),
        ("O100", "the word O is not known here and was passed over"),
    ],
)
def test_an_unknown_word_is_said_with_its_line(line: str, said: str):
    path = read(f"G1 X1 E1 F600\n{line}\nG1 X3 E3\n{line}\n")
    assert sentences(path) == [f"line 2: {said} (2 such lines)"]


def test_heaters_fans_and_motors_are_passed_over_in_silence():
    assert read("M104 S40\nM106 S255\nM17\nG17\nG1 X1 E1 F600\nM107\nM84\n").notes == ()


def test_notes_are_bounded():
    path = read("G1 X1 E1 F600\n" + "".join(f"MACRO_{'A' * (n % 26)}_{n:05d} X\n" for n in range(3000)))
    assert len(path.notes) == gcode_words.MOST_NOTES + 1
    assert "2800 further lines had something else to say" in path.notes[-1].sentence


def test_the_end_of_the_program_ends_the_reading():
    path = read("G1 X1 E1 F600\nM2\nG1 X2 E2\n")
    assert ends_mm(path) == [[1, 0, 0]]
    assert sentences(path) == ["line 2: the program ends here: what comes after it is not read"]


# ---- bad input -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("G1 X1 F600 E1\nG1 X Y2\n", "line 2: “X Y2” cannot be read as a letter and a plain number: mend or remove it"),
        ("G1 F600 Xnan\n", "line 1: “Xnan” cannot be read"),
        ("G1 F600 Xinf\n", "line 1: “Xinf” cannot be read"),
        ("Xnan\n", "line 1: “Xnan” cannot be read"),
        ("G1 F600 X1.2.3\n", "line 1: “.3” cannot be read"),
        ("G1 F600 X1,5\n", "line 1: “,5” cannot be read"),
        ("G1 F600 X--5\n", "line 1: “X--5” cannot be read"),
        ("G1 F600 X1 @ Y\n", "line 1: “@ Y” cannot be read"),
        ("G1 F600 X\u22125\n", "line 1: “X\u22125” cannot be read"),
        ("G1 F600 X1 (open\n", "line 1: a comment is opened with ( and never closed: close it"),
        ("G1 F600 X1 (a (b) c)\n", "line 1: “c)” cannot be read"),
        ("G1 F600 X1 X2\n", "line 1: it says X twice (1 and 2): keep one"),
        ("G1 G2 X1 F600 I1\n", "line 1: it asks for two moves at once: write them on two lines"),
        ("G1 X1 E1\n", "line 1: it moves before any F said how fast"),
        ("G1 X1 E1 F0\n", "line 1: F is 0, and nothing moves at that: give a speed above 0"),
        ("G1 X1 E1 F-5\n", "line 1: F is -5"),
        ("G1 X20000 F600\n", "line 1: X would be at 2e+04 mm, farther than 10000 mm: mend the number"),
        (f"G1 X{'9' * 400} F600\n", "line 1: X would be at inf mm"),
        (f"G1 X1 E{'9' * 400} F600\n", "line 1: E pushes inf at once: mend the number"),
        ("G1 X10 F600 E1\nG1 X20 E0.5\n", "line 2: E goes back by 0.5 while the nozzle moves"),
        ("M83\nG1 X10 F600 E-1\n", "line 2: E goes back by 1 while the nozzle moves"),
        ("G1 X1 F600\nG1 " + "X1 " * 3000 + "\n", "line 2: it is longer than 4096 letters"),
    ],
)
def test_a_bad_line_is_refused_in_one_sentence_with_its_number(text: str, words: str):
    said = refused(text)
    assert said.startswith(words)
    assert "\n" not in said and len(said) < 250


def test_no_f_is_fine_where_the_machine_says_its_usual_speed():
    path = read("G1 X1 E1\nG1 X2 E2 F600\n", motion=Motion(speed_m_s=0.02))
    assert path.speed_m_s.tolist() == approx([0.02, 0.01])


def test_a_file_cut_off_in_a_line_says_so():
    assert refused("G1 X1 E1 F600\nG1 X2 E").startswith("line 2: the file ends in the middle of it: “E” cannot be read")
    path = read("G1 X1 E1 F600\nG1 X2 E2")
    assert ends_mm(path)[-1] == [2, 0, 0]
    assert sentences(path) == ["line 2: the file ends without a line end: if it was cut short, copy it again"]


@pytest.mark.parametrize(
    "content",
    [
        b"PK\x03\x04\x14\x00\x00\x00\x08\x00" * 40,
        b"\x1f\x8b\x08\x00" + bytes(range(256)) * 4,
        b"G1 X1 F600 E1\n\x00\x01\x02",
        "G1 X1 E1 F600\n".encode("utf-16"),
        bytes(80) + (12).to_bytes(4, "little"),
    ],
)
def test_binary_content_is_refused(content: bytes):
    assert "this is not text, and no toolpath" in refused(content)


def test_a_long_binary_file_without_a_line_end_is_refused_early():
    class Endless(io.RawIOBase):
        given = 0

        def read(self, size: int = -1) -> bytes:
            self.given += size
            return b"7" * size

    stream = Endless()
    with pytest.raises(LineProblem, match="longer than 4096 letters"):
        read_gcode(stream, millilitres())  # type: ignore[arg-type]
    assert stream.given <= 2 << 20


def test_a_file_above_the_stated_limit_is_refused_while_it_streams(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(gcode_words, "MOST_BYTES", 5_000_000)
    line = b"G1 X1 E1 F600\n"

    class Endless(io.RawIOBase):
        given = 0

        def read(self, size: int = -1) -> bytes:
            self.given += size
            return line * (size // len(line))

    stream = Endless()
    with pytest.raises(Problem, match="larger than 5 MB, the most that is read here: cut it in parts"):
        read_gcode(stream, millilitres())  # type: ignore[arg-type]
    assert stream.given < 8_000_000


def test_too_many_moves_are_refused(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(gcode_words, "MOST_MOVES", 100)
    with pytest.raises(Problem, match="more than 100 moves"):
        read("M83\nG91\nG1 F600\n" + "G1 X1 E1\n" * 101)
    with pytest.raises(Problem, match="more than 100 moves"):
        read("G1 F600 X10\n" + "G2 I-50 J0 E1\n")


@pytest.mark.parametrize(
    "content", [b"", b"\n\n", b"; nothing\n", b"hello world\n", b"M104 S200\nG28\n", b"\xef\xbb\xbf"]
)
def test_a_file_without_a_move_is_refused(content: bytes):
    with pytest.raises(Problem, match=r"empty|no line of the file moves anything"):
        read_gcode(content, millilitres())


def test_a_file_that_is_not_there_is_said_without_its_folder(tmp_path: Path):
    with pytest.raises(Problem) as fault:
        read_gcode(tmp_path / "no\nsuch.gcode", millilitres())
    assert str(fault.value).startswith("“no such.gcode” cannot be read (No such file")
    assert str(tmp_path) not in str(fault.value)
    with pytest.raises(Problem, match="cannot be read"):
        read_gcode(tmp_path, millilitres())
