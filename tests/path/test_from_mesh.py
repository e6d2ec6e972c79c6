"""A mesh asked everything at once; what is written can be read by others; what is shown is small."""

from __future__ import annotations

import io
import math
from dataclasses import replace

import numpy as np
import pytest
import trimesh
from pytest import approx

from slake.ground.evidence import Range
from slake.ground.problems import OutsideRange, Problem
from slake.ground.units import to_si
from slake.paste.cartridges import Cartridge
from slake.path.from_mesh import check_mesh, one_wall_m3
from slake.path.mesh import Mesh, on_the_bed, volume_m3
from slake.path.mesh_checked import MeshPrint, Weight
from slake.path.mesh_checks import check_closed
from slake.path.mesh_in import in_unit, read_mesh
from slake.path.mesh_out import write_3mf, write_stl
from slake.path.mesh_view import MOST_TRIANGLES, for_view
from slake.path.sections import cuts_at, level_heights_m, solid_of
from slake.path.shrinking import Bars, Direction, Today
from slake.path.sizes import Bed, fits_the_bed, paste_of_volume, units_asked
from tests.path.solids import ball, bored, box, cone, cylinder, moved, ours, together, turned

BARS = Bars(
    batch="b7",
    mean={Direction.ALONG: 0.05, Direction.UPRIGHT: 0.08},
    sd={Direction.ALONG: 0.002, Direction.UPRIGHT: 0.002},
    count={Direction.ALONG: 4, Direction.UPRIGHT: 4},
)
TODAY = Today(batch="b7")
PRINT = MeshPrint(
    bead_m=0.0024,
    layer_height_m=0.0012,
    bed=Bed(x_m=0.2, y_m=0.2, z_m=0.25),
    density_kg_m3=Range(low=1450, mid=1500, high=1550),
    cartridge=Cartridge(volume_m3=to_si(500, "mL")),
)


def said(mesh: Mesh, weight: Weight, printing: MeshPrint = PRINT) -> list[str]:
    return [f.sentence for f in check_mesh(mesh, BARS, TODAY, printing).findings if f.weight is weight]


def test_a_sound_object_is_scaled_weighed_and_said_nothing_against():
    """A cylinder of 40 mm and 50 mm high: paste is its wet volume."""
    found = check_mesh(ours(moved(cylinder(), 90, 3, -7)), BARS, TODAY, PRINT)
    wet = math.pi * 0.020**2 * 0.050 / (0.95 * 0.95 * 0.92)
    assert found.findings == ()
    assert found.scaled.mesh.low_m[2] == 0 and found.fit is not None and found.fit.fits
    assert found.as_drawn is not None and found.as_drawn.volume_m3 == approx(wet, rel=1e-3)
    assert found.as_drawn.paste_kg.low == approx(1450 * wet, rel=1e-3)
    assert found.as_drawn.need.count == 1 and found.as_drawn.mix_kg.mid > found.as_drawn.paste_kg.mid
    radius, high = 0.020 / 0.95, 0.050 / 0.92
    ring = 2 * math.pi * (radius - 0.0012) * 0.0024 * high
    assert found.one_wall is not None and found.one_wall.volume_m3 == approx(ring, rel=2e-3)


def test_paste_and_cartridges_by_the_trades_own_figures():
    """1240 mL, 8 % purge, 440 mL usable: 3.04 cartridges, so 4, and 18 mL to trim. Own arithmetic of the trade."""
    found = paste_of_volume(to_si(1240, "mL"), Range(low=1450, mid=1500, high=1550), Cartridge(volume_m3=500e-6))
    assert found.need.count == 4 and found.need.exact_count == approx(3.04, abs=0.005)
    assert found.mix_kg.mid == approx(2.25, abs=0.05)


def test_an_open_mesh_is_told_where_and_has_no_volume_but_slopes_still():
    whole = ours(turned(cone(), 180))
    (stop,) = said(replace(whole, triangles=whole.triangles[3:]), Weight.STOPS)
    assert stop.startswith("the surface is open in ") and "mm round" in stop and "close it" in stop
    found = check_mesh(replace(whole, triangles=whole.triangles[3:]), BARS, TODAY, PRINT)
    assert found.as_drawn is None and found.spans is None and found.slopes.worst_deg > 20


