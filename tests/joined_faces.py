"""Long faces photographed in stretches, made once a run, and what is asked of maps of them."""

import numpy as np
from scipy.spatial import cKDTree

from scrapeview.plane.joined.solved import Lens
from scrapeview.simulate import SCENES, Jitter, render_long

LENS = Lens(-0.03, 0.01)
PLAIN = SCENES["plain"].with_(
    # as sharp as a photograph of twice the scale that was reduced by two
    camera={"blur_px": 0.3, "sharpening": 0.2, "jpeg_quality": 95}
)
ALIKE = Jitter(exposure_ev=0.0, colour=0.0, gradient=1.25)
STRIP_MM = (420.0, 60.0)
LONG_MM = (1200.0, 120.0)


def strip(made_once):
    """A face of 420 x 60 mm in four photographs that differ as a person's do."""
    return made_once.value(
        "joined strip",
        lambda: render_long(PLAIN, photos=4, size_mm=STRIP_MM, px_per_mm=7.0, lens=LENS, seed=2),
    )


def strip_alike(made_once):
    """The same face in photographs of like light and colour."""
    return made_once.value(
        "joined strip alike",
        lambda: render_long(
            PLAIN, photos=4, size_mm=STRIP_MM, px_per_mm=7.0, lens=LENS, seed=2, jitter=ALIKE
        ),
    )


def corners_on(joined, face):
    """Where a person would pick the face's corners on the map: as they are in the photographs."""
    picks = [joined.solved.to_mm(photo, [(x, y)])[0] for photo, x, y in face.corners]
    return joined.plane.to_px(np.array(picks))


def placed(joined, face):
    """Plane of the map with the face laid on it."""
    return joined.plane.placed(corners_on(joined, face), face.size_mm)


def outline(size_mm):
    """Corners of a face, clockwise from its top left."""
    width, height = size_mm
    return np.array([(0, 0), (width, 0), (width, height), (0, height)], dtype=float)


def matches(found, known):
    """Which known point each found one is, -1 for none: the nearest whose disc it lies in."""
    tree = cKDTree(known[["x_mm", "y_mm"]])
    far, nearest = tree.query(found[["x_mm", "y_mm"]])
    reach = np.maximum(0.8, 0.7 * np.sqrt(known["area_mm2"].to_numpy() / np.pi))
    return np.where(far <= reach[nearest], nearest, -1)


def seen_twice(found, known):
    """Found points (N,) that are not the only ones of their known point."""
    match = matches(found, known)
    times = np.bincount(match[match >= 0], minlength=len(known))
    return (match >= 0) & (times[match] > 1)


def contact_between(face, start_mm, end_mm):
    """True contact, %, of a stretch of a face."""
    truth = face.truth
    x0, y0 = truth.mask_origin_mm
    columns = [round((x - x0) * truth.mask_px_per_mm) for x in (start_mm, end_mm)]
    rows = [round((y - y0) * truth.mask_px_per_mm) for y in (0.0, face.size_mm[1])]
    return 100 * float(truth.contact_mask[rows[0] : rows[1], columns[0] : columns[1]].mean())


def stretch_shown(face, photo):
    """From where to where, mm, one photograph shows the face in all its width."""
    width, height = face.solved.photo_sizes_px[photo]
    x = np.arange(0, face.size_mm[0] + 1, 2.0)
    edges = np.stack([np.column_stack((x, np.full_like(x, y))) for y in (0.0, face.size_mm[1])])
    pixels = face.solved.to_px(photo, edges.reshape(-1, 2)).reshape(2, -1, 2)
    inside = ((pixels > 1) & (pixels < np.array([width, height]) - 2)).all(axis=(0, 2))
    return float(x[inside].min()), float(x[inside].max())
