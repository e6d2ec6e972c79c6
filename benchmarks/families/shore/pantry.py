"""What may stand on the shelf: ranges of hidden habits and of what a kitchen doses (all invented for this family)."""

from collections.abc import Mapping
from dataclasses import dataclass

Range = tuple[float, float]


@dataclass(frozen=True)
class Shelf:
    """Ranges from which one ingredient is drawn; `dose` is the upper bound a kitchen sets (g per g paste)."""

    kitchen: tuple[str, ...]
    role: str
    habits: Mapping[str, Range]
    drink_share: Range = (0.0, 0.0)
    dose: Range = (0.0, 0.0)


def _filler(moisture: Range, rho: Range, want: Range, **habits: Range) -> dict[str, Range]:
    return {"moisture": moisture, "rho": rho, "want": want, **habits}


def _gum(overlap: Range, pull: Range, power: Range, **habits: Range) -> dict[str, Range]:
    return {"moisture": (0.06, 0.13), "overlap": overlap, "pull": pull, "power": power, **habits}


SHELVES: dict[str, Shelf] = {
    "shell": Shelf(
        ("mussel shell", "oyster shell", "egg shell"),
        "filler",
        _filler(
            (0.003, 0.03),
            (2.55, 2.8),
            (0.28, 0.5),
            grain_um=(45, 180),
            aspect=(1.2, 2.2),
            soft=(0.05, 0.12),
            calcium=(0.3, 1.0),
            collapse=(0.9, 1.0),
        ),
        (0.08, 0.3),
        (0.12, 0.3),
    ),
    "seaweed": Shelf(
        ("kelp powder", "bladderwrack powder"),
        "filler",
        _filler(
            (0.06, 0.15),
            (1.45, 1.6),
            (2.4, 4.8),
            grain_um=(80, 250),
            aspect=(1.3, 3.0),
            soft=(0.2, 0.4),
            collapse=(0.75, 0.95),
            leach=(0.05, 0.22),
            salt=(0.05, 0.25),
            glue=(0.3, 0.8),
        ),
        (0.5, 0.75),
        (0.03, 0.09),
    ),
    "sawdust": Shelf(
        ("beech sawdust", "spruce sawdust"),
        "filler",
        _filler(
            (0.06, 0.12),
            (1.42, 1.53),
            (2.2, 4.0),
            grain_um=(150, 450),
            aspect=(3.0, 8.0),
            soft=(0.12, 0.3),
            collapse=(0.55, 0.75),
        ),
        (0.5, 0.72),
        (0.05, 0.12),
    ),
    "pulp": Shelf(
        ("newspaper pulp", "egg-box pulp", "cardboard pulp"),
        "filler",
        _filler(
            (0.05, 0.1),
            (1.5, 1.75),
            (2.6, 5.2),
            grain_um=(25, 60),
            aspect=(18, 55),
            soft=(0.2, 0.4),
            collapse=(0.78, 0.92),
            glue=(0.1, 0.5),
        ),
        (0.52, 0.75),
        (0.02, 0.06),
    ),
    "leaf": Shelf(
        ("plane leaf", "oak leaf", "beech leaf"),
        "filler",
        _filler(
            (0.05, 0.13),
            (1.3, 1.5),
            (2.4, 4.4),
            grain_um=(90, 300),
            aspect=(1.8, 5.0),
            soft=(0.15, 0.35),
            collapse=(0.65, 0.85),
            glue=(0.05, 0.2),
            acid=(0.0, 0.15),
        ),
        (0.55, 0.78),
        (0.05, 0.12),
    ),
    "peel": Shelf(
        ("orange peel", "banana peel", "lemon peel"),
        "filler",
        _filler(
            (0.06, 0.15),
            (1.4, 1.5),
            (3.0, 5.8),
            grain_um=(100, 280),
            aspect=(1.2, 2.5),
            soft=(0.25, 0.45),
            collapse=(0.75, 0.92),
            leach=(0.03, 0.15),
            acid=(0.2, 0.9),
            glue=(0.3, 0.9),
        ),
        (0.6, 0.8),
        (0.05, 0.1),
    ),
    "grain": Shelf(
        ("spent grain",),
        "filler",
        _filler(
            (0.03, 0.1),
            (1.3, 1.45),
            (1.9, 3.4),
            grain_um=(120, 380),
            aspect=(1.8, 4.5),
            soft=(0.12, 0.3),
            collapse=(0.68, 0.88),
            glue=(0.1, 0.35),
        ),
        (0.55, 0.75),
        (0.06, 0.14),
    ),
    "coffee": Shelf(
        ("coffee grounds",),
        "filler",
        _filler(
            (0.03, 0.1),
            (1.2, 1.35),
            (1.2, 2.1),
            grain_um=(120, 400),
            aspect=(1.1, 1.7),
            soft=(0.07, 0.18),
            collapse=(0.55, 0.8),
            oil=(0.08, 0.15),
        ),
        (0.5, 0.72),
        (0.08, 0.18),
    ),
    "guar": Shelf(
        ("guar gum",),
        "thickener",
        _gum((0.11, 0.22), (0.08, 0.25), (2.0, 2.4), springy=(0.1, 0.25), glue=(0.7, 1.2)),
        dose=(0.02, 0.045),
    ),
    "xanthan": Shelf(
        ("xanthan",),
        "thickener",
        _gum((0.04, 0.09), (0.08, 0.22), (1.65, 1.95), springy=(0.3, 0.5), glue=(0.5, 1.0), charged=(0.05, 0.2)),
        dose=(0.012, 0.03),
    ),
    "psyllium": Shelf(
        ("psyllium",),
        "thickener",
        _gum((0.2, 0.45), (0.3, 0.8), (1.8, 2.15), springy=(0.4, 0.65), glue=(0.4, 0.9)),
        dose=(0.03, 0.08),
    ),
    "cmc": Shelf(
        ("CMC",),
        "thickener",
        _gum((0.2, 0.4), (0.06, 0.16), (2.1, 2.5), springy=(0.08, 0.2), glue=(0.9, 1.6), charged=(0.5, 1.0)),
        dose=(0.025, 0.06),
    ),
    "alginate": Shelf(
        ("sodium alginate",),
        "thickener",
        _gum(
            (0.25, 0.5),
            (0.06, 0.16),
            (2.0, 2.4),
            springy=(0.15, 0.3),
            glue=(1.1, 2.0),
            charged=(0.5, 1.0),
            gels=(0.5, 0.95),
        ),
        dose=(0.02, 0.05),
    ),
    "arabic": Shelf(
        ("gum arabic",),
        "binder",
        _gum((5.0, 10.0), (0.02, 0.08), (1.8, 2.4), springy=(0.02, 0.06), glue=(0.6, 1.1)),
        dose=(0.05, 0.13),
    ),
    "starch": Shelf(
        ("maize starch, half cooked", "potato starch, half cooked"),
        "binder",
        _filler(
            (0.09, 0.14),
            (1.48, 1.54),
            (1.5, 5.0),
            grain_um=(12, 45),
            soft=(0.3, 0.5),
            collapse=(0.9, 1.0),
            glue=(0.5, 1.1),
        ),
        (0.6, 0.85),
        (0.05, 0.12),
    ),
    "glycerol": Shelf(("glycerol",), "plasticiser", {"moisture": (0.0, 0.05), "rho": (1.24, 1.265)}, dose=(0.03, 0.09)),
}