def test_slopes_spans_and_thin_walls_are_said_of_the_size_it_is_printed_at():
    warned = said(ours(bored(box(60, 60, 60), box(30, 70, 30))), Weight.WARNS)
    assert any("leans out by up to 90 degrees" in sentence for sentence in warned)
    assert any("bridges 31.6 mm" in sentence for sentence in warned), "30 mm across x, drawn larger by 1 / 0.95"
    ring = bored(cylinder(20, 50, 256), cylinder(18.5, 60, 256))
    assert any("thinner than the bead of 2.4 mm" in sentence for sentence in said(ours(ring), Weight.WARNS))


def test_inches_taken_for_millimetres_are_asked_and_answered():
    """A pot of 4 inches drawn in inches reads as 4 mm."""
    mesh = ours(cylinder(2, 4))
    (question,) = said(mesh, Weight.ASKS)
    assert "4 mm" in question and "in in: 101.6 mm" in question and "in cm: 40 mm" in question
    asked = units_asked(mesh)
    assert asked is not None and asked.would_be_m == {"cm": approx(0.04), "in": approx(0.1016)}
    assert units_asked(in_unit(mesh, "in")) is None
    assert units_asked(ours(box())) is None
    far = units_asked(ours(box(60_000, 10, 10)))
    assert far is not None and far.would_be_m == {}


def test_too_large_for_the_bed_is_said_at_the_size_it_is_printed():
    """195 mm fits as drawn and not when it must be printed 1 / 0.95 times as large; no turn helps a square."""
    drawn = on_the_bed(ours(box(195, 195, 20)))
    assert fits_the_bed(drawn, Bed(x_m=0.2, y_m=0.2, z_m=0.2)).fits
    (stop,) = said(ours(box(195, 195, 20)), Weight.STOPS)
    assert "5.26 mm too wide" in stop
    high = fits_the_bed(drawn, Bed(x_m=0.2, y_m=0.2, z_m=0.012))
    assert high.over_height_m == approx(0.008) and high.over_across_m == 0


def test_it_is_turned_about_the_upright_where_that_makes_it_fit():
    """A bar of 250 x 10 drawn askew lies along x after turning; on a round bed of 251 it fits as it is."""
    bar = on_the_bed(ours(turned(box(250, 10, 10), 33, (0, 0, 1))))
    bed = Bed(x_m=0.26, y_m=0.02, z_m=0.1)
    fit = fits_the_bed(bar, bed)
    assert fit.fits and fit.turn_deg == approx(147)
    turned_back = fits_the_bed(on_the_bed(ours(turned(box(250, 10, 10), 33 + 147, (0, 0, 1)))), bed)
    assert turned_back.fits and turned_back.turn_deg == 0
    assert fits_the_bed(bar, Bed(x_m=0.02, y_m=0.26, z_m=0.1)).turn_deg == approx(57)
    assert fits_the_bed(bar, Bed(x_m=0.251, y_m=0.251, z_m=0.1, round=True)).fits
    assert not fits_the_bed(bar, Bed(x_m=0.25, y_m=0.25, z_m=0.1, round=True)).fits


def test_more_bodies_than_are_judged_is_one_sentence():
    corners = np.random.default_rng([3]).random((6000, 3)) * 0.1
    stops = said(Mesh(corners_m=corners, triangles=np.arange(6000).reshape(-1, 3)), Weight.STOPS)
    assert any("it holds 2000 bodies" in sentence for sentence in stops)


def test_one_wall_is_the_outline_times_the_bead():
    body = on_the_bed(ours(cylinder(30, 60, 1024)))
    heights, step = level_heights_m(0.06, 0.001, 100)
    cuts = cuts_at(solid_of(body), heights)
    assert one_wall_m3(cuts, step, 0.002) == approx(2 * math.pi * 0.029 * 0.002 * 0.06, rel=1e-3)
    with pytest.raises(OutsideRange):
        one_wall_m3(cuts, step, 0)


