"""What an archive may hold: the names of its members, their kinds and how large each may be."""

import re
from dataclasses import dataclass

from scrapeview.errors import ArchiveError

MANIFEST = "manifest.json"
RECORD = "record.json"
SUFFIXES = {"JPEG": "jpg", "PNG": "png", "TIFF": "tif", "WEBP": "webp", "HEIC": "heic"}
"""Ending of a photograph's member by its kind."""
MAX_MEMBERS = 200_000
MAX_TOTAL_BYTES = 64 * 2**30
"""Of all members together, unpacked."""
MAX_RATIO = 100
"""How many bytes one packed byte may become; what packs better is stored as it is."""
MOST_JSON_BYTES = 2**25
"""Of one member that is parsed whole, which takes up to twenty times that in memory."""
SMALL_BYTES = 2**16
"""Up to this size the ratio does not matter."""


@dataclass(frozen=True)
class MemberKind:
    """A kind of member.

    Parameters
    ----------
    name : str
    pattern : re.Pattern
        Of its members' whole names.
    most_bytes : int
        Unpacked.
    """

    name: str
    pattern: re.Pattern[str]
    most_bytes: int


_KINDS = (
    MemberKind("manifest", re.compile(r"manifest\.json"), MOST_JSON_BYTES),
    MemberKind("record", re.compile(r"record\.json"), MOST_JSON_BYTES),
    MemberKind("reading", re.compile(r"readings/[0-9]{6}\.json"), MOST_JSON_BYTES),
    MemberKind(
        "photograph", re.compile(r"photographs/[0-9a-f]{64}\.(?:jpg|png|tif|webp|heic)"), 2**30
    ),
    MemberKind("table", re.compile(r"tables/(?:passes|points|cells)\.csv"), 8 * 2**30),
)


@dataclass(frozen=True)
class Member:
    """A member as the manifest tells it: name, size unpacked and SHA-256."""

    name: str
    size_bytes: int
    sha256: str

    @property
    def kind(self) -> MemberKind:
        """Its kind, by its name."""
        return kind_of(self.name)


def refusal(why: str) -> ArchiveError:
    """Return the error that refuses an archive; `why` goes on after "because"."""
    return ArchiveError(f"The archive is refused and nothing was changed, because {why}.")


def kind_of(name: str) -> MemberKind:
    """Return the kind of member a name belongs to.

    Raises
    ------
    ArchiveError
        Where it leads out of the archive or belongs to no kind.
    """
    for kind in _KINDS:
        if kind.pattern.fullmatch(name):
            return kind
    if name.startswith("/") or "\\" in name or ":" in name or ".." in name.split("/"):
        raise refusal(f"it names a place outside of itself: {shown(name)}")
    raise refusal(f"{shown(name)} is no part of an archive")


def photograph_name(sha256: str, kind: str) -> str:
    """Return the name of the member that holds a photograph; `kind` as JPEG, PNG and so on."""
    return f"photographs/{sha256}.{SUFFIXES[kind]}"


def reading_name(number: int) -> str:
    """Return the name of the member that holds a reading, numbered from 1 in the archive."""
    return f"readings/{number:06d}.json"


def shown(name: str, most: int = 60) -> str:
    """Return a name as it may be printed: in quotes, plain ASCII, not too long."""
    plain = name.encode("unicode_escape").decode("ascii")
    return f"'{plain if len(plain) <= most else plain[:most] + '...'}'"
