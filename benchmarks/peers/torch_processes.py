"""BoTorch: a single-task Gaussian process a property and one of what prints; two rules of choice.

chance: log of the joint chance of all lines times the chance to print. improvement: log expected improvement of the
smallest margin over all lines, constrained to what prints.
"""

from __future__ import annotations

import warnings
from collections.abc import Callable

import numpy as np
import torch
from botorch.acquisition.logei import qLogExpectedImprovement
from botorch.acquisition.objective import GenericMCObjective
from botorch.fit import fit_gpytorch_mll
from botorch.models import ModelListGP, SingleTaskGP
from botorch.sampling import SobolQMCNormalSampler
from gpytorch.mlls import ExactMarginalLogLikelihood

from .climb import best_recipe
from .notes import Notes, log_within
from .region import Array

warnings.simplefilter("ignore")
torch.set_num_threads(1)
torch.set_default_dtype(torch.float64)
SAMPLES, AT_ONCE, LEAST_SPREAD = 64, 500, 1.0


class Process:
    """One fitted property; values in spreads of the readings, or of e-folds and grades where those are alike."""

    def __init__(self, place: Array, values: Array, least_spread: float = LEAST_SPREAD) -> None:
        self.middle, self.spread = float(values.mean()), max(float(values.std()), least_spread)
        scaled = torch.as_tensor((values - self.middle) / self.spread)[:, None]
        self.model = SingleTaskGP(torch.as_tensor(place), scaled, outcome_transform=None)
        fit_gpytorch_mll(ExactMarginalLogLikelihood(self.model.likelihood, self.model))

    def mean_sd(self, place: Array) -> tuple[Array, Array]:
        with torch.no_grad():
            posterior = self.model.posterior(torch.as_tensor(place)[:, None, :])
            mean, var = posterior.mean.reshape(-1).numpy(), posterior.variance.reshape(-1).numpy()
        return self.middle + self.spread * mean, self.spread * np.sqrt(np.maximum(var, 1e-10))


def processes(notes: Notes, names: list[str]) -> dict[str, Process]:
    found = {}
    for name in names:
        place, values = notes.taken(name)
        if len(values) >= 2:
            found[name] = Process(place, values)
    return found


def printing(notes: Notes) -> Process | None:
    if notes.printed.all() or not notes.printed.any():
        return None
    return Process(notes.region.scaled(notes.rows), notes.printed.astype(float), 0.0)


def _by_chance(notes: Notes, fitted: dict[str, Process], prints: Process | None) -> Callable[[Array], Array]:
    def score(rows: Array) -> Array:
        place = notes.region.scaled(rows)
        worth = np.zeros(len(rows))
        for name, process in fitted.items():
            worth += log_within(*process.mean_sd(place), notes.windows[name])
        if prints is not None:
            worth += log_within(*prints.mean_sd(place), (0.5, np.inf))
        return worth

    return score


def _by_improvement(
    notes: Notes, fitted: dict[str, Process], prints: Process | None, seed: int
) -> Callable[[Array], Array]:
    ends = [[(end - p.middle) / p.spread for end in notes.windows[n]] for n, p in fitted.items()]
    every = [p.model for p in (*fitted.values(), *([prints] if prints is not None else []))]
    half = (0.5 - prints.middle) / prints.spread if prints is not None else 0.0

    def margin(samples: torch.Tensor, X: torch.Tensor | None = None) -> torch.Tensor:
        each = []
        for k, (low, high) in enumerate(ends):
            each += [samples[..., k] - low] if np.isfinite(low) else []
            each += [high - samples[..., k]] if np.isfinite(high) else []
        return torch.stack(each, dim=-1).amin(dim=-1)

    model = ModelListGP(*every)
    tried = torch.as_tensor(notes.region.scaled(notes.rows[notes.printed]))
    with torch.no_grad():
        best = margin(model.posterior(tried[:, None, :]).mean).max() if len(tried) else torch.tensor(-3.0)
    rule = qLogExpectedImprovement(
        model=model,
        best_f=best,
        sampler=SobolQMCNormalSampler(torch.Size([SAMPLES]), seed=seed),
        objective=GenericMCObjective(margin),
        constraints=[lambda samples: half - samples[..., -1]] if prints is not None else None,
    )

    def score(rows: Array) -> Array:
        place = torch.as_tensor(notes.region.scaled(rows))[:, None, :]
        with torch.no_grad():
            return np.concatenate([rule(part).numpy() for part in place.split(AT_ONCE)])

    return score


def suggest(notes: Notes, rng: np.random.Generator, start: Array, rule: str) -> Array:
    if len(notes.rows) < len(start):
        return np.asarray(start[len(notes.rows)])
    seed = int(rng.integers(2**31))
    torch.manual_seed(seed)
    fitted, prints = processes(notes, list(notes.windows)), printing(notes)
    if not fitted:
        return notes.region.filling(len(notes.rows) + 1, rng)[-1]
    rules = {"chance": _by_chance, "improvement": lambda *given: _by_improvement(*given, seed)}
    return best_recipe(notes, rules[rule](notes, fitted, prints), rng)
