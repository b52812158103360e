"""Make a small record of an invented long face, printed by a shorter straightedge.

The face is the bed way of a planing machine: it is invented, and so are its heights, its passes
and its photographs, which are computed. In every pass a straightedge that is shorter than the
face is laid in three placements that overlap. Pass by pass the way becomes straighter; its right
stretch stays behind the others.

`python tests/long_record.py FOLDER` makes it at full size in a folder that is empty or not there.
"""

import sys
from dataclasses import dataclass
from pathlib import Path

import cv2
import numpy as np

from scrapeview.face_reading import read_for_face
from scrapeview.joining import Joined, map_from
from scrapeview.placed_plane import plane_on_face
from scrapeview.placements import Placement
from scrapeview.plane import Plane
from scrapeview.plane.joined.solved import SolvedPhotos
from scrapeview.record import FacePlan, Record, Scrape
from scrapeview.simulate.contact import HeightMap, take_print
from scrapeview.simulate.fields import generator, grid_over, smooth_field
from scrapeview.targets import Origin, Target

MACHINE = "Planing machine (invented)"
FACE = "Bed way (invented)"
NOTES = "Invented: heights, passes and photographs are computed."
MARGIN_MM = 4.0
HEIGHTS_PX_PER_MM = 3.0
METAL, BLUE = np.array([168.0, 166.0, 160.0]), np.array([38.0, 62.0, 128.0])
CUTS, NAMES = ((0.0, 0.4), (0.3, 0.6), (0.7, 1.0)), ("left.png", "middle.png", "right.png")
"""Shares of a photograph that is cut to be joined again, and what the pieces are called."""
OWN = Origin("own", "invented for tests")
TARGET = Target(
    name="bed way (invented)", ppsi_least=8.0, contact_least_percent=20.0,
    origins=(("ppsi_least", OWN), ("contact_least_percent", OWN)),
)  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class LongFace:
    """How long a face is made, and how often it is printed.

    Parameters
    ----------
    size_mm : (float, float)
    placements : tuple of Placement
    passes : int
    photo_px_per_mm : float
    hump_um, behind_um : float
        How much the way stands up in its middle before the first pass, and by how much more its
        texture has been left rough at the right end.
    regions_mm : tuple of polygons
        Two ways, where there are two.
    """

    size_mm: tuple[float, float] = (360.0, 48.0)
    placements: tuple[Placement, ...] = (
        Placement(name="left end", start_mm=0.0, length_mm=150.0),
        Placement(name="middle", start_mm=105.0, length_mm=150.0),
        Placement(name="right end", start_mm=210.0, length_mm=150.0),
    )
    passes: int = 4
    photo_px_per_mm: float = 5.0
    hump_um: float = 12.0
    behind_um: float = 3.0
    regions_mm: tuple[tuple[tuple[float, float], ...], ...] = ()


SMALL = LongFace()
TWO_WAYS = LongFace(
    placements=LongFace().placements[:2], passes=1,
    regions_mm=(
        ((0.0, 0.0), (360.0, 0.0), (360.0, 18.0), (0.0, 18.0)),
        ((0.0, 30.0), (360.0, 30.0), (360.0, 48.0), (0.0, 48.0)),
    ),
)  # fmt: skip
LARGE = LongFace(
    size_mm=(1200.0, 120.0),
    placements=(
        Placement(name="left end", start_mm=0.0, length_mm=500.0),
        Placement(name="middle", start_mm=350.0, length_mm=500.0),
        Placement(name="right end", start_mm=700.0, length_mm=500.0),
    ),
    hump_um=20.0,
)


def keep_long_face(record: Record, made: LongFace = SMALL, *, told: bool = True) -> int:
    """Keep all passes of an invented face and return the face's number.

    Parameters
    ----------
    record : Record
    made : LongFace
    told : bool
        Whether each print says where the reference lay, and is read there; else it only has the
        name that a person gave the place.
    """
    machine = record.add_machine(MACHINE, NOTES)
    part = record.add_part(machine.machine_id, "Bed")
    width_mm, height_mm = made.size_mm
    face = record.add_face(part.part_id, FacePlan(
        name=FACE, role="way", width_mm=width_mm, height_mm=height_mm, target=TARGET,
        reference="straightedge (invented)", marking="blue", notes=NOTES,
        regions_mm=made.regions_mm,
    ))  # fmt: skip
    for number in range(1, made.passes + 1):
        scrape = Scrape(who="invented", scraping="rough" if number < 3 else "finish", hours=2.0)
        for at, placement in enumerate(made.placements):
            photo, plane = photograph(made, number, placement)
            if told:
                plane = plane_on_face(face.plan, placement, plane)
            reading = read_for_face(face.plan, photo, plane)
            record.keep_print(
                face.face_id, [(f"pass-{number}-{at + 1}.jpg", photo)], reading, scrape,
                placement=placement if told else placement.name,
                pass_number=number if at else None,
            )  # fmt: skip
    return face.face_id


def fill_long(home: Path) -> None:
    """Make a record of a long face of two passes in a folder, for tests to share."""
    record = Record.open(home)
    keep_long_face(record, LongFace(passes=2))
    record.close()


