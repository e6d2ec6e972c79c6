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
from botorch.models.transforms import Standardize
from botorch.sampling import SobolQMCNormalSampler
from gpytorch.mlls import ExactMarginalLogLikelihood

from .climb import best_recipe
from .notes import Notes, log_within
from .region import Array

warnings.simplefilter("ignore")
torch.set_num_threads(1)
torch.set_default_dtype(torch.float64)
SAMPLES, AT_ONCE = 64, 500


def model_of(place: Array, values: Array) -> SingleTaskGP:
    model = SingleTaskGP(
        torch.as_tensor(place), torch.as_tensor(values, dtype=torch.float64)[:, None], outcome_transform=Standardize(1)
    )
    fit_gpytorch_mll(ExactMarginalLogLikelihood(model.likelihood, model))
    return model


def models(notes: Notes, names: list[str]) -> dict[str, SingleTaskGP]:
    found = {}
    for name in names:
        place, values = notes.taken(name)
        if len(values) >= 2 and np.ptp(values) > 1e-9:
            found[name] = model_of(place, values)
    return found


def printing(notes: Notes) -> SingleTaskGP | None:
    if notes.printed.all() or not notes.printed.any():
        return None
    return model_of(notes.region.scaled(notes.rows), notes.printed.astype(float))


def mean_sd(model: SingleTaskGP, place: Array) -> tuple[Array, Array]:
    with torch.no_grad():
        posterior = model.posterior(torch.as_tensor(place)[:, None, :])
        mean, var = posterior.mean.reshape(-1).numpy(), posterior.variance.reshape(-1).numpy()
    return mean, np.sqrt(np.maximum(var, 1e-10))


def _by_chance(notes: Notes, fitted: dict[str, SingleTaskGP], prints: SingleTaskGP | None) -> Callable[[Array], Array]:
    def score(rows: Array) -> Array:
        place = notes.region.scaled(rows)
        worth = np.zeros(len(rows))
        for name, model in fitted.items():
            worth += log_within(*mean_sd(model, place), notes.windows[name])
        if prints is not None:
            worth += log_within(*mean_sd(prints, place), (0.5, np.inf))
        return worth

    return score


def _by_improvement(
    notes: Notes, fitted: dict[str, SingleTaskGP], prints: SingleTaskGP | None, seed: int
) -> Callable[[Array], Array]:
    ends = [(*notes.windows[n], max(float(np.std(notes.taken(n)[1])), 1e-3)) for n in fitted]
    every = [*fitted.values(), *([prints] if prints is not None else [])]

    def margin(samples: torch.Tensor, X: torch.Tensor | None = None) -> torch.Tensor:
        each = []
        for k, (low, high, spread) in enumerate(ends):
            each += [(samples[..., k] - low) / spread] if np.isfinite(low) else []
            each += [(high - samples[..., k]) / spread] if np.isfinite(high) else []
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
        constraints=[lambda samples: 0.5 - samples[..., -1]] if prints is not None else None,
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
    fitted, prints = models(notes, list(notes.windows)), printing(notes)
    if not fitted:
        return notes.region.filling(len(notes.rows) + 1, rng)[-1]
    rules = {"chance": _by_chance, "improvement": lambda *given: _by_improvement(*given, seed)}
    return best_recipe(notes, rules[rule](notes, fitted, prints), rng)
