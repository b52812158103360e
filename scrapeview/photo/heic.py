"""HEIC files, decoded in a process of their own."""

import subprocess
import sys
from pathlib import Path

from scrapeview.errors import PhotoError
from scrapeview.photo.heic_decoder import TOO_LARGE

DECODER = Path(__file__).with_name("heic_decoder.py")
LONGEST_S = 120


def heic_to_png(data: bytes, what: str, most_pixels: int) -> tuple[bytes, tuple[int, int] | None]:
    """Return a HEIC file's pixels, EXIF and colour profile as a PNG file.

    Parameters
    ----------
    data : bytes
    what : str
        How to speak of the file.
    most_pixels : int
        Larger pictures are not decoded.

    Returns
    -------
    png : bytes
    size_px : (width, height) or None
        Of a picture that is too large; `png` is empty then.

    Raises
    ------
    PhotoError
        If the file is damaged; a crash of the decoder counts as damage.
    """
    command = [sys.executable, "-I", str(DECODER), str(most_pixels)]
    try:
        done = subprocess.run(
            command, input=data, capture_output=True, timeout=LONGEST_S, check=False
        )
    except subprocess.TimeoutExpired:
        raise PhotoError(f"{what} took longer than {LONGEST_S} s to decode.") from None
    if done.returncode == TOO_LARGE:
        width, height = (int(n) for n in done.stderr.split())
        return b"", (width, height)
    if done.returncode != 0 or not done.stdout:
        raise PhotoError(
            f"{what} is damaged or cut short and cannot be read: copy it from the camera again."
        )
    return done.stdout, None
