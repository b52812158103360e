"""One loader for every photograph: file, bytes or array to upright sRGB pixels."""

import hashlib
import os
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from scrapeview.errors import PhotoError, SettingsError
from scrapeview.photo import header, pixels
from scrapeview.photo.heic import heic_to_png

MAX_PIXELS = 200_000_000
"""Largest photograph accepted, in pixels."""

REDUCTIONS = (1, 2, 4, 8)
"""Full-size pixels per decoded pixel, each way, that a JPEG can be decoded at."""


@dataclass(frozen=True, eq=False)
class Photo:
    """A photograph, upright, as 8-bit sRGB.

    Attributes
    ----------
    rgb : (H, W, 3) uint8 array
        Pixels, upright, RGB order; 1/`reduction` of the full size each way.
    reduction : int
        Full-size pixels per pixel of `rgb` each way: 1, 2, 4 or 8. Full-size pixel (x, y) lies at
        pixel ((x + 0.5) / reduction - 0.5, (y + 0.5) / reduction - 0.5) of `rgb`.
    full_size_px : tuple of int
        Width and height, upright, at full size.
    sha256 : str
        SHA-256 of the file as it came; of shape and pixels where an array was given.
    taken_at : str or None
        Time taken, ISO 8601, in the camera's local time, with the offset where the file has one.
    source_format : str
        "JPEG", "PNG", "TIFF", "WEBP", "HEIC" or "array".
    notes : tuple of str
        What was changed on the way in, in plain sentences.
    """

    rgb: NDArray[np.uint8]
    reduction: int
    full_size_px: tuple[int, int]
    sha256: str
    taken_at: str | None
    source_format: str
    notes: tuple[str, ...] = ()


def load_photo(
    source: str | os.PathLike[str] | bytes | NDArray[np.uint8], *, reduction: int = 1
) -> Photo:
    """Load a photograph, turned upright, as 8-bit sRGB.

    JPEG, PNG, TIFF, WebP and HEIC are read; 8 and 16 bit; grey, palette, CMYK and opaque alpha are
    brought to RGB. A colour profile other than sRGB is applied.

    Parameters
    ----------
    source : path, bytes or (H, W, 3) uint8 array
        The photograph. An array is taken as upright sRGB in RGB order and not copied.
    reduction : {1, 2, 4, 8}, keyword-only
        Full-size pixels per decoded pixel that is enough. Only JPEG can be decoded small; the
        Photo says which reduction was used.

    Returns
    -------
    Photo

    Raises
    ------
    PhotoError
        If the photograph is missing, empty, damaged, over 200 megapixels, partly see-through or
        not of a kind that can be read.
    SettingsError
        If `reduction` is not 1, 2, 4 or 8.
    """
    if reduction not in REDUCTIONS:
        raise SettingsError(f"reduction must be 1, 2, 4 or 8, not {reduction!r}.")
    if isinstance(source, np.ndarray):
        return _from_array(source)
    if isinstance(source, (bytes, bytearray, memoryview)):
        return _from_bytes(bytes(source), "The photograph", reduction)
    if isinstance(source, (str, os.PathLike)):
        path = Path(source)
        return _from_bytes(read_file(path), f"'{path.name}'", reduction)
    raise PhotoError(
        f"A photograph is a path, bytes or an (H, W, 3) uint8 array, not {type(source).__name__}."
    )


def read_file(path: Path) -> bytes:
    """Return the bytes of a photograph's file.

    Raises
    ------
    PhotoError
        Where it cannot be opened.
    """
    try:
        return path.read_bytes()
    except FileNotFoundError:
        message = f"There is no file '{path}': check the name and the folder."
    except IsADirectoryError:
        message = f"'{path}' is a folder: give one photograph in it."
    except (OSError, ValueError) as error:
        message = f"'{path}' cannot be opened: {getattr(error, 'strerror', None) or error}."
    raise PhotoError(message)


def _from_array(array: NDArray[np.uint8]) -> Photo:
    if array.ndim != 3 or array.shape[2] != 3 or array.dtype != np.uint8:
        raise PhotoError(
            "A photograph given as an array must be (H, W, 3) uint8 in RGB order, "
            f"not {array.shape} {array.dtype}."
        )
    height, width = array.shape[:2]
    _check_size((width, height), "The photograph")
    rgb = np.ascontiguousarray(array)
    digest = hashlib.sha256(repr(rgb.shape).encode())
    digest.update(rgb.data)
    return Photo(rgb, 1, (width, height), digest.hexdigest(), None, "array")


def _check_size(size_px: tuple[int, int], what: str) -> None:
    width, height = size_px
    if width * height == 0:
        raise PhotoError(f"{what} has no pixels.")
    if width * height > MAX_PIXELS:
        raise PhotoError(
            f"{what} is {width} x {height} = {width * height / 1e6:.0f} megapixels; "
            f"at most {MAX_PIXELS / 1e6:.0f} are read: save a smaller copy."
        )


def _from_bytes(data: bytes, what: str, reduction: int) -> Photo:
    if not data:
        raise PhotoError(f"{what} is empty: copy it from the camera again.")
    kind = header.sniff_format(data)
    if kind is None:
        raise PhotoError(
            f"{what} is not a photograph that can be read: give a JPEG, PNG, TIFF, WebP or HEIC."
        )
    if kind == "HEIC":
        png, too_large = heic_to_png(data, what, MAX_PIXELS)
        if too_large:
            _check_size(too_large, what)
        picture = header.open_picture(png, "PNG", what)
    else:
        picture = header.open_picture(data, kind, what)
    _check_size(picture.size, what)
    orientation, taken_at = header.read_exif(picture)
    notes = _notes_on_mode(picture.mode)
    if kind == "JPEG" and picture.mode in ("RGB", "L"):
        used = pixels.usable_reduction(reduction, picture.size, orientation)
        rgb = pixels.decode_jpeg(data, orientation, used, what)
        turned = orientation >= 5
        full_size_px = picture.size[::-1] if turned else picture.size
    else:
        used = 1
        with header.decoding(what):
            rgb = pixels.decode_picture(picture, what)
        full_size_px = (rgb.shape[1], rgb.shape[0])
    rgb = _in_srgb(rgb, picture, notes)
    digest = hashlib.sha256(data).hexdigest()
    return Photo(rgb, used, full_size_px, digest, taken_at, kind, tuple(notes))


def _notes_on_mode(mode: str) -> list[str]:
    if mode == "CMYK":
        return ["Colours were brought from CMYK to RGB by rule of thumb and are approximate."]
    if mode in ("1", "L", "LA", "La") or mode.startswith("I;16"):
        return ["The photograph is grey: marking can only be told by lightness."]
    return []


def _in_srgb(rgb: NDArray[np.uint8], picture: Image.Image, notes: list[str]) -> NDArray[np.uint8]:
    if picture.mode not in ("RGB", "RGBA", "P"):
        return rgb
    transform = pixels.srgb_transform(picture.info.get("icc_profile"))
    if transform is None:
        return rgb
    notes.append("Colours were brought from the file's own colour profile to sRGB.")
    return pixels.to_srgb(rgb, transform)
