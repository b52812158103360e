"""What is asked before a machine, a part or a face is added, changed or removed."""

import streamlit as st

from scrapeview.dashboard.face_form import new_plan, plan_fields
from scrapeview.dashboard.shell import plainly, remember_face
from scrapeview.record import FaceEntry, Machine, Part, Record
from scrapeview.shown_units import shop_units

_SAID = "shop_said"
KEPT_BY_ARCHIVE = (
    "This takes the machine with its parts, faces and prints out of the record. To have it back "
    "later, first write an archive of it: Settings, Archive. The archive keeps everything."
)


def say_what_was_done() -> None:
    """Show once what the last dialog did."""
    said = st.session_state.pop(_SAID, "")
    if said:
        st.toast(said)


def _done(said: str) -> None:
    st.session_state[_SAID] = said
    st.rerun()


def _save(label: str, key: str) -> bool:
    return st.button(label, type="primary", width="stretch", key=key)


@st.dialog("Add a machine")
def add_machine(record: Record) -> None:
    """Ask for a machine's name and, so that work can begin, its first part."""
    with plainly():
        name = st.text_input("Name of the machine", key="new_machine_name", max_chars=80)
        part = st.text_input(
            "Its first part", key="new_machine_part", placeholder="bed, saddle, table", max_chars=80
        )
        notes = st.text_area("Notes", key="new_machine_notes", max_chars=4000)
        if _save("Add the machine", "new_machine_save"):
            machine = record.add_machine(name.strip(), notes)
            if part.strip():
                record.add_part(machine.machine_id, part.strip())
            _done(f"{machine.name} is in the record. Next: add a face to a part.")


@st.dialog("Change the machine")
def change_machine(record: Record, machine: Machine) -> None:
    """Ask for a machine's new name and notes, or whether to remove it."""
    with plainly():
        key = f"machine_{machine.machine_id}"
        name = st.text_input("Name of the machine", machine.name, key=f"{key}_name", max_chars=80)
        notes = st.text_area("Notes", machine.notes, key=f"{key}_notes", max_chars=4000)
        if _save("Save", f"{key}_save"):
            record.change_machine(machine.machine_id, name.strip(), notes)
            _done("Saved.")
        with st.expander("Remove the machine"):
            st.write(KEPT_BY_ARCHIVE)
            typed = st.text_input(f"Type its name to remove it: {machine.name}", key=f"{key}_typed")
            wanted = typed.strip() == machine.name
            if st.button("Remove it", disabled=not wanted, width="stretch", key=f"{key}_remove"):
                record.remove_machine(machine.machine_id)
                _done(f"{machine.name} was removed from the record.")


@st.dialog("Add a part")
def add_part(record: Record, machine: Machine) -> None:
    """Ask for the name of a part."""
    with plainly():
        key = f"new_part_{machine.machine_id}"
        st.caption(f"A part of {machine.name}.")
        name = st.text_input(
            "Name of the part", key=f"{key}_name", placeholder="bed, saddle, table", max_chars=80
        )
        if _save("Add the part", f"{key}_save"):
            part = record.add_part(machine.machine_id, name.strip())
            _done(f"{part.name} was added. Next: add a face to it.")


@st.dialog("Rename the part")
def change_part(record: Record, part: Part) -> None:
    """Ask for a part's new name."""
    with plainly():
        key = f"part_{part.part_id}"
        name = st.text_input("Name of the part", part.name, key=f"{key}_name", max_chars=80)
        if _save("Save", f"{key}_save"):
            record.change_part(part.part_id, name.strip())
            _done("Saved.")


@st.dialog("Add a face", width="large")
def add_face(record: Record, part: Part) -> None:
    """Ask for what is to be known of a face before its first print."""
    with plainly():
        key = f"new_face_{part.part_id}"
        st.caption(f"A face of the part {part.name}.")
        plan = plan_fields(record, new_plan(shop_units(record)), key)
        if _save("Add the face", f"{key}_save"):
            face = record.add_face(part.part_id, plan)
            remember_face(face.face_id)
            _done(f"{face.plan.name} was added. Next: its first print.")


@st.dialog("Change the face", width="large")
def change_face(record: Record, face: FaceEntry, passes: int) -> None:
    """Ask for what is to be changed about a face."""
    with plainly():
        key = f"face_{face.face_id}"
        plan = plan_fields(record, face.plan, key, passes)
        if _save("Save", f"{key}_save"):
            record.change_face(face.face_id, plan)
            _done("Saved.")
