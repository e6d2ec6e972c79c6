"""Made-up pastes on made-up machines, for checks of the coding: what is known of each, and how well, is drawn."""

from __future__ import annotations

import numpy as np

from slake.campaign.verdict import Lengths, Paste, Plan, Press, Question, Tried, Wall
from slake.campaign.verdict.law import benbow, herschel, prior, rooted
from slake.campaign.verdict.spread import Spread, known
from slake.paste.ram import Barrel


def spread(rng: np.random.Generator, mid: float, most_sd: float) -> Spread:
    return known(mid * float(np.exp(rng.normal(0, 0.3))), float(rng.uniform(0.02, most_sd)))


def paste(rng: np.random.Generator) -> Paste:
    return Paste(
        yield_stress_pa=spread(rng, 900, 0.5),
        density_kg_m3=spread(rng, 1350, 0.1),
        stiffening_per_s=spread(rng, 4e-5, 0.6),
        modulus_per_yield=spread(rng, 250, 1.7),
        modulus_on_reading=bool(rng.random() < 0.3),
        air_fraction=spread(rng, 0.015, 0.5),
        bleed=spread(rng, 0.009, 0.9),
        largest_grain_m=spread(rng, 0.0003, 0.6),
        longest_fibre_m=spread(rng, 0.0004, 0.8),
    )


def press(rng: np.random.Generator) -> Press:
    barrel = Barrel(barrel_m=float(rng.uniform(0.02, 0.07)), nozzle_m=float(rng.uniform(0.0012, 0.004)))
    lengths = Lengths(land_m=spread(rng, 0.012, 0.4), fill_m=spread(rng, 0.13, 0.4), speed_m_s=spread(rng, 0.015, 0.4))
    per_pascal = 40 * barrel.area_m2
    force = spread(rng, 1.3 * 900 * per_pascal + 20, 0.5)
    tried = tuple(
        Tried(pushed=pushed, yield_stress_pa=known(900 * times, 0.1), barrel=barrel, lengths=lengths)
        for pushed, times in ((True, 0.7), (False, 2.5))
        if rng.random() < 0.5
    )
    return Press(barrel=barrel, lengths=lengths, force_n=force, tried=tried)


def question(seed: int) -> Question:
    rng = np.random.default_rng(seed)
    law = herschel if seed % 5 == 4 else benbow
    mean, sd = prior(law)
    root = np.diag(sd) @ np.linalg.cholesky(0.7 * np.eye(len(sd)) + 0.3)
    wall = Wall(height_m=float(rng.uniform(0.02, 0.12)), wall_m=float(rng.uniform(0.002, 0.012)))
    return Question(
        paste=paste(rng),
        press=press(rng),
        plan=Plan(
            wall=wall,
            wait_s=float(rng.uniform(0, 2400)),
            pause_s=float(rng.uniform(0, 900)),
            print_s=None if rng.random() < 0.5 else float(rng.uniform(600, 9000)),
        ),
        law=rooted(law, mean + rng.normal(0, 0.1, len(mean)), root, "made up", law.__name__),
    )
