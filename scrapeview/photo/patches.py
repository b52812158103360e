"""White and grey patches of a printed card as the photograph shows them, and what they tell."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from scrapeview.photo.checks import Check, CheckCode, severity_of
from scrapeview.photo.srgb import linear_light

Kind = Literal["white", "grey"]

PATCH_CODES = (
    CheckCode(
        "card_clipped", "%", 5.0, float("inf"),
        "Share of the card's white patches where a channel is at its upper end.",
    ),
    CheckCode(
        "card_dark", "%", 20.0, 8.0,
        "Light of the card's white in the photo, of the most it can hold; less is worse.",
    ),
    CheckCode(
        "colour_cast", "%", 20.0, 50.0,
        "How much more of its strongest than of its weakest colour the card's white and grey have.",
    ),
    CheckCode(
        "mixed_light", "%", 15.0, 40.0,
        "How much the colour of the light, red by blue, differs over the card.",
    ),
    CheckCode(
        "card_uneven", "times", 1.6, 2.5,
        "Light on the card's brightest patch over that on its darkest of the same kind.",
    ),
)  # fmt: skip
"""What a card's patches tell, in the order it is given; limits are ours, no source."""

_BY_CODE = {code.code: code for code in PATCH_CODES}
_WHOLLY_CLIPPED = 60.0
"""Share of a patch from which on it tells nothing of colour, %; ours, no source."""
_LEAST_LIGHT = 1e-3
_NOTED, _NOTED_CAST = 1.2, 5.0
_COLOURS = ("red", "green", "blue")


@dataclass(frozen=True)
class PatchSeen:
    """One patch.

    Attributes
    ----------
    kind : {"white", "grey"}
    x_px, y_px : float
        Its middle, in full-size photo pixels.
    red, green, blue : float
        sRGB values, 0-255, of its mean light; of what is not clipped, where some is.
    clipped_percent : float
        Share of it with a channel at its upper end.
    """

    kind: Kind
    x_px: float
    y_px: float
    red: float
    green: float
    blue: float
    clipped_percent: float


@dataclass(frozen=True)
class Patches:
    """The patches of a card that can be seen.

    Attributes
    ----------
    seen : tuple of PatchSeen
    covered : int
        How many are not to be seen: covered, torn or outside the photo.
    """

    seen: tuple[PatchSeen, ...]
    covered: int = 0

    def rgb_of(self, kind: Kind) -> NDArray[np.float64]:
        """Return the mean sRGB values (3,), 0-255, of one kind's patches; empty without any."""
        values = [(p.red, p.green, p.blue) for p in self.seen if p.kind == kind]
        return np.mean(values, axis=0) if values else np.empty(0)

    def as_dict(self) -> dict[str, Any]:
        """Plain lists and numbers that survive JSON without loss."""
        return {"seen": [asdict(patch) for patch in self.seen], "covered": self.covered}

    @classmethod
    def from_dict(cls, stored: Mapping[str, Any]) -> "Patches":
        """Return the patches that `as_dict` gave.

        Raises
        ------
        KeyError, TypeError, ValueError
            If something is missing or is not what `as_dict` writes.
        """
        seen = [PatchSeen(**patch) for patch in stored["seen"]]
        return cls(tuple(_checked(patch) for patch in seen), int(stored["covered"]))


def _checked(patch: PatchSeen) -> PatchSeen:
    numbers = (patch.x_px, patch.y_px, patch.red, patch.green, patch.blue, patch.clipped_percent)
    if patch.kind not in ("white", "grey") or not np.isfinite(numbers).all():
        raise ValueError(f"not a patch: {patch!r}")
    return patch


def patch_checks(patches: Patches | None) -> tuple[Check, ...]:
    """Judge exposure and colour of the light by a card's white and grey patches.

    Parameters
    ----------
    patches : Patches or None

    Returns
    -------
    tuple of Check
        One for each of `PATCH_CODES` that the patches seen can tell; empty without any.
    """
    if patches is None or not patches.seen:
        return ()
    checks = [*_exposure(patches)]
    coloured = [patch for patch in patches.seen if patch.clipped_percent < _WHOLLY_CLIPPED]
    if coloured:
        checks.append(_cast(coloured))
    if len(coloured) > 1:
        checks += [_mixed(coloured), _unevenness(coloured)]
    return tuple(checks)


