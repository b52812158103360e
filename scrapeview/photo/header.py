"""What a photograph's file says of itself: its kind, how it was held, when it was taken."""

import contextlib
import threading
import warnings
from collections.abc import Callable, Iterator
from datetime import datetime
from io import BytesIO

from PIL.ExifTags import IFD, Base
from PIL.Image import Exif, Image
from PIL.JpegImagePlugin import JpegImageFile
from PIL.PngImagePlugin import PngImageFile
from PIL.TiffImagePlugin import TiffImageFile
from PIL.WebPImagePlugin import WebPImageFile

from scrapeview.errors import PhotoError

# Opened by class: Image.open would apply a limit of its own, with warnings, below ours.
_OPENERS: dict[str, Callable[[BytesIO], Image]] = {
    "JPEG": JpegImageFile,
    "PNG": PngImageFile,
    "TIFF": TiffImageFile,
    "WEBP": WebPImageFile,
}
_HEIC_BRANDS = frozenset(
    (b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"hevm", b"hevs", b"mif1", b"msf1")
)
_QUIET = threading.Lock()


def sniff_format(data: bytes) -> str | None:
    """Tell the kind of picture from the first bytes of its file.

    Parameters
    ----------
    data : bytes
        The file, or at least its first 32 bytes.

    Returns
    -------
    str or None
        "JPEG", "PNG", "TIFF", "WEBP", "HEIC", or None for anything else.
    """
    if data[:3] == b"\xff\xd8\xff":
        return "JPEG"
    if data[:8] == b"\x89PNG\r\n\x1a\n":
        return "PNG"
    if data[:4] in (b"II*\0", b"MM\0*"):
        return "TIFF"
    if data[:4] == b"RIFF" and data[8:12] == b"WEBP":
        return "WEBP"
    if data[4:8] == b"ftyp" and data[8:12] in _HEIC_BRANDS:
        return "HEIC"
    return None


@contextlib.contextmanager
def decoding(what: str) -> Iterator[None]:
    """Turn whatever a decoder raises on a damaged file into a PhotoError, and keep it quiet."""
    # Decoders raise nearly every kind of exception on damaged bytes, so all are caught here. The
    # lock is there because the list of warning filters is shared by all threads.
    try:
        with _QUIET, warnings.catch_warnings():
            warnings.simplefilter("ignore")
            yield
    except PhotoError:
        raise
    except Exception as error:
        message = (
            f"{what} is damaged or cut short and cannot be read: copy it from the camera again."
        )
        raise PhotoError(message) from error


def open_picture(data: bytes, kind: str, what: str) -> Image:
    """Read the header of a picture; its pixels stay undecoded."""
    with decoding(what):
        try:
            return _OPENERS[kind](BytesIO(data))
        except SyntaxError as error:
            if "pixel mode" not in str(error):
                raise
            raise PhotoError(
                f"{what} holds a kind of pixel that is not read, such as floating point: "
                "save it as 8-bit or 16-bit RGB."
            ) from error


def read_exif(picture: Image) -> tuple[int, str | None]:
    """Orientation (1 to 8) and time taken; 1 and None where EXIF is missing or damaged."""
    # a damaged EXIF block costs the time, not the photograph
    with contextlib.suppress(PhotoError), decoding("EXIF"):
        exif = picture.getexif()
        value = exif.get(Base.Orientation, 1)
        orientation = value if isinstance(value, int) and 1 <= value <= 8 else 1
        return orientation, time_taken(exif)
    return 1, None


def time_taken(exif: Exif) -> str | None:
    """EXIF DateTimeOriginal with its OffsetTimeOriginal as ISO 8601 local time.

    Parameters
    ----------
    exif : PIL.Image.Exif
        The EXIF block of the picture.

    Returns
    -------
    str or None
        Such as "2024-05-03T10:11:12+02:00"; without an offset where EXIF has none; None where
        the camera's clock was not set or the text is not a time.
    """
    details = exif.get_ifd(IFD.Exif)
    text = str(details.get(Base.DateTimeOriginal, "")).strip("\0 ")
    offset = str(details.get(Base.OffsetTimeOriginal, "")).strip("\0 ")
    try:
        taken = datetime.strptime(text, "%Y:%m:%d %H:%M:%S")
    except ValueError:
        return None
    with contextlib.suppress(ValueError):
        taken = datetime.strptime(text + offset, "%Y:%m:%d %H:%M:%S%z")
    return taken.isoformat()
