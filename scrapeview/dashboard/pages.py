"""The pages of the dashboard, in the order of its menu."""

import streamlit as st
from streamlit.navigation.page import StreamlitPage

from scrapeview.dashboard.face_page import face_page
from scrapeview.dashboard.new_print_page import new_print_page
from scrapeview.dashboard.settings_page import settings_page
from scrapeview.dashboard.shop_page import shop_page
from scrapeview.dashboard.side_page import side_page


def pages() -> dict[str, StreamlitPage]:
    """Return the pages by the name they have in the menu."""
    return {
        "Shop": st.Page(shop_page, title="Shop", icon=":material/home_repair_service:",
                        default=True),
        "New print": st.Page(new_print_page, title="New print", icon=":material/add_a_photo:",
                             url_path="new-print"),
        "Face": st.Page(face_page, title="Face", icon=":material/show_chart:", url_path="face"),
        "Side by side": st.Page(side_page, title="Side by side", icon=":material/compare:",
                                url_path="side-by-side"),
        "Settings": st.Page(settings_page, title="Settings", icon=":material/settings:",
                            url_path="settings"),
    }  # fmt: skip


def show_pages() -> None:
    """Route to the page that the address asks for."""
    st.set_page_config(page_title="Scrapeview", layout="wide")
    st.navigation(list(pages().values()), position="top").run()