def photograph(made: LongFace, number: int, placement: Placement) -> tuple[bytes, Plane]:
    """Return the computed photograph of one placement in one pass, and the plane of its stretch."""
    start_mm, length_mm = placement.start_mm, placement.length_mm
    height_mm = made.size_mm[1]
    film = _film(made, number, start_mm, length_mm)
    px, margin = made.photo_px_per_mm, MARGIN_MM
    size = round((length_mm + 2 * margin) * px), round((height_mm + 2 * margin) * px)
    laid = np.zeros(size[::-1], np.float32)
    inner = round(length_mm * px), round(height_mm * px)
    at = round(margin * px)
    laid[at : at + inner[1], at : at + inner[0]] = cv2.resize(film, inner)
    rng = generator(7 + number, f"photo {start_mm:g}")
    metal = (
        METAL
        * (
            1
            + 0.03
            * cv2.GaussianBlur(rng.standard_normal(laid.shape, dtype=np.float32), (0, 0), 0.8)
        )[..., None]
    )
    rgb = metal * (1 - laid[..., None]) + BLUE * laid[..., None]
    rgb = cv2.GaussianBlur(rgb, (0, 0), 0.7) + rng.normal(0, 2.0, rgb.shape)
    picture = np.clip(rgb, 0, 255).astype(np.uint8)
    _, coded = cv2.imencode(".jpg", picture[..., ::-1], [cv2.IMWRITE_JPEG_QUALITY, 90])
    left, top = at - 0.5, at - 0.5
    right, foot = left + inner[0], top + inner[1]
    corners = [(left, top), (right, top), (right, foot), (left, foot)]
    return bytes(coded), Plane.from_corners(corners, size_mm=(length_mm, height_mm))


def joined_map(made: LongFace = SMALL, number: int = 1) -> tuple[Joined, list[bytes]]:
    """Return a map of the whole invented face joined from three photographs, and these.

    They are cut from one photograph: the first two overlap, and a gap is left before the third.
    """
    whole = Placement(name="whole", start_mm=0.0, length_mm=made.size_mm[0])
    photo, plane = photograph(made, number, whole)
    picture = cv2.imdecode(np.frombuffer(photo, np.uint8), cv2.IMREAD_COLOR)
    height, width = picture.shape[:2]
    cuts = [(round(first * width), round(last * width)) for first, last in CUTS]
    photos, lies = [], []
    for first, last in cuts:
        _, coded = cv2.imencode(".png", picture[:, first:last])
        photos.append(bytes(coded))
        lies.append(np.array([[1, 0, -first], [0, 1, 0], [0, 0, 1.0]]) @ plane.mm_to_px)
    sizes = tuple((last - first, height) for first, last in cuts)
    solved = SolvedPhotos(
        tuple(lies), sizes, residual_mm=0.04, photo_residuals_mm=(0.03, 0.05, 0.04)
    )
    return map_from(photos, solved, names=NAMES, face_mm=plane.face_mm[0]), photos


def keep_joined(record: Record, face_id: int, made: LongFace = SMALL, number: int = 1) -> int:
    """Keep a map of the whole invented face as a pass of its own; return the print's number."""
    joined, photos = joined_map(made, number)
    reading = read_for_face(record.face(face_id).plan, joined.picture, joined.plane)
    named = [("map.png", joined.picture), *zip(NAMES, photos, strict=True)]
    kept = record.keep_print(
        face_id, named, reading, Scrape(who="invented"), joined=joined.as_dict()
    )
    return kept.print_id


def _film(made: LongFace, number: int, start_mm: float, length_mm: float) -> np.ndarray:
    """Film that the straightedge leaves in a stretch, as a share of its thickness."""
    face = _heights(made, number)
    px = HEIGHTS_PX_PER_MM
    first = round((start_mm - face.grid.origin_mm[0]) * px)
    columns = slice(max(0, first), max(0, first) + round(length_mm * px))
    heights = face.height_um[:, columns]
    grid = grid_over((heights.shape[1] / px, made.size_mm[1]), 0.0, px)
    window = HeightMap(heights, face.metal[:, columns], grid)
    film_um = 1.2 + 1.2 * 0.6 ** (number - 1)
    taken = take_print(window, film_um=film_um, load_um=0.07, rub_um=2.5)
    return np.asarray(0.9 * taken.thickness, np.float32)


def _heights(made: LongFace, number: int) -> HeightMap:
    grid = grid_over(made.size_mm, 0.0, HEIGHTS_PX_PER_MM)
    rng = generator(11, "texture")
    x = (np.arange(grid.shape[1]) + 0.5) / grid.shape[1]
    left = 0.55 ** (number - 1)
    hump = made.hump_um * left * (1 - (2 * x - 1) ** 2)
    waves = 2.2 * left * smooth_field(rng, grid, (45.0, 30.0))
    texture = 1.5 * smooth_field(generator(11 + number, "strokes"), grid, (4.2, 3.2))
    behind = 1 + made.behind_um * np.clip((x - 0.62) / 0.2, 0, 1) / 3
    height = hump[None, :] + waves + texture * behind[None, :]
    return HeightMap(height.astype(float), np.ones(grid.shape, dtype=bool), grid)


if __name__ == "__main__":
    opened = Record.open(Path(sys.argv[1]))
    print(f"The long face is number {keep_long_face(opened, LARGE)}.")
    opened.close()
