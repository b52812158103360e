"""The sample photographs of the invented job: where they are and what is needed to read them."""

import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from scrapeview.errors import ReadingError
from scrapeview.plane import Plane
from scrapeview.reading import read_print
from scrapeview.result import Reading
from scrapeview.settings import Settings

FOLDER_NAME = "sample_images"


@dataclass(frozen=True, eq=False)
class Sample:
    """A sample photograph and what is known of it.

    Attributes
    ----------
    photo : Path
    title : str
    pass_number : int or None
        None for single photographs.
    plane : Plane
    marking : str
    openings_mm : tuple of (N, 2) arrays
    true_contact_percent, true_points_per_square_inch : float
        As computed when the picture was.
    counted : str
        What the true number of points counts.
    """

    photo: Path
    title: str
    pass_number: int | None
    plane: Plane
    marking: str
    openings_mm: tuple[NDArray[np.float64], ...]
    true_contact_percent: float
    true_points_per_square_inch: float
    counted: str

    @property
    def name(self) -> str:
        """Name of the photograph's file, without its ending."""
        return self.photo.stem

    def read(self, settings: Settings | None = None) -> Reading:
        """Read the photograph."""
        return read_print(
            self.photo, plane=self.plane, marking=self.marking,
            openings_mm=self.openings_mm, settings=settings,
        )  # fmt: skip


def find_samples(folder: Path | None = None) -> tuple[Sample, ...]:
    """Return the samples: the series in order of its passes, then the single photographs.

    Parameters
    ----------
    folder : Path, optional
        Where they lie; else the checkout's own folder, then one of that name where the command
        was started.

    Raises
    ------
    ReadingError
        Where there is no such folder, or it holds no samples or damaged ones.
    """
    folder = folder or _own_folder()
    try:
        found = sorted(folder.glob("*.json"))
    except (OSError, ValueError) as error:
        raise ReadingError(f"The folder '{folder}' cannot be looked into: {error}.") from None
    if not found:
        raise ReadingError(f"There are no sample photographs in '{folder}': choose their folder.")
    samples = [_sample(path) for path in found]
    return tuple(sorted(samples, key=_order))


def _order(sample: Sample) -> tuple[bool, int, str]:
    return sample.pass_number is None, sample.pass_number or 0, sample.name


def _own_folder() -> Path:
    places = Path(__file__).resolve().parents[1] / FOLDER_NAME, Path.cwd() / FOLDER_NAME
    for place in places:
        if place.is_dir():
            return place
    raise ReadingError(
        f"The sample photographs are not installed along: start in a checkout that has the folder "
        f"{FOLDER_NAME}, or say where it is."
    )


def _sample(path: Path) -> Sample:
    try:
        told: dict[str, Any] = json.loads(path.read_text(encoding="utf-8"))
        number = told["pass"]
        return Sample(
            photo=path.with_suffix(".jpg"),
            title=str(told["title"]),
            pass_number=None if number is None else int(number),
            plane=Plane.from_corners(told["corners_px"], size_mm=told["size_mm"]),
            marking=str(told["marking"]),
            openings_mm=tuple(np.array(o, dtype=float) for o in told["openings_mm"]),
            true_contact_percent=float(told["truth"]["contact_percent"]),
            true_points_per_square_inch=float(told["truth"]["points_per_square_inch"]),
            counted=str(told["truth"]["counted"]),
        )
    except (OSError, ValueError, TypeError, LookupError, RecursionError) as error:
        raise ReadingError(
            f"'{path}' does not describe a sample photograph: {type(error).__name__}, {error}."
        ) from None
