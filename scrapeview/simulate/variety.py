"""Scenes drawn at random over the whole range of conditions, one a seed."""

from dataclasses import replace

import numpy as np

from scrapeview.simulate.fields import generator
from scrapeview.simulate.scene import PrintScene

BLUES = ("blue", "teal", "navy", "violet", "blue")
LAMPS = ((1.0, 1.0, 1.0), (1.28, 0.94, 0.52), (1.12, 0.98, 0.8), (0.9, 1.0, 1.15))
METALS = ((0.36, 0.355, 0.35), (0.27, 0.3, 0.34), (0.3, 0.26, 0.22), (0.2, 0.2, 0.205))
BACKGROUNDS = ("wood", "bench", "cloth", "dark", "clutter")


def varied_scene(seed: int) -> PrintScene:
    """Return a scene of separate points under conditions drawn from the seed.

    Density 4 to 30 points per square inch, cover 10 to 38 %, blue hues, red or black, film from
    faint to heavy, tilt to 32 degrees, any lamp, sometimes an undercoat, a shadow, coloured
    window light, stained pores, strong strokes, soft focus, motion or dim light.
    """
    rng = generator(seed, "variety")
    scene = replace(PrintScene(name="varied"), seed=seed)
    return scene.with_(
        shape={"background": str(rng.choice(BACKGROUNDS))},
        marks=_marks(rng),
        film=_film(rng),
        metal=_metal(rng),
        light=_light(rng),
        camera=_camera(rng),
    )


def _sometimes(rng: np.random.Generator, share: float, value: float) -> float:
    return value if rng.random() < share else 0.0


def _marks(rng: np.random.Generator) -> dict[str, float]:
    density = float(np.exp(rng.uniform(np.log(4), np.log(30))))
    return {
        "points_per_square_inch": density,
        "cover_percent": rng.uniform(10, 38) if density > 8 else rng.uniform(6, 20),
        "hollow_share": rng.uniform(0, 0.35),
        "touching_share": _sometimes(rng, 0.4, rng.uniform(0.05, 0.3)),
        "roughness": rng.uniform(0.02, 0.09),
        "aspect": rng.uniform(1.3, 2.2),
    }


def _film(rng: np.random.Generator) -> dict[str, object]:
    other = rng.random()
    marking = "red" if other < 0.1 else "black" if other < 0.2 else str(rng.choice(BLUES))
    coated = marking != "red" and rng.random() < 0.2
    return {
        "marking": marking,
        "thickness": float(np.exp(rng.uniform(np.log(0.35), np.log(1.5)))),
        "haze": rng.uniform(0, 0.12),
        "smear": _sometimes(rng, 0.3, rng.uniform(0.2, 0.8)),
        "smear_deg": rng.uniform(0, 360),
        "edge_mm": rng.uniform(0.12, 0.35),
        "undercoat": str(rng.choice(("red", "orange", "yellow"))) if coated else "",
        "undercoat_thickness": rng.uniform(0.4, 1.2),
        "undercoat_bare": rng.uniform(0, 0.2),
    }


def _metal(rng: np.random.Generator) -> dict[str, object]:
    return {
        "reflectance": METALS[rng.integers(len(METALS))],
        "grain": rng.uniform(0.03, 0.12),
        "strokes": rng.uniform(0.03, 0.3),
        "stroke_cover": rng.uniform(0.2, 1.8),
        "lay": _sometimes(rng, 0.3, rng.uniform(0.02, 0.08)),
        "stain": rng.uniform(0.02, 0.12),
        "rust": _sometimes(rng, 0.25, rng.uniform(0.1, 0.5)),
        "pores_per_cm2": _sometimes(rng, 0.4, rng.uniform(1, 40)),
        "stained_pores": rng.uniform(0, 0.8),
    }


def _light(rng: np.random.Generator) -> dict[str, object]:
    return {
        "colour": LAMPS[rng.integers(len(LAMPS))],
        "gradient": float(np.exp(rng.uniform(0, np.log(2.2)))),
        "gradient_deg": rng.uniform(0, 360),
        "side_colour": (0.65, 0.92, 1.4),
        "side_share": _sometimes(rng, 0.25, rng.uniform(0.3, 0.9)),
        "side_deg": rng.uniform(0, 360),
        "shadow": _sometimes(rng, 0.25, rng.uniform(0.3, 0.7)),
        "shadow_edge_mm": rng.uniform(0.3, 3),
    }


def _camera(rng: np.random.Generator) -> dict[str, float]:
    dim = rng.random() < 0.2
    return {
        "px_per_mm": rng.uniform(4.5, 11),
        "tilt_deg": rng.uniform(0, 32),
        "tilt_towards_deg": rng.uniform(0, 360),
        "roll_deg": rng.uniform(-8, 8),
        "exposure_ev": rng.uniform(-2.2, -1.0) if dim else rng.uniform(-0.6, 0.3),
        "noise": rng.uniform(2, 4) if dim else rng.uniform(0.5, 1.5),
        "denoise_px": rng.uniform(0.6, 2.2),
        "blur_px": rng.uniform(0.5, 1.4) + _sometimes(rng, 0.15, 1.4),
        "motion_px": _sometimes(rng, 0.15, rng.uniform(3, 7)),
        "sharpening": rng.uniform(0, 1.1),
        "saturation": rng.uniform(1.0, 1.35),
        "contrast": rng.uniform(0, 0.6),
        "jpeg_quality": int(rng.integers(70, 96)),
    }
