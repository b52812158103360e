"""Photographs: files or bytes to upright sRGB pixels, with what the file says of itself."""

from scrapeview.photo.checks import CHECK_CODES, Check, photo_checks
from scrapeview.photo.load import Photo, load_photo
from scrapeview.photo.patches import PATCH_CODES, Patches, patch_checks

__all__ = [
    "CHECK_CODES",
    "PATCH_CODES",
    "Check",
    "Patches",
    "Photo",
    "load_photo",
    "patch_checks",
    "photo_checks",
]
