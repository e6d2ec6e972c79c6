"""A family of made-up wastes: shell with seaweed, sawdust, paper pulp, leaf, peel, spent grain, coffee.

Written blind: without sight of the tool's model, of its priors, of its demo or of any other family of wastes, from
what a bench tells (windows, failures, typical numbers) and from the rheology of swollen grains, gels and fibre nets.
The family is LOCKED: it is to be run once, at the end; nothing in the tool may be tuned on it and nothing here may
be changed after seeing how the tool fares on it. All its numbers are invented; none is a check value.

Everything is noise-free in `truth`; `mix` is one kitchen batch with its errors.
"""

from .bench import mix
from .draw import another_lot, draw, kin
from .truth import truth
from .waste import Mixed, Waste

NAME = "shore"
VERSION = 1

__all__ = ["NAME", "VERSION", "Mixed", "Waste", "another_lot", "draw", "kin", "mix", "truth"]
