"""Compute docs/images/cards.jpg: `python docs/make_card_picture.py`.

A sheet as it is printed, a card on a print, and tiles along a stretch of a long face.
"""

from io import BytesIO
from pathlib import Path

from PIL import Image

from scrapeview.sheet.card_files import card_png
from scrapeview.sheet.card_sheets import card_sheets
from scrapeview.simulate.carded import render_carded
from scrapeview.simulate.cards import tiles_along

PICTURE = Path(__file__).parent / "images" / "cards.jpg"
HEIGHT_PX = 420
GAP_PX = 14
PAPER_SHARE = 0.46
"""Of the sheet's height; its empty middle is left out."""
SEED = 5


def sheet_picture() -> Image.Image:
    """Return the upper part of a sheet over its foot."""
    whole = Image.open(BytesIO(card_png(card_sheets("inch")[0])))
    foot = round(whole.height * 0.08)
    head = round(whole.height * PAPER_SHARE) - foot
    cut = Image.new("L", (whole.width, head + foot), 255)
    cut.paste(whole.crop((0, 0, whole.width, head)), (0, 0))
    cut.paste(whole.crop((0, whole.height - foot, whole.width, whole.height)), (0, head))
    return cut.convert("RGB")


def card_on_print() -> Image.Image:
    """Return a photograph of a print with a card on it."""
    shot = render_carded(
        "plain", card="inch", card_at_mm=(58.0, 36.0), card_turn_deg=4.0, seed=SEED,
        size_mm=(110.0, 70.0), px_per_mm=9.0,
    )  # fmt: skip
    return Image.open(BytesIO(shot.shot.jpeg))


def tiles_beside_face() -> Image.Image:
    """Return a photograph of a stretch of a face with tiles along its edges."""
    size_mm = (230.0, 70.0)
    tiles = tiles_along(size_mm, every_mm=62.0, seed=SEED)
    shot = render_carded("plain", tiles=tiles, seed=SEED, size_mm=size_mm, px_per_mm=8.5)
    return Image.open(BytesIO(shot.shot.jpeg))


def make_picture() -> None:
    """Lay the three beside each other and save them."""
    parts = [sheet_picture(), card_on_print(), tiles_beside_face()]
    small = [
        part.resize(
            (round(part.width * HEIGHT_PX / part.height), HEIGHT_PX), Image.Resampling.LANCZOS
        )
        for part in parts
    ]
    width = sum(part.width for part in small) + GAP_PX * (len(small) - 1)
    laid = Image.new("RGB", (width, HEIGHT_PX), (200, 200, 200))
    x = 0
    for part in small:
        laid.paste(part, (x, 0))
        x += part.width + GAP_PX
    laid.save(PICTURE, quality=84)


if __name__ == "__main__":
    make_picture()
