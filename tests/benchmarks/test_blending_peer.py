"""The mixture peer fits the quadratic of the published yarn example, once nothing holds it back."""

from __future__ import annotations

import tomllib
from itertools import combinations
from pathlib import Path

import numpy as np
import pytest

from benchmarks.peers import blending

YARN = tomllib.loads((Path(__file__).parents[1] / "references" / "cornell_yarn.toml").read_text(encoding="utf-8"))[
    "row"
][0]


def test_without_a_penalty_the_peer_fits_the_published_coefficients(monkeypatch):
    monkeypatch.setattr(blending, "PENALTIES", np.array([1e-9]))
    mixtures, read = np.array(YARN["inputs"]["mixtures"], dtype=float), np.array(YARN["inputs"]["values"])
    blend = blending.Blend(mixtures, read)
    pure, published = np.eye(3), [float(text) for text in YARN["expected"]]
    assert blend.mean(pure) == pytest.approx(published[:3], abs=1e-3)
    for (i, j), cross in zip(combinations(range(3), 2), published[3:], strict=True):
        half = (pure[i] + pure[j]) / 2
        found = 4 * (blend.mean(half[None, :])[0] - (published[i] + published[j]) / 2)
        assert found == pytest.approx(cross, abs=4e-3)