@pytest.mark.parametrize("write", [write_stl, write_3mf])
def test_what_is_written_is_read_by_another_library_in_millimetres(write):
    mesh = ours(ball(40, 4), name='pot <"&> \n')
    content = write(mesh)
    kind = "stl" if write is write_stl else "3mf"
    theirs = trimesh.load(io.BytesIO(content), file_type=kind, force="mesh")
    assert theirs.is_watertight and theirs.volume == approx(ball(40, 4).volume, rel=1e-5)
    assert theirs.bounds[1][2] == approx(40)
    back = read_mesh(content, "a." + kind)
    assert volume_m3(back) == approx(volume_m3(mesh), rel=1e-5) and len(back.triangles) == len(mesh.triangles)
    assert back.unit_said is (kind == "3mf")
    assert write(mesh) == content, "the same mesh gives the same bytes"


def test_the_stl_says_its_unit_in_words_and_its_normals_look_out():
    content = write_stl(ours(box()))
    assert b"millimetres" in content[:80] and not content.startswith(b"solid")
    rows = np.frombuffer(content[84:], dtype=[("n", "<f4", 3), ("c", "<f4", (3, 3)), ("m", "<u2")])
    assert (np.einsum("ij,ij->i", rows["n"], rows["c"].mean(axis=1)) > 0).all()


def test_a_fine_mesh_is_made_coarse_for_view_and_keeps_its_shape():
    fine = ours(ball(40, 6))
    shown = for_view(fine)
    assert len(shown.triangles) <= MOST_TRIANGLES < len(fine.triangles)
    assert volume_m3(shown) == approx(volume_m3(fine), rel=5e-3) and check_closed(shown).closed
    assert shown.size_m.tolist() == approx(fine.size_m.tolist(), rel=5e-3)
    assert for_view(shown) is shown
    opened = for_view(replace(fine, triangles=fine.triangles[9:]))
    assert len(opened.triangles) <= MOST_TRIANGLES and opened.size_m.tolist() == approx(fine.size_m.tolist(), rel=2e-2)
    loose = Mesh(corners_m=np.random.default_rng([1]).random((150_000, 3)), triangles=np.arange(150_000).reshape(-1, 3))
    assert 0 < len(for_view(loose, 1000).triangles) <= 1000


def test_overlapping_bodies_are_weighed_once():
    found = check_mesh(ours(together(box(), moved(box(), 5))), BARS, TODAY, PRINT)
    assert found.as_drawn is not None
    assert found.as_drawn.volume_m3 == approx(9000e-9 * found.scaled.volume_factor, rel=1e-6)
    assert found.overlap_m3 == approx(3000e-9)
    (asked,) = (finding for finding in found.findings if finding.weight is Weight.ASKS)
    assert "3 mL in common" in asked.sentence
    assert check_mesh(ours(together(box(), moved(box(), 50))), BARS, TODAY, PRINT).overlap_m3 == 0


def test_progress_is_told_and_can_stop_it():
    told: list[float] = []
    check_mesh(ours(box()), BARS, TODAY, PRINT, told.append)
    assert told == sorted(told) and told[-1] == 1

    def stop(share: float) -> None:
        raise InterruptedError

    with pytest.raises(InterruptedError):
        check_mesh(ours(box()), BARS, TODAY, PRINT, stop)


def test_flat_meshes_and_closed_ones_that_are_no_solid_are_one_sentence():
    """A flat one is refused; the corners of a ball strewn about still give an answer."""
    flat = ours(box())
    with pytest.raises(Problem, match="flat along z"):
        check_mesh(replace(flat, corners_m=flat.corners_m * [1, 1, 0]), BARS, TODAY, PRINT)
    rng = np.random.default_rng([11])
    for scale in (1e-8, 1e-4, 1e-2):
        strewn = ours(ball(40, 2))
        strewn = replace(strewn, corners_m=strewn.corners_m + rng.normal(scale=scale, size=strewn.corners_m.shape))
        assert check_mesh(strewn, BARS, TODAY, PRINT).soundness.closed


def test_without_bed_density_or_cartridge_the_rest_is_answered():
    found = check_mesh(ours(box()), None, TODAY, MeshPrint(bead_m=0.002, layer_height_m=0.001))
    assert found.fit is None and found.as_drawn is None and found.thin is not None
    with pytest.raises(OutsideRange):
        MeshPrint(bead_m=0, layer_height_m=0.001)
