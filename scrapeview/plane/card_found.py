"""The plane of a face from the printed card that lies on it."""

from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from scrapeview.errors import PlaneError
from scrapeview.photo import Photo
from scrapeview.plane import plane_error
from scrapeview.plane.bounds import box_corners
from scrapeview.plane.cards import BORDER_MM, CARDS, TILES, FrameCard, PaperScale
from scrapeview.plane.from_picks import one_pixel_mm
from scrapeview.plane.homography_fit import Fitted, fit_homography
from scrapeview.plane.markers import FoundMarker, Markers, all_markers, is_mirrored
from scrapeview.plane.patches_found import patches_of
from scrapeview.plane.projective import apply_homography
from scrapeview.plane.stretched import least_stretch

Array = NDArray[np.float64]

_FEWEST = 2
_FAR_OFF = 5.0
"""Standard errors from which on a marker does not lie where it should."""
_USUAL = 3.0
"""Times the usual from which on something is off."""
_SURE = 3.0
_ROUNDS = 4
_LOOSEST_MM = 0.08
"""Largest residual of a card that was printed as drawn and lies flat; ours, no source."""
_STRETCHED = 0.015
"""From which on a card longer one way than the other is no accident; ours, no source."""


_OUTLIERS = 0.3
"""Share of the markers that may lie where the others do not have them; ours, no source."""


@dataclass(frozen=True, eq=False)
class _Seen:
    """Markers of a card, in the order of their numbers, and where the drawing has them."""

    ids: NDArray[np.intp]
    mm: Array
    px: Array
    error_px: Array

    def only(self, keep: NDArray[np.bool_]) -> "_Seen":
        return _Seen(self.ids[keep], self.mm[keep], self.px[keep], self.error_px[keep])

    def fit(self, *, robust: bool = False) -> Fitted:
        return fit_homography(
            self.mm.reshape(-1, 2),
            self.px.reshape(-1, 2),
            np.repeat(self.error_px, 4),
            robust=robust,
        )


class _Solved(NamedTuple):
    seen: _Seen
    fit: Fitted
    left_out: tuple[int, ...]


def plane_by_card(photo: Photo, card: str | FrameCard | None, paper: PaperScale) -> dict[str, Any]:
    """Return the fields of a plane from the card in a photo; as `Plane.from_card`."""
    markers = all_markers(photo)
    chosen = _chosen(markers, card, photo)
    solved = _solved(_seen(markers.found, chosen, paper), chosen)
    _require_fit(solved, chosen)
    stretch = _stretch(solved, chosen, photo)
    fit, mm_to_px = solved.fit, solved.fit.mm_to_px
    window = box_corners((0, 0, chosen.window_mm, chosen.window_mm)) * paper.scale
    errors = plane_error.position_errors_mm(mm_to_px, fit.covariance, window)
    return {
        "kind": "card",
        "mm_to_px": mm_to_px,
        "residual_mm": _rms(_off_mm(solved.seen, fit)),
        "pick_error_mm": one_pixel_mm(mm_to_px, window),
        "face_mm": (window,),
        "hidden_mm": _frame(chosen, paper),
        "patches": patches_of(photo, chosen, mm_to_px, paper),
        "position_error_mm": float(errors.max()),
        "scale_error": float(np.hypot(paper.error, stretch / 2)),
        "covariance": fit.covariance,
        "notes": _notes(chosen, solved, markers),
    }


def _chosen(markers: Markers, card: str | FrameCard | None, photo: Photo) -> FrameCard:
    """Return the card that lies there and is meant."""
    asked = _named(card) if card is not None else None
    cards = [*CARDS.values(), *([asked] if isinstance(asked, FrameCard) else [])]
    seen = {marker.id for marker in markers.found}
    shown = {one.name: one for one in cards if len(seen & set(one.markers_mm)) >= 1}
    if asked is not None and asked.name in shown:
        return asked
    if not shown:
        raise PlaneError(_none_seen(markers, photo))
    if asked is not None:
        raise PlaneError(
            f"The photograph shows {_text(next(iter(shown.values())))}, not {_text(asked)}: "
            "choose the card that lies there."
        )
    if len(shown) > 1:
        raise PlaneError(
            f"{' and '.join(_text(one) for one in shown.values())} both lie there: say which one "
            "is meant, or take the other away."
        )
    return next(iter(shown.values()))


def _named(card: str | FrameCard) -> FrameCard:
    if isinstance(card, FrameCard):
        return card
    if card not in CARDS:
        raise PlaneError(f"There is no card '{card}': choose {' or '.join(CARDS)}.")
    return CARDS[card]


def _text(card: FrameCard) -> str:
    return {"inch": "the one-inch card", "25mm": "the 25 mm card"}.get(
        card.name, f"the card '{card.name}'"
    )


def _none_seen(markers: Markers, photo: Photo) -> str:
    if markers.found and any(m.id in tiles.ids for m in markers.found for tiles in TILES.values()):
        return "The photograph shows tiles but no scale card: choose tiles, or lay the card there."
    if not markers.found and is_mirrored(photo):
        return (
            "The photograph is mirrored: turn off what flips the camera's pictures and photograph "
            "again."
        )
    return (
        "No scale card can be seen in the photograph: lay it flat on the face, whole in the "
        "picture, in focus and without glare."
    )


