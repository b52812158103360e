"""Components of our own, of Streamlit's v2 kind: plain JavaScript and CSS, nothing from outside."""

from importlib import resources
from typing import Any

import streamlit as st


def own_component(name: str) -> Any:
    """Return the component whose files lie in the folder of that name.

    The scripts in its `js` are joined in the order of their names into one module: what one
    declares the next may use.

    Parameters
    ----------
    name : str
        The folder has `name.css` and `js/*.js`.
    """
    folder = resources.files(f"scrapeview.dashboard.{name}")
    scripts = sorted(
        (file for file in folder.joinpath("js").iterdir() if file.name.endswith(".js")),
        key=lambda file: file.name,
    )
    return st.components.v2.component(
        f"scrapeview_{name}",
        css=folder.joinpath(f"{name}.css").read_text("utf-8"),
        js="\n".join(file.read_text("utf-8") for file in scripts),
    )
