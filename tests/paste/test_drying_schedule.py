"""The schedule: directions of every end of every range, practice, and what "don't know" does."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import partial
from itertools import pairwise

import numpy as np
import pytest

from slake.ground.evidence import Range
from slake.ground.problems import DoesNotFit
from slake.paste.drying_schedule import MOST_COVERED_S, Schedule, Told, schedule
from slake.paste.drying_unknowns import ANY_M_S, FAN_M_S, HEATER, Bed, Drying, Piece
from tests.paste.drying_cases import CELLULOSE, SCORES, SHELL, about, drying, in_room, of_paste, plus

H = 3600.0
OPENLY = Told(covered_s=0.0, freed_s=6 * H)


def planned(asked: Drying, told: Told | None = OPENLY) -> Schedule:
    return schedule(asked, SCORES, told)


def ends(asked: Drying, told: Told | None = OPENLY) -> np.ndarray:
    """Both ends and the middle of when it has shrunk and when it is dry, in one row."""
    found = planned(asked, told)
    return np.array([getattr(one, end) for one in (found.shrunk_s, found.dry_s) for end in ("low", "mid", "high")])


CHANGES = {
    "damper air": (lambda q: in_room(q, humidity=plus(0.65, 0.03)), 1),
    "drier air": (lambda q: in_room(q, humidity=plus(0.35, 0.03)), -1),
    "a fan": (lambda q: in_room(q, speed_m_s=FAN_M_S), -1),
    "a thicker wall": (lambda q: replace(q, piece=Piece(wall_m=about(0.006, 1.05), base_m=q.piece.base_m)), 1),
    "a thinner wall": (lambda q: replace(q, piece=Piece(wall_m=about(0.003, 1.05), base_m=q.piece.base_m)), -1),
    "warmer air": (lambda q: in_room(q, temperature_k=plus(303.15, 1.0)), -1),
    "colder air": (lambda q: in_room(q, temperature_k=plus(285.15, 1.0)), 1),
    "more water": (lambda q: of_paste(q, water_per_dry=about(0.6, 1.05)), 1),
}


@pytest.mark.parametrize("name", CHANGES)
@pytest.mark.parametrize("paste", [SHELL, CELLULOSE], ids=["shell", "cellulose"])
def test_both_ends_of_every_range_move_the_right_way(name, paste):
    change, sign = CHANGES[name]
    before = drying(paste)
    if name == "more water" and paste is CELLULOSE:
        change = partial(of_paste, water_per_dry=about(2.4, 1.05))
    assert np.all(sign * (ends(change(before))[3:] - ends(before)[3:]) > 0)
    if name != "more water":
        assert np.all(sign * (ends(change(before)) - ends(before)) >= 0)


def test_a_cover_slows_both_ends_and_every_hour_of_it_more():
    spans = [ends(drying(), Told(covered_s=hours * H, freed_s=6 * H)) for hours in (0, 6, 12, 24)]
    assert all(np.all(later[3:] > sooner[3:]) for sooner, later in pairwise(spans))


def test_a_tight_cover_slows_more_than_a_loose_one():
    tight, loose = (in_room(drying(), cover=about(share, 1.1)) for share in (0.15, 0.6))
    told = Told(covered_s=10 * H, freed_s=6 * H)
    assert np.all(ends(tight, told)[3:] > ends(loose, told)[3:])


def test_an_open_bed_dries_the_base_sooner_and_more_evenly_than_a_closed_one():
    """The bed told to be freed late, so that its underside counts."""
    told = Told(covered_s=0.0, freed_s=40 * H)
    shut, open_ = (planned(drying(base=True, open_chance=c), told) for c in (0.0, 1.0))
    assert open_.dry_s.mid < shut.dry_s.mid and open_.shrunk_s.high < shut.shrunk_s.high
    assert open_.warp is not None and shut.warp is not None and open_.warp.middle_m.mid < shut.warp.middle_m.mid
    assert open_.cracks.drawn_by["unlike"].mid < shut.cracks.drawn_by["unlike"].mid


def test_a_base_on_a_closed_bed_turned_sooner_dries_sooner():
    dry = [planned(drying(base=True), Told(covered_s=0.0, freed_s=at * H)).dry_s.mid for at in (4, 12, 40)]
    assert dry == sorted(dry)


def test_dry_times_are_those_of_practice():
    """Common practice, no source: shell paste of 35 % water in still air, both faces open, first stage 9 to 18 h at
    2 mm, 18 to 35 at 4, 35 to 70 at 8, and half as long again or as long for the tail.
    """
    paste = replace(SHELL, water_per_dry=about(0.35 / 0.65, 1.03))
    for wall_mm, (first, last) in {2: (9, 18), 4: (18, 35), 8: (35, 70)}.items():
        dry = planned(drying(paste, wall_mm)).dry_s
        assert first * H < dry.low and dry.low < dry.mid < 2 * last * H
        assert dry.mid > 1.5 * first * H * 0.9


def test_cellulose_shrinks_and_cracks_far_more_than_shell():
    """Common practice, no source."""
    shell, cellulose = (planned(drying(paste, base=True), None) for paste in (SHELL, CELLULOSE))
    assert cellulose.cracks.two_or_worse > shell.cracks.two_or_worse + 0.3
    assert cellulose.cracks.mean_grade > shell.cracks.mean_grade + 1
    assert CELLULOSE.shrinkage.low > SHELL.shrinkage.high


def test_a_heater_at_the_nozzle_evens_drying():
    """Common practice, no source: less is left that first and last bead can differ by."""
    uneven = of_paste(drying(base=True), first_wetter=about(0.03, 1.2))
    cold, warm = (
        planned(uneven, Told(covered_s=0.0, freed_s=8 * H)),
        planned(of_paste(uneven, heater=HEATER), Told(covered_s=0.0, freed_s=8 * H)),
    )
    assert warm.cracks.drawn_by["unlike"].mid < cold.cracks.drawn_by["unlike"].mid
    assert warm.dry_s.mid < cold.dry_s.mid


def test_first_beads_wetter_than_the_last_crack_more():
    even = drying(base=True)
    apart = of_paste(even, first_wetter=about(0.04, 1.2))
    assert planned(apart).cracks.mean_grade > planned(even).cracks.mean_grade


def test_the_cover_is_told_where_it_makes_cracks_more_seldom_and_never_longer_than_mould_allows():
    found = planned(drying(CELLULOSE, wall_mm=8.0, base=True), None)
    assert 0 < found.way.covered_s == found.covered_s.mid <= MOST_COVERED_S and found.cover_was_cut
    assert found.cracks.mean_grade < found.cracks_open.mean_grade
    tough = of_paste(drying(), shrinkage=Range(low=0.0008, mid=0.001, high=0.0012))
    assert planned(tough, None).way.covered_s == 0.0


def test_without_a_cut_the_cover_comes_off_when_shrinking_ends():
    found = planned(drying(base=True), None)
    assert not found.cover_was_cut and found.way.covered_s == pytest.approx(found.shrunk_s.mid, rel=0.05)
    assert found.freed_s.mid < found.shrunk_s.mid < found.dry_s.mid


def test_what_is_told_is_taken_at_its_word():
    found = planned(drying(base=True), Told(covered_s=5 * H, freed_s=7 * H))
    assert found.way.covered_s == 5 * H and found.freed_s.low == found.freed_s.high == 7 * H


@pytest.mark.parametrize("field", ["humidity", "temperature_k", "speed_m_s"])
def test_not_knowing_the_air_widens_the_range(field):
    wide = {"humidity": plus(0.5, 0.18), "temperature_k": plus(293.15, 5.0), "speed_m_s": ANY_M_S}
    known, guess = planned(drying()).dry_s, planned(in_room(drying(), **{field: wide[field]})).dry_s
    assert math.log(guess.high / guess.low) > math.log(known.high / known.low)


def test_the_wet_face_is_told_with_both_its_ends():
    faces = planned(drying()).faces
    assert faces.flux_at_wet_bulb_kg_m2_s.mid < faces.flux_kg_m2_s.mid < faces.flux_at_air_kg_m2_s.mid
    assert 286 < faces.face_k.mid < 292


def test_the_curve_falls_from_one_and_holds_its_middle():
    curve = planned(drying()).curve
    assert curve.mid[0] == 1.0 and np.all(np.diff(curve.mid) <= 1e-12)
    assert np.all(curve.low <= curve.mid) and np.all(curve.mid <= curve.high)


def test_its_grades_read_move_the_chance_of_cracks():
    """Three times grade 4 of pieces dried openly, or three times none."""
    asked = drying(base=True)
    chances = [planned(of_paste(asked, grades=g)).cracks.two_or_worse for g in ((4.0,) * 3, (), (0.0,) * 3)]
    assert chances == sorted(chances, reverse=True) and chances[0] > chances[2] + 0.4


def test_chances_of_grades_sum_to_one():
    found = planned(drying(base=True), None)
    assert sum(found.cracks.chances) == pytest.approx(1) and len(found.cracks.chances) == 6
    assert found.warp is not None and 0 <= found.warp.good_chance + found.warp.bad_chance <= 1


def test_a_ring_does_not_warp_on_a_bed_and_needs_no_turning():
    found = planned(drying(base=False))
    assert found.warp is None and not found.needs_turning and found.cracks.drawn_by["held"].high == 0


def test_a_piece_is_wall_or_base():
    with pytest.raises(DoesNotFit, match="neither a wall nor a base"):
        Piece(wall_m=None, base_m=None)
    tile = replace(drying(), piece=Piece(wall_m=None, base_m=about(0.006, 1.05)), bed=Bed(open_chance=0.0))
    lying = Told(covered_s=0.0, freed_s=1000 * H)
    assert planned(tile, lying).dry_s.mid > 1.5 * planned(drying(wall_mm=6.0)).dry_s.mid


def test_the_same_question_gives_the_same_answer():
    one, two = planned(drying(base=True), None), planned(drying(base=True), None)
    assert one.dry_s == two.dry_s and one.cracks.chances == two.cracks.chances


def test_a_thick_wall_in_damp_air_is_not_called_dry_before_it_has_begun():
    """It loses under 0.2 % a day from the first hour on, and most of its water is still in it."""
    slow = in_room(drying(CELLULOSE, wall_mm=40.0), humidity=plus(0.93, 0.01), temperature_k=plus(277.15, 1))
    found = planned(slow, Told(covered_s=500 * H, freed_s=6 * H))
    assert found.dry_s.low > 1000 * H


def test_a_slow_cover_does_not_count_as_dry_either():
    tight = in_room(drying(wall_mm=12.0), cover=about(0.02, 1.1))
    assert planned(tight, Told(covered_s=60 * H, freed_s=6 * H)).dry_s.low > 60 * H
