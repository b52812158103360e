"""Each step of the tutorial's reading, with how far it is from the truth."""

from dataclasses import dataclass
from functools import cached_property

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from scrapeview import Settings
from scrapeview.bearing import Bearing, find_points
from scrapeview.film import Film, read_film
from scrapeview.photo import load_photo
from scrapeview.plane import Plane, View, face_from, view_square_on
from scrapeview.result import Reading
from scrapeview.simulate import SCENES, Rendered, render
from scrapeview.simulate.cases import case_of
from scrapeview.simulate.scoring import f1_score
from scrapeview.simulate.textbook import GreyFace, otsu_mask

SCENE = SCENES["plain"].with_(
    shape={"size_mm": (160.0, 110.0)},
    marks={
        "points_per_square_inch": 13.0,
        "cover_percent": 28.0,
        "hollow_share": 0.3,
        "touching_share": 0.25,
    },
    metal={"strokes": 0.2, "stroke_cover": 0.8},
    light={"gradient": 2.6, "gradient_deg": 10.0},
    camera={"px_per_mm": 9.0, "sharpening": 0.3},
)
SEED = 5

Mask = NDArray[np.bool_]


@dataclass(frozen=True)
class Row:
    """What one step of the tutorial arrives at."""

    step: str
    points: int
    points_error_percent: float
    contact_percent: float
    contact_error: float
    f1: float


class Tutorial:
    """The photograph of the tutorial, and each step of its reading."""

    def __init__(self) -> None:
        self.shot: Rendered = render(SCENE, seed=SEED)
        self.settings = Settings()
        plane = Plane.from_corners(self.shot.corners_px, size_mm=self.shot.size_mm)
        photo = load_photo(self.shot.jpeg)
        face = face_from(plane, photo.full_size_px)
        self.view: View = view_square_on(
            photo,
            plane,
            face.bounds_mm,
            px_per_mm=self.settings.view_px_per_mm,
            margin_mm=self.settings.margin_mm,
        )
        self.regions = np.where(self.view.valid, face.masks(self.view), 0).astype(np.int16)
        self.inside: Mask = self.regions > 0

    @cached_property
    def naive(self) -> Mask:
        """Dark pixels by Otsu's threshold of the grey values."""
        grey = np.asarray(cv2.cvtColor(self.view.rgb, cv2.COLOR_RGB2GRAY), np.uint8)
        return otsu_mask(GreyFace(grey, self.inside, self.view.px_per_mm, self.view.origin_mm))

    @cached_property
    def film(self) -> Film:
        """The film as the pipeline finds it."""
        return read_film(self.view.rgb, self.inside, self.view.px_per_mm, marking="blue")

    @cached_property
    def truth(self) -> Mask:
        """True contact on the grid of the view."""
        known = self.shot.truth
        h, w = self.inside.shape
        y, x = np.mgrid[0:h, 0:w]
        xy_mm = self.view.to_mm(np.stack((x.ravel(), y.ravel()), axis=1))
        columns, rows = np.rint((xy_mm - known.mask_origin_mm) * known.mask_px_per_mm).astype(int).T
        height, width = known.contact_mask.shape
        held = (columns >= 0) & (columns < width) & (rows >= 0) & (rows < height)
        seen = np.zeros(h * w, bool)
        seen[held] = known.contact_mask[rows[held], columns[held]]
        return seen.reshape(h, w) & self.inside

    @cached_property
    def reading(self) -> Reading:
        """What `read_print` makes of the photograph."""
        return case_of("tutorial", self.shot).read()

    @property
    def least_px(self) -> float:
        """Pixels of the smallest mark that counts."""
        return float(np.pi / 4 * (self.settings.smallest_point_mm * self.view.px_per_mm) ** 2)

    @cached_property
    def found(self) -> Bearing:
        """Contact and points as the pipeline finds them in the film."""
        return find_points(
            self.film.marked,
            self.regions,
            self.view.valid,
            self.film.washed_out,
            self.film.share,
            self.view.px_per_mm,
            self.view.origin_mm,
            smallest_point_mm=self.settings.smallest_point_mm,
            largest_point_mm=self.settings.largest_point_mm,
            neck_depth_mm=self.settings.neck_depth_mm,
        )

    @cached_property
    def rows(self) -> list[Row]:
        """Every step, the naive one first."""
        film = self.film.marked & self.inside
        filled = film | self.found.middles
        labelled = {
            "Otsu of the grey picture, connected marks": connected(self.naive),
            "film instead of grey": connected(film),
            "rubbed middles filled": connected(filled),
            "marks too small to count left out": self._without_small(connected(filled)),
            "touching points split": self.found.labels,
        }
        centres_mm = self.found.points[["x_mm", "y_mm"]].to_numpy(dtype=np.float64)
        return [
            *(self._row(name, self.centres_mm(of), of > 0) for name, of in labelled.items()),
            self._row("points counted where their centre lies", centres_mm, self.found.contact),
        ]

    def thirds(self, contact: Mask) -> tuple[float, float, float]:
        """Contact in percent of the left, middle and right third of the face."""
        columns = np.flatnonzero(self.inside.any(axis=0))
        parts = np.array_split(columns, 3)
        left, middle, right = (100 * float(contact[:, p][self.inside[:, p]].mean()) for p in parts)
        return left, middle, right

    def naive_pieces(self) -> dict[str, int]:
        """What the connected marks of the naive threshold are."""
        labels = connected(self.naive)
        areas = np.bincount(labels.ravel())
        cross = ndimage.binary_erosion(self.inside, border_value=0)
        at_edge = np.unique(labels[self.inside & ~cross])
        known = self._known_labels(labels)
        return {
            "specks": int((areas[1:] < self.least_px).sum()),
            "edge": int((at_edge > 0).sum()),
            "merging": int((np.bincount(known[known > 0]) > 1).sum()),
        }

    def _without_small(self, labels: NDArray[np.int32]) -> NDArray[np.int32]:
        keep = np.bincount(labels.ravel()) >= self.least_px
        return np.where(keep[labels], labels, 0).astype(np.int32)

    def _known_labels(self, labels: NDArray[np.int32]) -> NDArray[np.int32]:
        xy = self.view.to_view(self.shot.truth.points[["x_mm", "y_mm"]].to_numpy(dtype=np.float64))
        columns, rows = np.rint(xy).astype(int).T
        h, w = labels.shape
        return labels[np.clip(rows, 0, h - 1), np.clip(columns, 0, w - 1)]

    def centres_mm(self, labels: NDArray[np.int32]) -> NDArray[np.float64]:
        """Centres of all labels, (n, 2) in mm."""
        numbers = np.unique(labels[labels > 0])
        centres = ndimage.center_of_mass(labels > 0, labels, numbers)
        return self.view.to_mm(np.reshape(centres, (-1, 2))[:, ::-1])

    def _row(self, step: str, centres_mm: NDArray[np.float64], contact: Mask) -> Row:
        known = self.shot.truth.points[["x_mm", "y_mm", "area_mm2"]].to_numpy(dtype=np.float64)
        percent = 100 * float((contact & self.inside).sum() / self.inside.sum())
        return Row(
            step,
            len(centres_mm),
            100 * (len(centres_mm) / len(known) - 1),
            percent,
            percent - self.shot.truth.contact_percent,
            f1_score(centres_mm, known),
        )


def connected(mask: Mask) -> NDArray[np.int32]:
    """Return labels of connected marks, over edges and corners; 0 where there is none."""
    return np.asarray(ndimage.label(mask, np.ones((3, 3)))[0], dtype=np.int32)
