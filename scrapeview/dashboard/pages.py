"""The pages of the dashboard, in the order of its menu, and the router between them."""

import streamlit as st
from streamlit.navigation.page import StreamlitPage

from scrapeview.dashboard.face_page import face_page
from scrapeview.dashboard.judge_page import judge_page
from scrapeview.dashboard.long_page import long_page
from scrapeview.dashboard.new_print_page import new_print_page
from scrapeview.dashboard.settings_page import settings_page
from scrapeview.dashboard.shop_page import shop_page
from scrapeview.dashboard.side_page import side_page
from scrapeview.dashboard.tab_icon import tab_icon

_PAGES = (
    (shop_page, "Shop", "", ":material/home_repair_service:"),
    (new_print_page, "New print", "new-print", ":material/add_a_photo:"),
    (face_page, "Face", "face", ":material/show_chart:"),
    (judge_page, "Judge", "judge", ":material/gavel:"),
    (long_page, "Long face", "long-face", ":material/straighten:"),
    (side_page, "Side by side", "side-by-side", ":material/compare:"),
    (settings_page, "Settings", "settings", ":material/settings:"),
)
"""Function, name in the menu, path in the address, icon; the one without a path comes first."""


def pages() -> dict[str, StreamlitPage]:
    """Return the pages by the name they have in the menu."""
    return {title: page_named(title) for _, title, _, _ in _PAGES}


def page_named(name: str) -> StreamlitPage:
    """Return one page by the name it has in the menu."""
    show, title, path, icon = next(known for known in _PAGES if known[1] == name)
    return st.Page(show, title=title, icon=icon, url_path=path or None, default=not path)


def show_pages() -> None:
    """Show the menu and the page that the address asks for."""
    st.set_page_config(page_title="Scrapeview", page_icon=tab_icon(), layout="wide")
    st.navigation(list(pages().values()), position="top").run()
