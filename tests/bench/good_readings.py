"""One believable reading of every declared test, as typed at the bench. Invented."""

from __future__ import annotations

GOOD: dict[str, tuple[dict[str, str], list[dict[str, str]]]] = {
    "crack_grade": ({"crack_grade": "2"}, []),
    "fall_cone": ({"cone_depth_mm": "16", "cone_mass_g": "30", "cone_angle": "30"}, []),
    "layers_stood": ({"layers_stood": "8", "how": "folded", "layer_height_mm": "1.2"}, []),
    "oven_moisture": (
        {"tare_g": "40", "wet_mass_g": "48", "scale_step_g": "0.01", "oven_c": "105"},
        [{"hours": "3", "mass_g": "46.5"}, {"hours": "6", "mass_g": "46.41"}, {"hours": "7", "mass_g": "46.4"}],
    ),
    "paste_density": ({"empty_g": "8", "filled_g": "23", "volume_ml": "10"}, []),
    "ram_push": ({"ram_force_n": "90", "ended": "ran"}, []),
    "shrinkage_bar": ({}, [{"wet_mm": "100", "dry_mm": "96.5"}, {"wet_mm": "100", "dry_mm": "96.1"}]),
    "slump": ({"slump_mm": "6.3", "mould": "cylinder", "cylinder_height_mm": "50"}, []),
    "spring_back": ({"return_mm": "0.8", "column_mm": "54"}, []),
    "three_point_bend": (
        {"ended": "broke"},
        [{"load_n": "20", "span_mm": "60", "width_mm": "10", "thickness_mm": "6"}],
    ),
}
