"""Decode one HEIC file from standard input to a PNG on standard output.

Run as a process of its own: the HEIC library can crash on damaged files, and what crashes here
takes no page, no server and no reading with it. The script imports nothing of scrapeview's.
"""

import sys
from io import BytesIO

from pi_heif import HeifImageFile

TOO_LARGE = 3


def main(most_pixels: int) -> int:
    """Decode; 0, or TOO_LARGE with the size on standard error."""
    picture = HeifImageFile(BytesIO(sys.stdin.buffer.read()))
    width, height = picture.size
    if width * height > most_pixels:
        sys.stderr.write(f"{width} {height}")
        return TOO_LARGE
    kept = {name: picture.info[name] for name in ("exif", "icc_profile") if picture.info.get(name)}
    picture.save(sys.stdout.buffer, "PNG", compress_level=0, **kept)
    return 0


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1])))
