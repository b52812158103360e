"""Pixels of an opened picture as upright 8-bit sRGB, or a plain sentence why not."""

from io import BytesIO

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageCms, ImageOps

from scrapeview.errors import PhotoError

_REDUCED = {
    1: cv2.IMREAD_COLOR_RGB,
    2: cv2.IMREAD_REDUCED_GRAYSCALE_2 | cv2.IMREAD_COLOR_RGB,
    4: cv2.IMREAD_REDUCED_GRAYSCALE_4 | cv2.IMREAD_COLOR_RGB,
    8: cv2.IMREAD_REDUCED_GRAYSCALE_8 | cv2.IMREAD_COLOR_RGB,
}
# Which ends of the stored picture (x, y) become the start of the upright one, by EXIF orientation.
_FROM_FAR_END = {
    1: (False, False),
    2: (True, False),
    3: (True, True),
    4: (False, True),
    5: (False, False),
    6: (False, True),
    7: (True, True),
    8: (True, False),
}
_LOST_GREY = 128


def usable_reduction(wanted: int, stored_size_px: tuple[int, int], orientation: int) -> int:
    """Largest reduction up to `wanted` whose pixel grid starts at the upright picture's corner.

    A reduced JPEG rounds its size up, so its last column stands for fewer pixels than the others;
    turned to the front, that column would shift the whole grid.
    """
    far_ends = _FROM_FAR_END[orientation]
    for reduction in (8, 4, 2):
        whole = all(
            side % reduction == 0 for side, far in zip(stored_size_px, far_ends, strict=True) if far
        )
        if reduction <= wanted and whole:
            return reduction
    return 1


def decode_jpeg(data: bytes, orientation: int, reduction: int, what: str) -> NDArray[np.uint8]:
    """Decode a grey or three-channel JPEG at 1/`reduction` of its size and turn it upright."""
    flags = _REDUCED[reduction] | cv2.IMREAD_IGNORE_ORIENTATION
    try:
        stored = cv2.imdecode(np.frombuffer(data, np.uint8), flags)
    except cv2.error:
        stored = None
    if stored is None or _end_is_lost(np.asarray(stored)):
        raise PhotoError(
            f"{what} is damaged or cut short: part of the picture is missing. "
            "Copy it from the camera again."
        )
    return turn_upright(np.asarray(stored, np.uint8), orientation)


def _end_is_lost(stored: NDArray[np.generic]) -> bool:
    # A decoder fills what it has no data for with exactly this grey, which no camera gives.
    return bool(np.all(stored[-1] == _LOST_GREY) and not np.all(stored[0] == _LOST_GREY))


def turn_upright(stored: NDArray[np.uint8], orientation: int) -> NDArray[np.uint8]:
    """Turn stored pixels by their EXIF orientation (1 to 8)."""
    if orientation in (5, 6, 7, 8):
        turned = cv2.transpose(stored)
        flip = {5: None, 6: 1, 7: -1, 8: 0}[orientation]
    else:
        turned = stored
        flip = {1: None, 2: 1, 3: -1, 4: 0}[orientation]
    return np.asarray(turned if flip is None else cv2.flip(turned, flip), np.uint8)


def decode_picture(picture: Image.Image, what: str) -> NDArray[np.uint8]:
    """Decode any other picture to upright 8-bit RGB.

    Raises
    ------
    PhotoError
        If the picture is partly see-through or its kind of pixel cannot be brought to RGB.
    """
    picture.load()
    upright = ImageOps.exif_transpose(picture)
    if upright.mode.startswith("I;16"):
        grey = np.rint(np.asarray(upright).astype(np.float32) / 257).astype(np.uint8)
        return np.repeat(grey[:, :, None], 3, axis=2)
    if upright.mode in ("F", "I"):
        raise PhotoError(
            f"{what} holds 32-bit or floating-point pixels, whose white is not known: "
            "save it as 8-bit or 16-bit RGB."
        )
    if upright.has_transparency_data:
        upright = _without_alpha(upright, what)
    return np.asarray(upright.convert("RGB"), np.uint8)


def _without_alpha(picture: Image.Image, what: str) -> Image.Image:
    rgba = picture.convert("RGBA")
    if rgba.getchannel("A").getextrema() != (255, 255):
        raise PhotoError(
            f"{what} is see-through in places, so its colours there are unknown: "
            "flatten it on the original background and save it without transparency."
        )
    return rgba.convert("RGB")


def srgb_transform(profile: bytes | None) -> ImageCms.ImageCmsTransform | None:
    """Colour transform from an embedded RGB profile to sRGB; None where none is needed.

    A profile that moves no colour of a coarse colour cube by more than 2 levels counts as sRGB.
    """
    if not profile:
        return None
    try:
        embedded = ImageCms.getOpenProfile(BytesIO(profile))
        transform = ImageCms.buildTransform(embedded, ImageCms.createProfile("sRGB"), "RGB", "RGB")
    except (ImageCms.PyCMSError, OSError, ValueError):
        return None
    levels = np.arange(0, 256, 51, dtype=np.uint8)
    cube = np.stack(np.meshgrid(levels, levels, levels), axis=-1).reshape(1, -1, 3)
    moved = to_srgb(cube, transform).astype(int) - cube
    return transform if np.abs(moved).max() > 2 else None


def to_srgb(rgb: NDArray[np.uint8], transform: ImageCms.ImageCmsTransform) -> NDArray[np.uint8]:
    """Apply a colour transform to (H, W, 3) pixels."""
    picture = Image.fromarray(rgb)
    ImageCms.applyTransform(picture, transform, inPlace=True)
    return np.asarray(picture, np.uint8)
