"""The manifest of an archive: its format and the size and SHA-256 of every member."""

import json
import re
from dataclasses import asdict, dataclass
from typing import Any

from scrapeview.archive_members import MANIFEST, Member, refusal, shown

FORMAT = 3
"""Number of the layout; it goes up when an older version could no longer restore it."""
KIND = "scrapeview archive"
_SHA256 = re.compile(r"[0-9a-f]{64}")
_KEYS = {"kind", "format", "scrapeview", "made_at_utc", "machine", "members"}


@dataclass(frozen=True)
class Manifest:
    """What an archive says of itself.

    Parameters
    ----------
    scrapeview : str
        Version it was made with.
    made_at_utc, machine : str
    members : tuple of Member
        All but the manifest itself.
    """

    scrapeview: str
    made_at_utc: str
    machine: str
    members: tuple[Member, ...]


def manifest_json(manifest: Manifest) -> bytes:
    """Return the manifest as the bytes of its member."""
    told = {"kind": KIND, "format": FORMAT, **asdict(manifest)}
    return (json.dumps(told, indent=1) + "\n").encode()


def read_manifest(data: bytes) -> Manifest:
    """Return the manifest that `manifest_json` wrote.

    Raises
    ------
    ArchiveError
        Where it is damaged or of a newer format.
    """
    told = strict_json(data, MANIFEST)
    if not isinstance(told, dict) or told.get("kind") != KIND:
        raise refusal("it was not made by 'scrapeview archive'")
    _require_known_format(told.get("format"))
    if set(told) != _KEYS or not isinstance(told["members"], list):
        raise _damaged()
    version, made_at_utc, machine = (
        told[name] for name in ("scrapeview", "made_at_utc", "machine")
    )
    if not all(isinstance(text, str) for text in (version, made_at_utc, machine)):
        raise _damaged()
    members = tuple(_member(entry) for entry in told["members"])
    return Manifest(version, made_at_utc, machine, members)


def strict_json(data: bytes, name: str) -> Any:
    """Return what a JSON member says.

    Raises
    ------
    ArchiveError
        Where it is no whole, strict JSON text or says a name twice.
    """
    try:
        return json.loads(
            data.decode("utf-8"), parse_constant=_refuse, object_pairs_hook=_without_twins
        )
    except (ValueError, RecursionError):
        raise refusal(f"{shown(name)} is not whole JSON text") from None


def _without_twins(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    held = dict(pairs)
    if len(held) != len(pairs):
        raise ValueError("a name stands twice")
    return held


def _refuse(constant: str) -> float:
    raise ValueError(constant)


def _require_known_format(number: object) -> None:
    if isinstance(number, bool) or not isinstance(number, int) or number < 1:
        raise _damaged()
    if number > FORMAT:
        raise refusal(
            f"it has format {str(number)[:9]}, newer than the {FORMAT} this version knows: "
            "update scrapeview"
        )


def _member(entry: object) -> Member:
    if not isinstance(entry, dict) or set(entry) != {"name", "size_bytes", "sha256"}:
        raise _damaged()
    name, size_bytes, sha256 = entry["name"], entry["size_bytes"], entry["sha256"]
    if not isinstance(name, str) or not isinstance(sha256, str) or not _SHA256.fullmatch(sha256):
        raise _damaged()
    if isinstance(size_bytes, bool) or not isinstance(size_bytes, int) or size_bytes < 0:
        raise _damaged()
    return Member(name, size_bytes, sha256)


def _damaged() -> Exception:
    return refusal("its manifest is damaged")
