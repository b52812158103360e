"""One list of flags a bearing point can carry; code, exports, docs and legends read it."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Flag:
    """A flag of a point: its column name and what it means."""

    name: str
    meaning: str


FLAGS = (
    Flag("edge", "touches the edge of the face or of an opening"),
    Flag("hollow", "a ring whose rubbed-bright middle was counted as contact"),
    Flag("split", "told apart from a touching point at a neck"),
    Flag("merged", "part of a patch larger than one point can be: its count is unreliable"),
    Flag("glare", "touches a place where glare leaves nothing to judge by"),
    Flag("faint", "its film is much thinner than the print's film elsewhere"),
    Flag("by_hand", "added, joined or parted by hand"),
)
FLAG_NAMES = tuple(flag.name for flag in FLAGS)
