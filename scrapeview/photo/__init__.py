"""Photographs: files or bytes to upright sRGB pixels, with what the file says of itself."""
