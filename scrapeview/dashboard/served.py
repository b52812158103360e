"""The dashboard as an application that a web server runs."""

from pathlib import Path

import streamlit as st
from starlette.types import ASGIApp
from streamlit import config

_PACKAGE = Path(__file__).parents[1]

LARGEST_UPLOAD_MB = 64
"""A photograph of 50 megapixels has some 25 MB; nothing larger is taken in, let alone decoded."""

SETTINGS = {
    "server.maxUploadSize": LARGEST_UPLOAD_MB,
    "server.fileWatcherType": "none",
    "server.enableStaticServing": False,
    "browser.gatherUsageStats": False,
    "client.toolbarMode": "minimal",
    "client.showErrorDetails": "none",
    "logger.level": "warning",
}
"""Set whatever a settings file says: these are what makes serving safe, quiet and plain."""


def entry_script() -> Path:
    """Return the script that shows the pages: the checkout's, else the one in the package."""
    app = _PACKAGE.parent / "app.py"
    is_checkout = app.is_file() and (_PACKAGE.parent / "pyproject.toml").is_file()
    return app if is_checkout else _PACKAGE / "dashboard" / "entry.py"


def dashboard_app() -> ASGIApp:
    """Return the dashboard, set up to be served."""
    app = st.App(entry_script())
    # only now does Streamlit know whose settings file to read, so it reads again
    config.get_config_options(force_reparse=True, options_from_flags=SETTINGS)
    return app
