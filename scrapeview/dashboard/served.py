"""The dashboard as an application that a web server runs."""

import os
from pathlib import Path

import streamlit as st
from starlette.types import ASGIApp

import scrapeview

LARGEST_UPLOAD_MB = 64
"""A photograph of 50 megapixels has some 25 MB; nothing larger is taken in, let alone decoded."""

_SETTINGS = {
    "SERVER_MAX_UPLOAD_SIZE": str(LARGEST_UPLOAD_MB),
    "SERVER_FILE_WATCHER_TYPE": "none",
    "SERVER_ENABLE_STATIC_SERVING": "false",
    "BROWSER_GATHER_USAGE_STATS": "false",
    "CLIENT_TOOLBAR_MODE": "minimal",
    "CLIENT_SHOW_ERROR_DETAILS": "none",
    "LOGGER_LEVEL": "warning",
}


def entry_script() -> Path:
    """Return the script that shows the pages: the checkout's, else the one in the package."""
    package = Path(scrapeview.__file__).parent
    app = package.parent / "app.py"
    checkout = app.is_file() and (package.parent / "pyproject.toml").is_file()
    return app if checkout else package / "dashboard" / "entry.py"


def dashboard_app() -> ASGIApp:
    """Return the dashboard, set up to be served: uploads limited, no statistics, no watching."""
    for name, value in _SETTINGS.items():
        os.environ[f"STREAMLIT_{name}"] = value
    return st.App(entry_script())
