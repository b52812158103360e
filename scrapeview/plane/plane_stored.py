"""The fields of a plane as plain lists and numbers, and back."""

from collections.abc import Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

from scrapeview.photo.patches import Patches

Array = NDArray[np.float64]


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
        "kind": str(stored["kind"]),
        "mm_to_px": np.array(stored["mm_to_px"], dtype=float).reshape(3, 3),
        "residual_mm": float(stored["residual_mm"]),
        "pick_error_mm": float(stored["pick_error_mm"]),
        "face_mm": _polygons(stored["face_mm"]),
        "hidden_mm": _polygons(stored.get("hidden_mm", [])),
        "notes": tuple(str(note) for note in stored.get("notes", [])),
    }
    if "patches" in stored:
        values["patches"] = Patches.from_dict(stored["patches"])
    if "covariance" in stored:
        values["covariance"] = np.array(stored["covariance"], dtype=float).reshape(9, 9)
    for name in ("position_error_mm", "scale_error", "placed_residual_mm"):
        values[name] = float(stored.get(name, 0.0))
    return values


def _polygons(stored: Any) -> tuple[Array, ...]:
    return tuple(np.array(polygon, dtype=float).reshape(-1, 2) for polygon in stored)
