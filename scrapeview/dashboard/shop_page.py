"""The page Shop: machines, parts and faces with where each stands, and what waits for a print."""

from collections.abc import Callable

import pandas as pd
import streamlit as st

from scrapeview.charts.shown import Units
from scrapeview.dashboard import shop_dialogs
from scrapeview.dashboard.cautions import show_cautions
from scrapeview.dashboard.first_start import WHAT_IT_IS
from scrapeview.dashboard.shell import go_to, link_to, offer_sample, page, the_record
from scrapeview.dashboard.shop_table import show_table
from scrapeview.dashboard.shop_verdicts import choose_verdict, judge_others, with_verdicts
from scrapeview.dashboard.standing import card_html
from scrapeview.face_verdict import fresh_verdicts
from scrapeview.record import FaceEntry, Machine, Part, Record
from scrapeview.shown_units import shop_units

MOST_CARDS = 24
MOST_WAITING = 6
ALL_MACHINES = "all machines"
_ASKING = "shop_asking"


def shop_page() -> None:
    """Show where every face of the shop stands."""
    with page("Shop"):
        record = the_record()
        shop_dialogs.say_what_was_done()
        # what opened a dialog is not to be shown anew: that would close it
        st.session_state.pop(_ASKING, None)
        judging = st.empty()
        machines = record.machines()
        known, is_stale = 0, False
        if machines:
            known, is_stale = _show_shop(record, machines)
        else:
            _show_first_start(record)
        show_cautions()
        if is_stale and not st.session_state.get(_ASKING):
            judge_others(record, known, judging)


def _show_first_start(record: Record) -> None:
    st.write(WHAT_IT_IS)
    look, own = st.columns(2)
    with look.container(border=True, height="stretch"):
        offer_sample(record)
    with own.container(border=True, height="stretch"):
        if st.button("Add your own machine", width="stretch", key="add_machine"):
            _ask(lambda: shop_dialogs.add_machine(record))
        st.caption("A machine has parts, a part has faces, and a face gets its prints.")


def _show_shop(record: Record, machines: tuple[Machine, ...]) -> tuple[int, bool]:
    """Show the shop; return how many verdicts hold and whether there are faces yet to judge."""
    units = shop_units(record)
    faces = {face.face_id: face for face in record.faces()}
    verdicts, not_judged = fresh_verdicts(record)
    table = with_verdicts(record.shop(), faces, verdicts)
    stands = choose_verdict(table)
    _show_waiting(table)
    machine_name, words, as_table = _show_filters(machines)
    found = matching(table, machine_name, words, stands)
    if as_table:
        chosen = show_table(found, units)
        if chosen is not None:
            go_to("Face", chosen)
    else:
        is_filtered = bool(words or stands)
        _show_machines(record, machines, machine_name, is_filtered, faces, found, units)
    if st.button("Add a machine", width="stretch", key="add_machine"):
        _ask(lambda: shop_dialogs.add_machine(record))
    return len(verdicts), bool(not_judged)


def _show_waiting(table: pd.DataFrame) -> None:
    waiting = table[table["waiting"].astype(bool)]
    if waiting.empty:
        return
    st.subheader(f"Waiting for a print: {len(waiting)}", anchor=False)
    rows = waiting.to_dict("records")
    _show_waiting_links(rows[:MOST_WAITING])
    if len(rows) > MOST_WAITING:
        with st.expander(f"{len(rows) - MOST_WAITING} more"):
            _show_waiting_links(rows[MOST_WAITING : 5 * MOST_WAITING])
            if len(rows) > 5 * MOST_WAITING:
                st.caption("Find the others with the search below.")


def _show_waiting_links(rows: list[dict]) -> None:
    with st.container(horizontal=True):
        for row in rows:
            why = "scraped" if row["passes"] else "no print yet"
            with st.container(width=420, key=f"waiting_{row['face_id']}"):
                title = f"{row['machine']}, {row['part']}: {row['face']}"
                link_to("New print", int(row["face_id"]), f"{title} ({why})")


def _show_filters(machines: tuple[Machine, ...]) -> tuple[str, str, bool]:
    """Ask for machine, search words and whether the faces stand in a table."""
    names = [ALL_MACHINES, *(entry.name for entry in machines)]
    search, machine, form = st.columns([3, 2, 1], vertical_alignment="bottom")
    words = search.text_input(
        "Search", key="shop_search", placeholder="machine, part, face or role",
        icon=":material/search:", persist_state="session",
    )  # fmt: skip
    machine_name = machine.selectbox("Machine", names, key="shop_machine", persist_state="session")
    shown = form.segmented_control(
        "Show", ["Cards", "Table"], default="Cards", required=True, key="shop_form",
        persist_state="session",
    )  # fmt: skip
    return machine_name, words, shown == "Table"


