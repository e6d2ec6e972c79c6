"""The made-up pot: one body, one bead, one volume, and the same in command and function."""

from __future__ import annotations

from pytest import approx

from slake.demo.pot import PRINTER, pot, pot_drawing, pot_toolpath
from slake.path.gcode import read_gcode
from slake.path.layers import layers_of
from slake.path.mesh_checks import check_closed
from slake.path.mesh_in import read_mesh
from slake.path.replay import replay
from tests.cli.test_commands import slake


def test_it_is_one_closed_body_and_one_spiral_of_the_same_volume():
    body = check_closed(read_mesh(pot_drawing(), "pot.3mf"))
    assert body.closed and body.bodies == 1 and body.mesh.unit_said
    laid = replay(read_gcode(pot_toolpath(), PRINTER.pushed))
    assert layers_of(laid).spiral
    assert len(set(laid.travels.after.tolist()) - {-1, len(laid.line) - 1}) == 0, "it stops between two beads"
    assert float(laid.volume_m3.sum()) == approx(body.volume_m3, rel=0.02)
    assert pot().softened.places == (), "the sample is to be gentle enough"


def test_the_command_makes_the_same_pot(tmp_path):
    machine = [
        "--nozzle-mm",
        "2",
        "--barrel-mm",
        "60",
        "--e-counts",
        "ram",
        "--layer-mm",
        "1,2",
        "--bed",
        "200:200:200",
    ]
    said = slake("vessel", *machine, "--out", str(tmp_path / "pot.gcode"), home=tmp_path)
    assert said.returncode == 0, said.stderr
    own = [line for line in (tmp_path / "pot.gcode").read_text().splitlines() if not line.startswith(";")]
    assert own == [line for line in pot_toolpath().decode().splitlines() if not line.startswith(";")]
