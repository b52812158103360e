"""Photographs: files or bytes to upright sRGB pixels, with what the file says of itself."""

from scrapeview.photo.checks import CHECK_CODES, Check, photo_checks
from scrapeview.photo.load import Photo, load_photo

__all__ = ["CHECK_CODES", "Check", "Photo", "load_photo", "photo_checks"]