def matching(table: pd.DataFrame, machine_name: str, words: str, stands: str = "") -> pd.DataFrame:
    """Return the rows of one machine, or of all, that stand so and have every word in them."""
    if stands:
        table = table[table["verdict"] == stands]
    if machine_name != ALL_MACHINES:
        table = table[table["machine"] == machine_name]
    text = table["machine"] + " " + table["part"] + " " + table["face"] + " " + table["role"]
    text = text.str.casefold()
    for word in words.casefold().split():
        table = table[text.loc[table.index].str.contains(word, regex=False)]
    return table


def _show_machines(
    record: Record,
    machines: tuple[Machine, ...],
    machine_name: str,
    is_filtered: bool,
    faces: dict[int, FaceEntry],
    found: pd.DataFrame,
    units: Units,
) -> None:
    if is_filtered and found.empty:
        st.info("No face is found. Try fewer words, another machine or another verdict.")
        return
    limit = st.session_state.get("shop_limit", MOST_CARDS)
    rows = {int(row["face_id"]): row for row in found.head(limit).to_dict("records")}
    for machine in machines:
        if machine_name not in (ALL_MACHINES, machine.name):
            continue
        inside = [faces[face_id] for face_id in rows if faces[face_id].machine == machine]
        empty = not (found["machine"] == machine.name).any()
        if inside or (empty and not is_filtered):
            _show_machine(record, machine, inside, rows, units, hide_empty_parts=is_filtered)
    if len(found) > limit:
        st.caption(f"{limit} of {len(found)} faces are shown.")
        if st.button("Show more", width="stretch", key="shop_more"):
            st.session_state["shop_limit"] = limit + MOST_CARDS
            st.rerun()


def _show_machine(
    record: Record,
    machine: Machine,
    faces: list[FaceEntry],
    rows: dict[int, dict],
    units: Units,
    *,
    hide_empty_parts: bool,
) -> None:
    key = f"machine_{machine.machine_id}"
    st.divider()
    with st.container(horizontal=True, vertical_alignment="center"):
        st.subheader(_plain(machine.name), anchor=False, width="content")
        _open_button(
            "Add a part", f"{key}_add", lambda: shop_dialogs.add_part(record, machine), "add"
        )
        _open_button(
            "Change", f"{key}_change", lambda: shop_dialogs.change_machine(record, machine)
        )
    if machine.notes:
        st.caption(_plain(machine.notes))
    parts = record.parts(machine.machine_id)
    if not parts:
        st.info("No part yet: add one, such as the bed or the saddle.")
    for part in parts:
        inside = [face for face in faces if face.part == part]
        if inside or not hide_empty_parts:
            _show_part(record, part, inside, rows, units)


def _show_part(
    record: Record, part: Part, faces: list[FaceEntry], rows: dict[int, dict], units: Units
) -> None:
    key = f"part_{part.part_id}"
    with st.container(horizontal=True, vertical_alignment="center"):
        st.markdown(f"**{_plain(part.name)}**", width="content")
        _open_button("Add a face", f"{key}_add", lambda: shop_dialogs.add_face(record, part), "add")
        _open_button("Rename", f"{key}_change", lambda: shop_dialogs.change_part(record, part))
    if not faces:
        st.caption("No face yet: add the faces of this part that are to be scraped.")
        return
    with st.container(horizontal=True):
        for face in faces:
            _show_card(record, face, rows[face.face_id], units)


def _show_card(record: Record, face: FaceEntry, row: dict, units: Units) -> None:
    with st.container(border=True, width=330, key=f"card_{face.face_id}"):
        st.html(card_html(row, face.plan.units or units))
        with st.container(horizontal=True, gap="xsmall", key=f"card_links_{face.face_id}"):
            link_to("Face", face.face_id, "Open")
            link_to("New print", face.face_id)
            if row["passes"]:
                link_to("Judge", face.face_id)
            _open_button(
                "Change", f"face_{face.face_id}_change",
                lambda: shop_dialogs.change_face(record, face, int(row["passes"])),
            )  # fmt: skip


def _open_button(label: str, key: str, ask: Callable[[], None], icon: str = "edit") -> None:
    """Show a quiet button, so that figures and prints stand out."""
    if st.button(label, key=f"{key}_open", type="tertiary", icon=f":material/{icon}:"):
        _ask(ask)


def _ask(ask: Callable[[], None]) -> None:
    """Open a dialog, and remember for this run that it is open."""
    st.session_state[_ASKING] = True
    ask()


def _plain(text: str) -> str:
    """Return a name so that markdown shows it as it is."""
    return "".join(f"\\{sign}" if sign in "\\`*_{}[]()#+-.!|~$:<>" else sign for sign in text)
