"""The entry is a router and nothing else, and its server keeps to this computer."""

import tomllib
from pathlib import Path

ROOT = Path(__file__).parents[1]


def test_the_entry_is_a_router_and_nothing_else():
    lines = (ROOT / "app.py").read_text().splitlines()
    assert len([line for line in lines if line.strip()]) <= 6


def test_the_server_listens_on_this_machine_only():
    config = tomllib.loads((ROOT / ".streamlit" / "config.toml").read_text())
    assert config["server"]["address"] == "localhost"
    assert config["browser"]["gatherUsageStats"] is False


def test_a_fault_shows_no_traceback():
    config = tomllib.loads((ROOT / ".streamlit" / "config.toml").read_text())
    assert config["client"]["showErrorDetails"] == "none"
