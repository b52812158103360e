"""Write docs/tutorial.md and its pictures: `python docs/make_tutorial.py`.

Every number in the tutorial comes from here.
"""

from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image
from tutorial_steps import Mask, Tutorial, connected

from scrapeview.bearing import Interval

DOCS = Path(__file__).parent
TEMPLATE = DOCS / "tutorial_template.md"
DETAIL_MM = (4.0, 2.0, 56.0, 40.0)
"""Left, top, width and height of the part of the face that is shown enlarged."""
RIGHT, MISSED, FALSE = (70, 70, 70), (0, 120, 220), (230, 120, 0)
OUTLINE, CENTRE = (255, 200, 0), (200, 0, 0)
ENLARGED = 3
QUALITY = 82


def compared(tutorial: Tutorial, contact: Mask) -> NDArray[np.uint8]:
    """Return a picture of contact found: right grey, missed blue, false orange."""
    picture = np.full((*contact.shape, 3), 235, np.uint8)
    for where, colour in (
        (contact & tutorial.truth, RIGHT),
        (~contact & tutorial.truth, MISSED),
        (contact & ~tutorial.truth, FALSE),
    ):
        picture[where & tutorial.inside] = colour
    return on_face(tutorial, picture)


def on_face(tutorial: Tutorial, picture: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Return the part of a picture of the view that is the face."""
    rows = np.flatnonzero(tutorial.inside.any(axis=1))
    columns = np.flatnonzero(tutorial.inside.any(axis=0))
    return picture[rows[0] : rows[-1] + 1, columns[0] : columns[-1] + 1]


def detail(tutorial: Tutorial) -> NDArray[np.uint8]:
    """Return a part of the face, enlarged: the naive marks on the left, our points on the right."""
    points = tutorial.reading.points[["x_mm", "y_mm"]].to_numpy(dtype=np.float64)
    naive = tutorial.centres_mm(connected(tutorial.naive))
    left = marked_part(tutorial, tutorial.naive, naive)
    right = marked_part(tutorial, tutorial.reading.contact_mask, points)
    gap = np.full((left.shape[0], 4 * ENLARGED, 3), 255, np.uint8)
    return np.hstack((left, gap, right))


def marked_part(
    tutorial: Tutorial, contact: Mask, centres_mm: NDArray[np.float64]
) -> NDArray[np.uint8]:
    """Return the part of the face that is shown enlarged, contact outlined and centres marked."""
    left, top, width, height = DETAIL_MM
    corners = tutorial.view.to_view([(left, top), (left + width, top + height)])
    (x0, y0), (x1, y1) = np.rint(corners).astype(int)
    rgb = enlarged(tutorial.view.rgb[y0:y1, x0:x1])
    mask = enlarged(255 * contact[y0:y1, x0:x1].astype(np.uint8)) > 127
    outlines = cv2.findContours(mask.view(np.uint8), cv2.RETR_LIST, cv2.CHAIN_APPROX_NONE)[0]
    cv2.drawContours(rgb, outlines, -1, OUTLINE, 1, cv2.LINE_AA)
    for x, y in (tutorial.view.to_view(centres_mm) - (x0, y0) + 0.5) * ENLARGED:
        cv2.circle(rgb, (round(x), round(y)), 5, (255, 255, 255), -1, cv2.LINE_AA)
        cv2.circle(rgb, (round(x), round(y)), 3, CENTRE, -1, cv2.LINE_AA)
    return rgb


def enlarged(picture: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Return a picture enlarged for the eye."""
    size = (picture.shape[1] * ENLARGED, picture.shape[0] * ENLARGED)
    return np.asarray(cv2.resize(picture, size, interpolation=cv2.INTER_CUBIC), np.uint8)


def save(picture: NDArray[np.uint8], name: str, width_px: int) -> None:
    """Write a picture into docs/images, at most `width_px` wide."""
    image = Image.fromarray(picture)
    image.thumbnail((width_px, width_px))
    image.save(DOCS / "images" / f"{name}.jpg", quality=QUALITY)


def page(tutorial: Tutorial) -> str:
    """Return the tutorial with its numbers filled in."""
    rows = tutorial.rows
    known = tutorial.shot.truth
    pieces = tutorial.naive_pieces()
    table = [
        "| step | points | error | contact | error | F1 |",
        "| --- | ---: | ---: | ---: | ---: | ---: |",
        *(
            f"| {r.step} | {r.points} | {r.points_error_percent:+.1f} % "
            f"| {r.contact_percent:.1f} % | {r.contact_error:+.1f} | {r.f1:.3f} |"
            for r in rows
        ),
    ]
    values = {
        "points": len(known.points),
        "hollow": int(known.points["hollow"].sum()),
        "touching": int(known.points["touching"].sum()),
        "contact": f"{known.contact_percent:.1f}",
        "ppsi": f"{known.points_per_square_inch:.1f}",
        "naive_points": rows[0].points,
        "naive_error": f"{rows[0].points_error_percent:+.0f}",
        "naive_contact": f"{rows[0].contact_percent:.1f}",
        "own_points": rows[-1].points,
        "own_contact": f"{rows[-1].contact_percent:.1f}",
        "thirds_truth": _three(tutorial.thirds(tutorial.truth)),
        "thirds_naive": _three(tutorial.thirds(tutorial.naive)),
        "thirds_own": _three(tutorial.thirds(tutorial.reading.contact_mask)),
        "contact_interval": _interval(tutorial.reading.contact_interval),
        "ppsi_interval": _interval(tutorial.reading.ppsi_interval),
        "own_ppsi": f"{tutorial.reading.points_per_square_inch:.1f}",
        "table": "\n".join(table),
        **{f"naive_{name}": number for name, number in pieces.items()},
    }
    return TEMPLATE.read_text(encoding="utf-8").format(**values)


def _three(values: tuple[float, float, float]) -> str:
    return " / ".join(f"{v:.1f} %" for v in values)


def _interval(interval: Interval) -> str:
    return f"{interval.low:.1f} to {interval.high:.1f}"


def write_tutorial() -> None:
    """Write the page and its pictures."""
    tutorial = Tutorial()
    save(tutorial.shot.rgb, "tutorial-photo", 1000)
    save(compared(tutorial, tutorial.naive), "tutorial-naive", 880)
    share = np.clip(255 * (1 - tutorial.film.share / 1.2), 0, 255).astype(np.uint8)
    save(on_face(tutorial, np.stack([share] * 3, axis=-1)), "tutorial-film", 880)
    save(compared(tutorial, tutorial.reading.contact_mask), "tutorial-mended", 880)
    save(detail(tutorial), "tutorial-detail", 1800)
    (DOCS / "tutorial.md").write_text(page(tutorial), encoding="utf-8")


if __name__ == "__main__":
    write_tutorial()
