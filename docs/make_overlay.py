"""Draw the README's picture, a reading over a sample photograph: `python docs/make_overlay.py`."""

import json
from pathlib import Path

import scrapeview
from scrapeview.charts import draw_overlay

ROOT = Path(__file__).parents[1]
SAMPLE = ROOT / "sample_images" / "two-colour.jpg"
PICTURE = ROOT / "docs" / "images" / "overlay.jpg"
WIDTH_PX = 1400
QUALITY = 80


def write_overlay() -> None:
    """Read the sample and write the picture."""
    note = json.loads(SAMPLE.with_suffix(".json").read_text(encoding="utf-8"))
    plane = scrapeview.Plane.from_corners(note["corners_px"], size_mm=note["size_mm"])
    reading = scrapeview.read_print(
        SAMPLE, plane=plane, marking=note["marking"], openings_mm=note["openings_mm"]
    )
    picture = draw_overlay(reading, SAMPLE, width_px=WIDTH_PX)
    picture.convert("RGB").save(PICTURE, quality=QUALITY)


if __name__ == "__main__":
    write_overlay()
