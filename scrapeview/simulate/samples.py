"""Render the sample photographs: `python -m scrapeview.simulate.samples [FOLDER]`.

An invented job: the cross slide of a surface grinder over eight passes, from the first rough print
to done, and three single photographs: glare, two colours, and one that should be taken again.
"""

import json
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from scrapeview.simulate.presets import SCENES
from scrapeview.simulate.render import render
from scrapeview.simulate.result import Rendered
from scrapeview.simulate.scene import FaceShape, PrintScene
from scrapeview.simulate.series import PASSES, Pass, printed_layer, scrape_series

SEED = 20
PX_PER_MM = 9.4
CROSS_SLIDE = FaceShape(
    size_mm=(220.0, 150.0),
    border_mm=0.0,
    slots=((0.06, 0.487, 0.94, 0.513),),
    holes=((0.09, 0.16, 5.5), (0.91, 0.84, 5.5)),
    background="bench",
)
STAGES = (
    "first rough print after broad strokes over everything",
    "high ends brought down",
    "marks over the whole face, still in patches",
    "spacing out",
    "spacing out, patches broken up",
    "points begin to stand apart",
    "finishing",
    "done",
)
JPEG_QUALITY = 88


def sample_photographs(
    *,
    px_per_mm: float = PX_PER_MM,
    shape: FaceShape = CROSS_SLIDE,
    passes: tuple[Pass, ...] = PASSES,
) -> Iterator[tuple[str, str, int | None, Rendered]]:
    """Yield name, title, pass number (None for the single ones) and photograph of every sample.

    Parameters
    ----------
    px_per_mm : scale of the photographs.
    shape : the face of the job.
    passes : what is done before each print of the series.
    """
    for index, taken in enumerate(scrape_series(shape, seed=SEED, passes=passes)):
        scene = _pass_scene(index, passes[index], px_per_mm, shape)
        title = f"Cross slide, pass {index + 1}: {STAGES[index]}"
        shot = render(scene, lay=printed_layer(taken))
        yield f"cross-slide-pass-{index + 1}", title, index + 1, shot
    for name, title, scene in _single_scenes(px_per_mm, shape):
        yield name, title, None, render(scene)


def reading_note(title: str, number: int | None, shot: Rendered) -> dict[str, Any]:
    """Return what is needed to read a sample, and what is true of it, ready for JSON."""
    truth = shot.truth
    return {
        "title": title,
        "pass": number,
        "computed": True,
        "corners_px": shot.corners_px.round(2).tolist(),
        "size_mm": list(shot.size_mm),
        "marking": shot.marking,
        "openings_mm": [polygon.round(3).tolist() for polygon in shot.openings_mm],
        "truth": {
            "contact_percent": round(truth.contact_percent, 3),
            "points_per_square_inch": round(truth.points_per_square_inch, 3),
            "counted": "points" if truth.countable else "connected patches",
            "points": len(truth.points),
            "area_mm2": round(truth.area_mm2, 2),
        },
    }


def write_samples(folder: Path, **options: Any) -> list[Path]:
    """Write every sample as JPEG with its JSON beside it; return the photographs' paths.

    Parameters
    ----------
    folder : made where missing.
    options : see `sample_photographs`.
    """
    folder.mkdir(parents=True, exist_ok=True)
    paths = []
    for name, title, number, shot in sample_photographs(**options):
        photograph = folder / f"{name}.jpg"
        photograph.write_bytes(shot.jpeg)
        note = json.dumps(reading_note(title, number, shot), indent=1)
        photograph.with_suffix(".json").write_text(note + "\n", encoding="utf-8")
        paths.append(photograph)
    return paths


def _pass_scene(index: int, now: Pass, px_per_mm: float, shape: FaceShape) -> PrintScene:
    """Return how pass `index` was photographed: as by hand, never twice the same."""
    length, width = now.stroke_mm
    return PrintScene(name="cross slide", seed=SEED + index).with_(
        shape={
            "size_mm": shape.size_mm,
            "border_mm": shape.border_mm,
            "slots": shape.slots,
            "holes": shape.holes,
            "background": shape.background,
        },
        film={
            "thickness": (1.45, 1.35, 1.25, 1.15, 1.1, 1.0, 0.95, 0.95)[index % 8],
            "haze": (0.1, 0.08, 0.06, 0.05, 0.04, 0.03, 0.03, 0.03)[index % 8],
            "smear": (0.3, 0.25, 0.2, 0.15, 0.1, 0.1, 0.0, 0.0)[index % 8],
        },
        metal={"strokes": 0.13, "stroke_mm": (length, width), "stroke_cover": 0.9, "grain": 0.06},
        light={"gradient": 1.2 + 0.06 * (index % 3), "gradient_deg": 40.0 + 25.0 * index},
        camera={
            "px_per_mm": px_per_mm,
            "tilt_deg": 7.0 + 2.0 * ((3 * index) % 5),
            "tilt_towards_deg": 230.0 + 11.0 * index,
            "roll_deg": -2.0 + 1.3 * ((2 * index) % 4),
            "jpeg_quality": JPEG_QUALITY,
            "taken_at": f"2024:03:{4 + index:02d} {9 + index % 4:02d}:{(17 * index) % 60:02d}:00",
        },
    )


def _single_scenes(px_per_mm: float, shape: FaceShape) -> Iterator[tuple[str, str, PrintScene]]:
    camera = {"px_per_mm": px_per_mm, "jpeg_quality": JPEG_QUALITY}
    size = {"size_mm": shape.size_mm}
    glare = SCENES["glare"].with_(shape=size, camera=camera)
    yield "glare", "Light mirrored by the metal washes part of the face out", glare
    coated = SCENES["undercoat_orange"].with_(
        shape={**size, "background": "dark"},
        film={"undercoat_thickness": 0.7, "undercoat_bare": 0.08},
        camera={**camera, "tilt_deg": 12.0},
    )
    yield "two-colour", "Blue marking printed on an orange undercoat", coated
    bad = SCENES["dim"].with_(
        shape={**size, "background": "cloth"},
        camera={**camera, "px_per_mm": px_per_mm / 2, "blur_px": 3.4, "motion_px": 9.0},
    )
    yield "take-again", "Dark, out of focus and shaken: to be taken again", bad


def main() -> None:
    """Write the samples into the folder named on the command line."""
    folder = Path(sys.argv[1] if len(sys.argv) > 1 else "sample_images")
    for path in write_samples(folder):
        print(path, f"{path.stat().st_size / 1e6:.2f} MB")


if __name__ == "__main__":
    main()