def _seen(found: tuple[FoundMarker, ...], card: FrameCard, paper: PaperScale) -> _Seen:
    own = [marker for marker in found if marker.id in card.markers_mm]
    if len(own) < _FEWEST:
        raise PlaneError(
            f"Only one of the {len(card.markers_mm)} markers of {_text(card)} can be read, and "
            "two are needed: uncover it, get the glare off it or focus on it."
        )
    mm = np.array([card.markers_mm[marker.id] for marker in own]) * paper.scale
    px = np.array([marker.corners_px for marker in own])
    error = np.array([marker.corner_error_px(card.marker_mm * paper.scale) for marker in own])
    return _Seen(np.array([marker.id for marker in own]), mm, px, error)


def _solved(seen: _Seen, card: FrameCard) -> _Solved:
    """Fit the markers, leaving out what lies far from where the others have it."""
    keep = np.ones(len(seen.ids), dtype=bool)
    fit = seen.fit(robust=True)
    for _ in range(_ROUNDS):
        off = np.linalg.norm(_gaps(seen, fit), axis=2).max(axis=1) / seen.error_px
        now = off <= max(_FAR_OFF, _USUAL * float(np.median(off)))
        if (now == keep).all() or now.sum() < _FEWEST:
            break
        keep = now
        fit = seen.only(keep).fit(robust=True)
    if (~keep).mean() > _OUTLIERS:
        raise PlaneError(_misfit(_rms(_off_mm(seen, fit)), card))
    kept = seen.only(keep)
    return _Solved(kept, kept.fit(), tuple(int(i) for i in seen.ids[~keep]))


def _gaps(seen: _Seen, fit: Fitted) -> Array:
    """Where the photo shows corners less where a fit has them, (M, 4, 2), px."""
    fitted = apply_homography(fit.mm_to_px, seen.mm.reshape(-1, 2))
    return np.asarray(seen.px - fitted.reshape(-1, 4, 2))


def _off_mm(seen: _Seen, fit: Fitted) -> Array:
    """How far (M, 4) corners lie from where a fit has them, mm."""
    places = apply_homography(np.linalg.inv(fit.mm_to_px), seen.px.reshape(-1, 2))
    return np.linalg.norm(places.reshape(-1, 4, 2) - seen.mm, axis=2)


def _rms(values: Array) -> float:
    return float(np.sqrt(np.mean(np.square(values))))


def _require_fit(solved: _Solved, card: FrameCard) -> None:
    """Refuse a card whose markers do not lie as it is drawn."""
    residual = _rms(_off_mm(solved.seen, solved.fit))
    doubt = _rms(solved.seen.error_px) * one_pixel_mm(
        solved.fit.mm_to_px, solved.seen.mm.reshape(-1, 2)
    )
    if residual > max(_LOOSEST_MM, _USUAL * doubt):
        raise PlaneError(_misfit(residual, card))


def _misfit(residual_mm: float, card: FrameCard) -> str:
    return (
        f"The markers lie {residual_mm:.2f} mm off where {_text(card)} has them: it does not lie "
        "flat, or was not printed as drawn. Lay it flat, or print it again without fitting it to "
        "the page."
    )


def _stretch(solved: _Solved, card: FrameCard, photo: Photo) -> float:
    """Return by how much the paper must be longer one way than the other for a camera to see it so.

    Raises
    ------
    PlaneError
        Where that is no accident.
    """
    fit = solved.fit
    stretch, error = least_stretch(fit.mm_to_px, fit.covariance, photo.full_size_px)
    beyond = abs(stretch) - _SURE * error
    if beyond > _STRETCHED:
        # a stretch about the middle, the same for all corners
        residual = abs(stretch) / 2 * _rms(solved.seen.mm - solved.seen.mm.mean(axis=(0, 1)))
        longer = "its width" if stretch > 0 else "its height"
        raise PlaneError(
            f"{_text(card).capitalize()} is {100 * abs(stretch):.1f} % longer along {longer} than "
            f"drawn, which puts its markers {residual:.2f} mm off: print it again at true size, or "
            "give the photograph as the camera took it if it was cropped."
        )
    return max(0.0, beyond)


def _frame(card: FrameCard, paper: PaperScale) -> tuple[Array, ...]:
    """Return the card less its window, as four rectangles, mm."""
    x0, y0, x1, y1 = (v * paper.scale for v in card.outer_mm)
    x0, y0, x1, y1 = x0 - BORDER_MM, y0 - BORDER_MM, x1 + BORDER_MM, y1 + BORDER_MM
    side = card.window_mm * paper.scale
    boxes = (x0, y0, x1, 0.0), (side, 0.0, x1, side), (x0, side, x1, y1), (x0, 0.0, 0.0, side)
    return tuple(box_corners(box) for box in boxes)


def _notes(card: FrameCard, solved: _Solved, markers: Markers) -> tuple[str, ...]:
    numbers = sorted(card.markers_mm)
    notes = []
    if solved.left_out:
        places = ", ".join(str(numbers.index(number) + 1) for number in solved.left_out)
        notes.append(
            f"Left out of the card: marker {places}, clockwise from its top left, which does not "
            "lie where the others have it."
        )
    doubled = [number for number in markers.doubled if number in card.markers_mm]
    if doubled:
        places = ", ".join(str(numbers.index(number) + 1) for number in doubled)
        notes.append(f"Left out of the card: marker {places}, which is there more than once.")
    missing = len(numbers) - len(solved.seen.ids) - len(solved.left_out) - len(doubled)
    if missing:
        notes.append(f"{missing} of the card's {len(numbers)} markers cannot be seen.")
    return tuple(notes)
