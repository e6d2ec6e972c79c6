"""A bench test a lab declares itself, dropped into a folder of its own. Take the fixture where the page, the command,
the importer, the help and the belief must find it: `from tests.bench.own_test import own_spread`."""

from __future__ import annotations

from pathlib import Path

import pytest

from slake.bench.shelf import OWN_FOLDER

OWN_ID = "flow_of_50_ml"
OWN_READING = "flow_mm"
OWN_TITLE = "Spread of 50 mL"
OWN_TEXT = '''"""Spread: how wide 50 mL of soft paste runs."""

from slake.bench.declaration import About, BenchTest, Headline, Raw, Scalar
from slake.ground.evidence import exact
from slake.ground.units import from_si, to_si
from slake.paste.flow import spread_radius_m, spread_yield_stress_pa

VOLUME_M3 = to_si(50, "mL")
FLOW = Scalar(name="flow_mm", label="width of the cake, two ways, mean", unit="mm", low=60.0, high=300.0)


def headline(raw):
    return Headline(name="flow_mm", value=from_si(raw.numbers["flow_mm"], "mm"), unit="mm")


def inverse(raw, context):
    pascals = spread_yield_stress_pa(VOLUME_M3, context.density_kg_m3, raw.numbers["flow_mm"] / 2)
    return exact("yield_stress_pa", pascals, 0.15, on_log=True, density=context.density_sd_log)


def forward(yield_stress_pa, context):
    return from_si(2 * spread_radius_m(VOLUME_M3, context.density_kg_m3, yield_stress_pa), "mm")


def quick(flow_mm):
    return Raw(numbers={"flow_mm": FLOW.take(flow_mm)}, typed={"flow_mm": f"{flow_mm:g}"})


TEST = BenchTest(
    id="flow_of_50_ml",
    version=1,
    title="Spread of 50 mL",
    about=About.BATCH,
    procedure=("Pour 50 mL on a level wet plate.", "Wait until it stops.", "Measure the cake two ways."),
    inputs=(FLOW,),
    informs="yield_stress_pa",
    notebook_name="flow_mm",
    notebook_unit="mm",
    brief_words="how wide it runs",
    floor=60.0,
    ceiling=300.0,
    headline=headline,
    inverse=inverse,
    forward=forward,
    quick=quick,
    scatter_absolute=1.0,
    scatter_share=0.03,
    validity="Puddling pastes, a cake much wider than tall.",
    sources=("roussel_coussot2005",),
    cautions=("Slippery when spilt.",),
    minutes=3.0,
)
'''


def drop_own_test(folder: Path) -> Path:
    """Write the declaration into `folder` and give its path; a served process is pointed there by OWN_FOLDER."""
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / f"{OWN_ID}.py"
    path.write_text(OWN_TEXT, encoding="utf-8")
    return path


@pytest.fixture
def own_spread(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    """The lab's own spread test is on the shelf for this test. Gives its id."""
    folder = tmp_path / "own-bench-tests"
    drop_own_test(folder)
    monkeypatch.setenv(OWN_FOLDER, str(folder))
    return OWN_ID
