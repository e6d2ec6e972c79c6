"""Kinds of waste: what goes together, and which laws the skeleton may follow (invented for this family)."""

from dataclasses import dataclass

from .pantry import Range


@dataclass(frozen=True)
class Kind:
    """A kind of waste: its main filler, what may go with it, the laws its skeleton may follow."""

    main: str
    partners: tuple[str, ...]  # second fillers; "" = none
    thickeners: tuple[str, ...]
    extras: tuple[str, ...]
    laws: tuple[str, ...]
    dry_pack: Range


KINDS: dict[str, Kind] = {
    "shell and seaweed": Kind(
        "shell", ("seaweed",), ("guar", "xanthan", "cmc"), ("starch", "arabic", "glycerol"), ("jam",), (0.48, 0.6)
    ),
    "sawdust": Kind(
        "sawdust",
        ("", "", "shell"),
        ("cmc", "guar", "xanthan"),
        ("starch", "arabic", "glycerol"),
        ("net", "jam"),
        (0.44, 0.56),
    ),
    "paper pulp": Kind(
        "pulp", ("", "shell", "coffee"), ("cmc", "guar", "psyllium"), ("starch", "arabic"), ("net",), (0.24, 0.36)
    ),
    "leaf": Kind(
        "leaf",
        ("", "", "shell", "coffee"),
        ("psyllium", "guar", "alginate"),
        ("arabic", "starch", "glycerol"),
        ("gel", "net"),
        (0.46, 0.58),
    ),
    "peel": Kind(
        "peel", ("", "shell", "shell"), ("guar", "xanthan", "alginate"), ("starch", "glycerol"), ("gel",), (0.48, 0.6)
    ),
    "spent grain": Kind(
        "grain",
        ("", "", "shell"),
        ("xanthan", "guar", "psyllium"),
        ("starch", "arabic", "glycerol"),
        ("jam", "net", "gel"),
        (0.46, 0.56),
    ),
    "coffee": Kind(
        "coffee",
        ("", "", "pulp", "shell"),
        ("psyllium", "guar", "xanthan"),
        ("arabic", "starch", "glycerol"),
        ("jam",),
        (0.5, 0.6),
    ),
}
