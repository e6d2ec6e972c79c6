"""One believable reading of every declared test, as typed at the bench. Invented."""

from __future__ import annotations

GOOD: dict[str, tuple[dict[str, str], list[dict[str, str]]]] = {
    "ageing_series": (
        {"series_angle": "30"},
        [
            {"age_min": age, "depth_mm": depth, "mass_g": "30"}
            for age, depth in (("15", "18"), ("30", "17"), ("60", "15.5"), ("120", "13"), ("240", "9"))
        ],
    ),
    "bleed_press": (
        {"pressed_g": "15", "paper_dry_g": "1.2", "paper_wet_g": "1.5", "bleed_load_kg": "5", "bleed_minutes": "5"},
        [],
    ),
    "crack_grade": ({"crack_grade": "2"}, []),
    "drying_curve": (
        {"tare_g": "10", "scale_step_g": "0.01", "bone_dry_g": "30", "dry_after_h": "40"},
        [
            {"hours": hours, "mass_g": mass}
            for hours, mass in (
                ("0", "60"),
                ("2", "57.1"),
                ("4", "54.3"),
                ("8", "49.2"),
                ("24", "43.2"),
                ("48", "42.1"),
            )
        ],
    ),
    "extruded_slug": (
        {"slug_g": "0.6", "slug_count": "10", "slug_least_g": "0.55", "slug_most_g": "0.66", "nozzle_mm": "2"}
        | {"how": "broke"},
        [],
    ),
    "fall_cone": ({"cone_depth_mm": "16", "cone_mass_g": "30", "cone_angle": "30"}, []),
    "first_last_bead": (
        {"first_wet_g": "6", "first_dry_g": "3.6", "last_wet_g": "5", "last_dry_g": "3.1", "plug_wet_g": "5.5"}
        | {"plug_dry_g": "3.5", "scale_step_g": "0.01"},
        [],
    ),
    "gum_run_out": ({"gum_run_out_s": "64", "gum_g": "1", "water_g": "99", "hours": "2", "water_s": "12"}, []),
    "jar_humidity": (
        {"humidity_percent": "58", "hours": "24", "salt": "nacl", "salt_shown_percent": "76"},
        [],
    ),
    "layers_stood": ({"layers_stood": "8", "how": "folded sideways", "layer_height_mm": "1.2"}, []),
    "mould_watch": (
        {"kept": "warm"},
        [{"day": "1", "mould_grade": "0"}, {"day": "3", "mould_grade": "0"}, {"day": "4", "mould_grade": "1"}],
    ),
    "oven_moisture": (
        {"tare_g": "40", "wet_mass_g": "48", "scale_step_g": "0.01", "oven_c": "105"},
        [{"hours": "3", "mass_g": "46.5"}, {"hours": "6", "mass_g": "46.41"}, {"hours": "7", "mass_g": "46.4"}],
    ),
    "paste_density": ({"empty_g": "8", "filled_g": "23", "volume_ml": "10"}, []),
    "plate_squeeze": ({"squeeze_mm": "34.5", "squeeze_across_mm": "33.5", "dollop_ml": "2", "press_g": "500"}, []),
    "ram_push": (
        {"ram_force_n": "90", "ended": "ran", "push_speed_mm_s": "15", "push_nozzle_mm": "2.5"}
        | {"push_land_mm": "12", "push_fill_mm": "120"},
        [],
    ),
    "shrinkage_bar": (
        {},
        [
            {"wet_mm": "100", "dry_mm": "96.5", "wet_across_mm": "15", "dry_across_mm": "14.4"}
            | {"wet_height_mm": "6", "dry_height_mm": "5.7"},
            {"wet_mm": "100", "dry_mm": "96.1"},
        ],
    ),
    "sieve_split": (
        {"put_in_g": "20", "pan_g": "6.1", "longest_fibre_mm": "1.5"},
        [
            {"opening_um": opening, "kept_g": kept}
            for opening, kept in (("500", "0"), ("250", "1.4"), ("125", "5.9"), ("63", "6.5"))
        ],
    ),
    "slump": ({"slump_mm": "6.3", "mould": "cylinder", "cylinder_height_mm": "50"}, []),
    "spread": ({"spread_mm": "102", "spread_across_mm": "100", "puddle_ml": "50"}, []),
    "spring_back": ({"return_mm": "0.8", "column_mm": "54", "ooze_g": "0.02"}, []),
    "syringe_push": (
        {"syringe_kg": "4.5", "ended": "ran", "steady_kg": "6", "friction_kg": "0.4", "weight_step_kg": "0.5"}
        | {"syringe_bore_mm": "26.7", "syringe_nozzle_mm": "2"},
        [],
    ),
    "three_point_bend": (
        {"ended": "broke"},
        [{"load_n": "20", "span_mm": "60", "width_mm": "10", "thickness_mm": "6"}],
    ),
    "water_demand": ({"powder_g": "10", "water_g": "6.2", "stopped_at": "ball"}, []),
    "two_lands": (
        {"lands_bore_mm": "2", "lands_syringe_mm": "26.7", "lands_friction_kg": "0.4", "lands_step_kg": "0.5"},
        [{"land_mm": "10", "land_kg": "2.5"}, {"land_mm": "30", "land_kg": "5.5"}],
    ),
}
