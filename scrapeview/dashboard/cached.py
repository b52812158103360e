"""What a page needs and takes long to make, kept by the photograph's SHA-256.

Streamlit hashes only a sample of large arrays, so nothing here is keyed on pixels.
"""

import hashlib

import streamlit as st

from scrapeview.charts.shown import Units
from scrapeview.export import overlay_bytes
from scrapeview.result import Reading
from scrapeview.samples import Sample

MOST_KEPT = 24


def key_of(sample: Sample) -> str:
    """Return what tells samples apart: the photograph's SHA-256 and how it is to be read."""
    digest = hashlib.sha256(sample.photo.read_bytes())
    digest.update(repr((sample.plane.as_dict(), sample.marking)).encode())
    digest.update(b"".join(opening.tobytes() for opening in sample.openings_mm))
    return digest.hexdigest()


@st.cache_data(max_entries=MOST_KEPT, show_spinner="Reading the print ...")
def reading_of(key: str, _sample: Sample) -> Reading:  # noqa: ARG001 the cache keys on it
    """Return the reading of a sample."""
    return _sample.read()


@st.cache_data(max_entries=MOST_KEPT, show_spinner="Drawing the overlay ...")
def overlay_of(
    key: str,  # noqa: ARG001 the cache keys on it
    units: Units,
    _sample: Sample,
    _reading: Reading,
) -> bytes:
    """Return the overlay of a sample as a JPEG file."""
    return overlay_bytes(_reading, _sample.photo, ".jpg", units)
