"""White and grey patches of a printed card as the photograph shows them."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

Kind = Literal["white", "grey"]


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
