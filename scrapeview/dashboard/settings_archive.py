"""A machine out of the record as one file, and in again."""

import tempfile
from pathlib import Path

import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from scrapeview.archive import read_archive, write_archive
from scrapeview.dashboard.shell import plainly
from scrapeview.dashboard.steps import steps_on
from scrapeview.record import Machine, Record

_READY = "archive_ready"


def show_archive(record: Record) -> None:
    """Offer to write the archive of a machine, and to take one in."""
    st.subheader("Archive", anchor=False)
    st.caption(
        "One zip file holds a machine with its photographs, readings and passes, for another "
        "computer or for good."
    )
    out, into = st.columns(2)
    with out:
        _show_out(record)
    with into:
        _show_in(record)


def _show_out(record: Record) -> None:
    machines = record.machines()
    if not machines:
        st.info("There is no machine to write out yet: add one on the page Shop.")
        return
    machine = st.selectbox(
        "Machine to write out", machines, format_func=lambda m: m.name, key="archive_machine"
    )
    if st.button("Write its archive", key="archive_write", width="stretch"):
        bar = st.progress(0.0, "Writing the archive")
        with plainly():
            path = _written(record, machine, bar)
            st.session_state[_READY] = (machine.machine_id, str(path))
        bar.empty()
    machine_id, ready = st.session_state.get(_READY, (None, ""))
    if machine_id == machine.machine_id and Path(ready).is_file():
        with Path(ready).open("rb") as file:
            st.download_button(
                "Download the archive", file, archive_name(machine), "application/zip",
                key="archive_download", type="primary", width="stretch",
            )  # fmt: skip


def archive_name(machine: Machine) -> str:
    """Return the name a machine's archive is downloaded as."""
    plain = "".join(sign if sign.isalnum() else "-" for sign in machine.name.casefold())
    return f"{'-'.join(part for part in plain.split('-') if part) or 'machine'}.zip"


def _written(record: Record, machine: Machine, bar: DeltaGenerator) -> Path:
    _, before = st.session_state.pop(_READY, (None, ""))
    if before:
        Path(before).unlink(missing_ok=True)
    with tempfile.NamedTemporaryFile(suffix=".zip", delete=False) as file:
        path = Path(file.name)
    write_archive(record, machine.machine_id, path, progress=steps_on(bar))
    return path


def _show_in(record: Record) -> None:
    upload = st.file_uploader("Archive to take in", type="zip", key="archive_upload")
    if upload is None:
        st.caption("A larger one is taken in on the bench computer: `scrapeview restore FILE`.")
        return
    if st.button("Take it in", key="archive_read", type="primary", width="stretch"):
        bar = st.progress(0.0, "Checking the archive")
        with plainly():
            machine = read_archive(record, upload, progress=steps_on(bar))
            st.success(f"{machine.name} is in the record with all its parts, faces and prints.")
        bar.empty()
