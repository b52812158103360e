"""Scenes by name, for tests and benchmarks; each differs from "plain" in what its name says."""

from typing import Any

from scrapeview.simulate.scene import PrintScene


def _scene(name: str, **parts: dict[str, Any]) -> PrintScene:
    return PrintScene(name=name).with_(**parts)


NETWORK = {"kind": "network", "cover_percent": 45.0}
TUNGSTEN = (1.28, 0.94, 0.52)

SCENES: dict[str, PrintScene] = {
    scene.name: scene
    for scene in (
        _scene("plain"),
        _scene("blank", marks={"kind": "none"}, film={"haze": 0.0}, metal={"strokes": 0.02}),
        _scene(
            "blank_scraped",
            marks={"kind": "none"},
            film={"haze": 0.0},
            metal={"strokes": 0.3, "stroke_cover": 1.5},
        ),
        _scene(
            "blank_stained",
            marks={"kind": "none"},
            film={"haze": 0.0},
            metal={"rust": 0.7, "stain": 0.2, "pores_per_cm2": 8.0, "stained_pores": 0.8},
        ),
        _scene(
            "blank_hazy",
            marks={"kind": "none"},
            film={"haze": 0.05},
            metal={"strokes": 0.2, "stroke_cover": 1.0},
        ),
        _scene("touching", marks={"cover_percent": 34.0, "touching_share": 0.35}),
        _scene(
            "crowded",
            marks={
                "points_per_square_inch": 20.0,
                "cover_percent": 46.0,
                "touching_share": 0.5,
                "gap_mm": 0.3,
            },
        ),
        _scene("rings", marks={"hollow_share": 0.55, "points_per_square_inch": 9.0}),
        _scene("faint", film={"thickness": 0.22, "haze": 0.02}),
        _scene(
            "heavy",
            film={"thickness": 1.5, "haze": 0.28, "smear": 0.35, "edge_mm": 0.35},
            marks={"cover_percent": 36.0},
        ),
        _scene("smeared", film={"smear": 1.2, "smear_mm": 4.0, "haze": 0.06}),
        _scene(
            "fine",
            marks={
                "points_per_square_inch": 45.0,
                "cover_percent": 32.0,
                "smallest_mm": 1.0,
                "gap_mm": 0.35,
            },
        ),
        _scene("coarse", marks={"points_per_square_inch": 5.0, "cover_percent": 18.0}),
        _scene("sparse", marks={"points_per_square_inch": 3.0, "cover_percent": 3.0}),
        _scene("glare", light={"glare": 0.75, "glare_strokes": 0.5}, metal={"strokes": 0.2}),
        _scene(
            "high_cover",
            marks={"kind": "network", "cover_percent": 78.0, "network_mm": 2.6},
            film={"marking": "cyan", "thickness": 0.8},
        ),
        _scene("merged", marks=NETWORK),
        _scene(
            "patches",
            marks={"kind": "network", "cover_percent": 30.0, "network_mm": 4.5},
            film={"marking": "teal", "between_points": 0.3},
            metal={"reflectance": (0.26, 0.25, 0.25), "pores_per_cm2": 2.0},
            camera={"tilt_deg": 30.0, "exposure_ev": -0.7},
        ),
        _scene("machined", metal={"lay": 0.14, "strokes": 0.0, "grain": 0.05}),
        _scene(
            "wet_bar",
            shape={"size_mm": (200.0, 22.0), "border_mm": 0.0, "background": "dark"},
            marks={"kind": "network", "cover_percent": 64.0, "network_mm": 2.6},
            film={"marking": "navy", "within_point": 0.5},
            metal={
                "strokes": 0.45,
                "stroke_cover": 1.6,
                "flash_share": 0.25,
                "reflectance": (0.2, 0.2, 0.22),
            },
            light={"glare": 0.35, "glare_strokes": 0.9, "colour": (0.92, 0.98, 1.12)},
        ),
        _scene("shadow", light={"shadow": 0.62, "shadow_edge_mm": 0.8}),
        _scene(
            "window_light",
            light={
                "side_colour": (0.62, 0.9, 1.5),
                "side_share": 0.9,
                "colour": (1.1, 0.97, 0.82),
                "gradient": 1.7,
            },
        ),
        _scene(
            "dim", camera={"exposure_ev": -2.0, "noise": 3.5, "denoise_px": 2.2, "contrast": 0.1}
        ),
        _scene("soft", camera={"blur_px": 3.2, "sharpening": 0.0}),
        _scene("motion", camera={"motion_px": 7.0, "sharpening": 0.2}),
        _scene("stains_in_pores", metal={"pores_per_cm2": 30.0, "stained_pores": 0.85}),
        _scene("strong_strokes", metal={"strokes": 0.38, "stroke_cover": 2.2, "flash_share": 0.15}),
        _scene("tilt32", camera={"tilt_deg": 32.0, "tilt_towards_deg": 205.0, "distance": 1.3}),
        _scene("low_resolution", camera={"px_per_mm": 3.2, "blur_px": 0.6}),
        _scene(
            "long_face",
            shape={"size_mm": (420.0, 60.0), "background": "bench"},
            camera={"px_per_mm": 3.6, "tilt_deg": 18.0, "tilt_towards_deg": 260.0},
        ),
        _scene("undercoat_red", film={"undercoat": "red"}),
        _scene("undercoat_orange", film={"undercoat": "orange"}),
        _scene("undercoat_yellow", film={"undercoat": "yellow"}),
        _scene("undercoat_black", film={"undercoat": "red", "marking": "black"}),
        _scene("red", film={"marking": "red"}),
        _scene("black", film={"marking": "black"}),
        _scene(
            "rubbed",
            marks={"hollow_share": 0.0},
            film={"marking": "blue", "rubbed": True, "thickness": 0.9},
        ),
        _scene(
            "rubbed_dark",
            marks={"hollow_share": 0.0},
            film={"marking": "black", "rubbed": True, "thickness": 0.7},
        ),
        _scene(
            "teal",
            film={"marking": "teal"},
            metal={"reflectance": (0.25, 0.24, 0.25)},
            camera={"exposure_ev": -0.6},
        ),
        _scene("navy", film={"marking": "navy"}),
        _scene("violet", film={"marking": "violet"}),
        _scene("cyan", film={"marking": "cyan", "thickness": 0.8}),
        _scene("tungsten", light={"colour": TUNGSTEN}),
        _scene("bluish_metal", metal={"reflectance": (0.27, 0.31, 0.38)}, film={"thickness": 0.6}),
        _scene("brown_metal", metal={"reflectance": (0.3, 0.24, 0.19), "rust": 0.6}),
        _scene("dark_metal", metal={"reflectance": (0.12, 0.12, 0.125)}),
        _scene("overexposed", camera={"exposure_ev": 0.9}),
        _scene(
            "harsh_phone",
            camera={"sharpening": 1.6, "saturation": 1.5, "contrast": 0.7, "jpeg_quality": 55},
        ),
        _scene("cut_edges", shape={"border_mm": 0.0, "background": "bench"}),
        _scene(
            "slots",
            shape={
                "slots": ((-0.1, 0.28, 1.1, 0.38), (-0.1, 0.62, 1.1, 0.72)),
                "holes": ((0.2, 0.5, 5.0), (0.75, 0.15, 4.0)),
            },
        ),
        _scene(
            "disc",
            shape={
                "kind": "disc",
                "size_mm": (100.0, 100.0),
                "border_mm": 0.0,
                "holes": ((0.5, 0.5, 6.0), (0.2, 0.5, 4.0), (0.8, 0.5, 4.0)),
                "background": "clutter",
            },
            camera={"tilt_deg": 24.0, "tilt_towards_deg": 15.0},
        ),
        _scene(
            "rails",
            shape={
                "kind": "rails",
                "size_mm": (60.0, 140.0),
                "border_mm": 0.0,
                "background": "clutter",
                "holes": ((0.12, 0.95, 2.5), (0.88, 0.95, 2.5)),
            },
            film={"marking": "teal"},
            marks={**NETWORK, "network_mm": 2.4},
            camera={"tilt_deg": 28.0, "roll_deg": -24.0, "exposure_ev": -0.8},
        ),
    )
}
"""Presets by name."""
