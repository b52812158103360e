"""The fields of a plane as plain lists and numbers, and back."""

from collections.abc import Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

from scrapeview.photo.patches import Patches

Array = NDArray[np.float64]

KINDS = ("corners", "circle", "length", "card", "tiles", "map")
_FEWEST_CORNERS = 3


def stored_fields(values: Mapping[str, Any]) -> dict[str, Any]:
    """Plain lists and numbers for a plane's fields; those added later only where they say more.

    So a plane from picks is stored as it always was.
    """
    stored = {
        "kind": values["kind"],
        "mm_to_px": values["mm_to_px"].tolist(),
        "residual_mm": values["residual_mm"],
        "pick_error_mm": values["pick_error_mm"],
        "face_mm": [outline.tolist() for outline in values["face_mm"]],
    }
    if values["hidden_mm"]:
        stored["hidden_mm"] = [polygon.tolist() for polygon in values["hidden_mm"]]
    if values["patches"] is not None:
        stored["patches"] = values["patches"].as_dict()
    if values["covariance"] is not None:
        stored["covariance"] = values["covariance"].tolist()
    for name in ("position_error_mm", "scale_error", "placed_residual_mm"):
        if values[name]:
            stored[name] = values[name]
    if values["notes"]:
        stored["notes"] = list(values["notes"])
    return stored


def fields_from(stored: Mapping[str, Any]) -> dict[str, Any]:
    """Return the fields of a plane from what `stored_fields` gave.

    Raises
    ------
    KeyError, TypeError, ValueError
        If a key is missing or its value is not what `stored_fields` writes.
    """
    values: dict[str, Any] = {
        "kind": stored["kind"],
        "mm_to_px": _numbers(stored["mm_to_px"], (3, 3)),
        "face_mm": _polygons(stored["face_mm"]),
        "hidden_mm": _polygons(stored.get("hidden_mm", [])),
        "notes": _texts(stored.get("notes", [])),
        "residual_mm": _error(stored["residual_mm"]),
        "pick_error_mm": _error(stored["pick_error_mm"]),
    }
    if values["kind"] not in KINDS:
        raise ValueError(f"kind {str(stored['kind'])[:20]!r}")
    if "patches" in stored:
        values["patches"] = Patches.from_dict(stored["patches"])
    if "covariance" in stored:
        values["covariance"] = _numbers(stored["covariance"], (9, 9))
        if (values["covariance"].diagonal() < 0).any():
            raise ValueError("a variance below 0")
    for name in ("position_error_mm", "scale_error", "placed_residual_mm"):
        values[name] = _error(stored.get(name, 0.0))
    return values


def _error(stored: Any) -> float:
    value = float(stored)
    if not 0 <= value < np.inf:
        raise ValueError(f"an error of {value:g}")
    return value


def _numbers(stored: Any, shape: tuple[int, int]) -> Array:
    values = np.array(stored, dtype=float).reshape(shape)
    if not np.isfinite(values).all():
        raise ValueError("a number that is none")
    return values


def _texts(stored: Any) -> tuple[str, ...]:
    if not isinstance(stored, list):
        raise TypeError("notes that are no list")
    return tuple(str(note) for note in stored)


def _polygons(stored: Any) -> tuple[Array, ...]:
    return tuple(_polygon(polygon) for polygon in stored)


def _polygon(stored: Any) -> Array:
    if len(stored) < _FEWEST_CORNERS:
        raise ValueError("an outline of fewer than three corners")
    return _numbers(stored, (len(stored), 2))
