"""Archives made of any members, for what an archive must be refused or still understood for."""

import hashlib
import io
import json
import zipfile

from scrapeview.archive_manifest import FORMAT, KIND


def zip_of(content, told=None, number=FORMAT):
    """An archive of members, with a manifest that agrees with them or with what is told."""
    listed = [
        {"name": name, "size_bytes": len(data), "sha256": hashlib.sha256(data).hexdigest()}
        for name, data in (told or content).items()
    ]
    manifest = {"kind": KIND, "format": number, "scrapeview": "0", "made_at_utc": "",
                "machine": "Mill", "members": listed}  # fmt: skip
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as packed:
        for name, data in {"manifest.json": json.dumps(manifest), **content}.items():
            packed.writestr(name, data)
    return held.getvalue()


def members_of(data):
    """All members but the manifest, which tells when the archive was made."""
    with zipfile.ZipFile(io.BytesIO(data)) as packed:
        return {name: packed.read(name) for name in packed.namelist() if name != "manifest.json"}