def _exposure(patches: Patches) -> list[Check]:
    white = [patch for patch in patches.seen if patch.kind == "white"]
    if not white:
        return []
    clipped = float(np.mean([patch.clipped_percent for patch in white]))
    light = 100 * float(np.mean([_light(patch).mean() for patch in white]))
    dark_limits = _BY_CODE["card_dark"]
    dark = severity_of(-light, -dark_limits.warn, -dark_limits.bad)
    return [
        _check(
            "card_clipped",
            clipped,
            f"{clipped:.0f} % of the card's white is overexposed",
            "expose for less light, or move the lamp until the shine is off the card.",
        ),
        Check(
            "card_dark", dark, light, "%",
            f"The card's white has {light:.0f} % of the light the photo can hold"
            + (
                ": bright enough."
                if dark == "ok"
                else ": bring more light onto the face, or expose longer."
            ),
        ),
    ]  # fmt: skip


def _cast(coloured: list[PatchSeen]) -> Check:
    tint = _tints(coloured).mean(axis=0)
    percent = 100 * (float(tint.max() / tint.min()) - 1)
    strong, weak = _COLOURS[int(tint.argmax())], _COLOURS[int(tint.argmin())]
    return _check(
        "colour_cast",
        percent,
        f"White and grey have {percent:.0f} % more {strong} than {weak}"
        if percent >= _NOTED_CAST
        else f"White and grey are neutral within {_NOTED_CAST:.0f} %",
        "turn the flash off, use one kind of light and let the camera set its white balance.",
    )


def _mixed(coloured: list[PatchSeen]) -> Check:
    tints = _tints(coloured)
    red_by_blue = tints[:, 0] / tints[:, 2]
    percent = 100 * (float(red_by_blue.max() / red_by_blue.min()) - 1)
    return _check(
        "mixed_light",
        percent,
        f"The light's colour differs by {percent:.0f} % over the card",
        "use one kind of light: shade the window or turn the lamp off.",
    )


def _unevenness(coloured: list[PatchSeen]) -> Check:
    usual = {
        kind: np.mean([_light(p).mean() for p in coloured if p.kind == kind] or [1.0])
        for kind in ("white", "grey")
    }
    shares = np.array([_light(patch).mean() / usual[patch.kind] for patch in coloured])
    times = float(shares.max() / shares.min())
    brightest, darkest = coloured[int(shares.argmax())], coloured[int(shares.argmin())]
    return _check(
        "card_uneven",
        times,
        f"The card's {_side(brightest, darkest)} side gets {times:.1f} times the light of the other"
        if times >= _NOTED
        else f"The light on the card is even within {times:.1f} times",
        "move the lamp further off, or light the face from two sides.",
    )


def _side(brightest: PatchSeen, darkest: PatchSeen) -> str:
    """Which side of the photo a patch lies on, from another."""
    right, down = brightest.x_px - darkest.x_px, brightest.y_px - darkest.y_px
    if abs(right) >= abs(down):
        return "right" if right > 0 else "left"
    return "lower" if down > 0 else "upper"


def _light(patch: PatchSeen) -> NDArray[np.float64]:
    return np.maximum(linear_light((patch.red, patch.green, patch.blue)), _LEAST_LIGHT)


def _tints(patches: list[PatchSeen]) -> NDArray[np.float64]:
    light = np.array([_light(patch) for patch in patches])
    return np.asarray(light / light.mean(axis=1, keepdims=True))


def _check(code: str, figure: float, found: str, advice: str) -> Check:
    limits = _BY_CODE[code]
    severity = severity_of(figure, limits.warn, limits.bad)
    return Check(
        code, severity, figure, limits.unit, f"{found}{'.' if severity == 'ok' else ': ' + advice}"
    )
