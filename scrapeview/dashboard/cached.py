"""What pages need and takes long to make, kept by what never changes: a reading's number.

Streamlit hashes only a sample of large arrays, so nothing here is keyed on pixels.
"""

import streamlit as st

from scrapeview.record import Record
from scrapeview.result import Reading

MOST_KEPT = 48


def reading_of(record: Record, reading_id: int) -> Reading:
    """Return a reading of the record; readings are never overwritten, so it can be kept.

    Raises
    ------
    RecordError
    """
    return _reading(record.place, reading_id, record)


@st.cache_data(max_entries=MOST_KEPT, show_spinner=False)
def _reading(place: str, reading_id: int, _record: Record) -> Reading:  # noqa: ARG001 a key
    return _record.reading(reading_id)
