"""Photographs: files or bytes to upright sRGB pixels, with what the file says of itself."""

from scrapeview.photo.load import Photo, load_photo

__all__ = ["Photo", "load_photo"]
