"""What every page stands in: the record, its title, errors in plain words, the chosen face."""

import logging
import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import streamlit as st
from sqlalchemy.exc import SQLAlchemyError

from scrapeview.dashboard.styles import CSS
from scrapeview.errors import ScrapeviewError
from scrapeview.record import FaceEntry, Record

EMPTY_RECORD = (
    "The record is empty. Load the sample series to look around, or add your own machine, part "
    "and face on the page Shop."
)
EMPTY_FACES = "There is no face yet. Add one to a part on the page Shop."
EMPTY_PASSES = "This face has no print yet. Take its first one on the page New print."

_LOG = logging.getLogger(__name__)
_FACE = "face"
_PRINT = "print"
_FACE_CHOICE = "shell_face_choice"


@contextmanager
def page(title: str) -> Iterator[None]:
    """Show a page's title and, around what it does, errors in plain words.

    Parameters
    ----------
    title : str
        Heading; "" for none.
    """
    st.html(CSS)
    if title:
        st.title(title, anchor=False)
    try:
        with plainly():
            yield
    except Exception as error:
        say_unforeseen(error)


def say_unforeseen(error: Exception) -> None:
    """Say that a fault of the program itself stopped the page; the server's log tells where."""
    _LOG.error("A page was stopped by a fault of the program.", exc_info=error)
    st.error(
        f"A fault of the program stopped this page ({type(error).__name__}). What was kept is "
        "safe. Load the page again; if it happens again, report what the server printed."
    )


@contextmanager
def plainly() -> Iterator[None]:
    """Show an error as a sentence where it happened; what follows the block goes on."""
    try:
        yield
    except ScrapeviewError as error:
        st.error(str(error))
    except SQLAlchemyError as error:
        st.error(_database_sentence(error))
    except OSError as error:
        st.error(_file_sentence(error))


def _database_sentence(error: SQLAlchemyError) -> str:
    reason = str(getattr(error, "orig", None) or error).splitlines()[0]
    return (
        f"The shop's record did not answer ({reason}). Nothing was changed. See that the disk is "
        "not full and that no other program holds the record, then try again."
    )


def _file_sentence(error: OSError) -> str:
    where = f" '{error.filename}'" if error.filename else ""
    return (
        f"The file{where} could not be read or written: {error.strerror or error}. Nothing was "
        "changed. See that the disk is there and not full, then try again."
    )


def the_record() -> Record:
    """Return the shop's record, opened once for all tabs of this server.

    Raises
    ------
    RecordError
    """
    home, url = os.environ.get("SCRAPEVIEW_HOME", ""), os.environ.get("SCRAPEVIEW_RECORD", "")
    return _opened(home, url)


@st.cache_resource(show_spinner=False, on_release=lambda record: record.close())
def _opened(home: str, url: str) -> Record:
    return Record.open(Path(home) if home else None, url or None)


def chosen_face(record: Record) -> FaceEntry | None:
    """Let a face be chosen and return it; None, with what to do next, where there is none.

    The address holds the face (?face=7), so a reload and a second tab each keep their own.
    """
    faces = {face.face_id: face for face in record.faces()}
    if not faces:
        offer_start(record)
        return None
    st.session_state[_FACE_CHOICE] = _asked_face(set(faces))
    chosen = st.selectbox(
        "Face", list(faces), key=_FACE_CHOICE, on_change=_keep_choice,
        format_func=lambda face_id: faces[face_id].title if face_id in faces else "",
        placeholder="Choose a face",
    )  # fmt: skip
    if chosen is None:
        st.info("Choose a face above. The one this address asks for is not in the record.")
        return None
    remember_face(chosen)
    return faces[chosen]


def _asked_face(known: set[int]) -> int | None:
    """Face of the address, else the one last shown in this tab, else the first."""
    asked = st.query_params.get(_FACE)
    if asked is not None:
        return int(asked) if asked.isdecimal() and int(asked) in known else None
    last = st.session_state.get(_FACE)
    return last if last in known else min(known)


def _keep_choice() -> None:
    if st.session_state[_FACE_CHOICE] is not None:
        st.query_params[_FACE] = str(st.session_state[_FACE_CHOICE])


def remember_face(face_id: int) -> None:
    """Keep a face as this tab's own, in its address and for the other pages."""
    st.session_state[_FACE] = face_id
    if st.query_params.get(_FACE) != str(face_id):
        st.query_params[_FACE] = str(face_id)


def go_to(page_name: str, face_id: int | None = None) -> None:
    """Switch to a page by its name in the menu, keeping the face in the address."""
    from scrapeview.dashboard.pages import page_named

    if face_id is not None:
        st.session_state[_FACE] = face_id
    st.switch_page(page_named(page_name), query_params=_face_params(face_id))


def link_to(
    page_name: str,
    face_id: int | None = None,
    label: str | None = None,
    print_id: int | None = None,
) -> None:
    """Show a link to a page by its name in the menu, with the face and a print in the address."""
    from scrapeview.dashboard.pages import page_named

    params = _face_params(face_id) | ({} if print_id is None else {_PRINT: str(print_id)})
    st.page_link(page_named(page_name), label=label, width="stretch", query_params=params)


def _face_params(face_id: int | None) -> dict[str, str]:
    return {} if face_id is None else {_FACE: str(face_id)}


def offer_start(record: Record) -> None:
    """Say what to do where there is no face yet."""
    if record.machines():
        st.info(EMPTY_FACES)
    else:
        st.info(EMPTY_RECORD)
        offer_sample(record)
    link_to("Shop")


def offer_sample(record: Record) -> None:
    """Show the button that loads the sample series, and load it when pressed."""
    from scrapeview.dashboard.first_start import sample_button

    face_id = sample_button(record)
    if face_id is not None:
        st.session_state[_FACE] = face_id
        st.rerun()
