"""`scrapeview serve` as it is really started: who reaches it, what it says, what it refuses."""

import http.client
import os
import re
import shutil
import signal
import socket
import subprocess
import sys
from pathlib import Path
from urllib.parse import urlencode

import pytest
from streamlit.testing.v1 import AppTest
from typer.testing import CliRunner
from websockets.exceptions import InvalidStatus
from websockets.sync.client import connect

import scrapeview
from scrapeview.cli import app
from scrapeview.dashboard import served as served_module
from scrapeview.dashboard.served import LARGEST_UPLOAD_MB
from scrapeview.serve.addresses import network_addresses
from scrapeview.serve.passphrase import FILE_NAME, LockFile

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT / "docs"))

from bench_browser import served  # noqa: E402

STREAMLIT_PLACES = [
    "/", "/face", "/settings", "/_stcore/health", "/_stcore/host-config", "/_stcore/metrics",
    "/_stcore/script-health-check", "/_stcore/upload_file/a/b", "/media/a.jpg",
    "/static/js/index.js", "/index.html", "/favicon.png", "/component/x/index.html",
    "/_stcore/bidi-components/x/index.js", "/app/static/app.py", "/auth/login", "/oauth2callback",
]  # fmt: skip


@pytest.fixture(scope="module")
def lan(tmp_path_factory):
    with served(tmp_path_factory.mktemp("lan") / "home", "--lan") as server:
        yield server


@pytest.fixture(scope="module")
def bench(tmp_path_factory):
    with served(tmp_path_factory.mktemp("bench") / "home") as server:
        yield server


def ask(port, method="GET", path="/", body=None, address="127.0.0.1", **headers):
    link = http.client.HTTPConnection(address, port, timeout=60)
    try:
        link.request(method, path, body, headers)
        answer = link.getresponse()
        return answer.status, answer.headers, answer.read().decode("utf-8", "replace")
    finally:
        link.close()


def passphrase_of(server):
    return next(line for line in server.said if line.startswith("Passphrase: "))[12:]


def logged_in(server):
    form = urlencode({"passphrase": passphrase_of(server), "next": "/"})
    kind = "application/x-www-form-urlencoded"
    headers = {"Origin": f"http://127.0.0.1:{server.port}", "Content-Type": kind}
    status, answer, _ = ask(server.port, "POST", "/passphrase", form, **headers)
    assert status == 303
    return answer["Set-Cookie"].split(";")[0]


def stream(port, **headers):
    return connect(
        f"ws://127.0.0.1:{port}/_stcore/stream", subprotocols=["streamlit"], open_timeout=60,
        origin=f"http://127.0.0.1:{port}", additional_headers=headers,
    )  # fmt: skip


def reachable(address, port):
    with socket.socket() as caller:
        caller.settimeout(5)
        return caller.connect_ex((address, port)) == 0


@pytest.mark.skipif(not network_addresses(), reason="this computer is on no network")
def test_only_this_computer_reaches_it_unless_the_network_is_asked_for(bench, lan):
    for address in network_addresses():
        assert not reachable(address, bench.port)
        assert reachable(address, lan.port)
    assert reachable("127.0.0.1", bench.port)


def test_on_this_computer_the_dashboard_is_open(bench):
    status, _, text = ask(bench.port)
    assert status == 200
    assert "<script" in text
    assert ask(bench.port, path="/_stcore/health")[2] == "ok"
    with stream(bench.port) as websocket:
        assert websocket.subprotocol == "streamlit"


def test_without_the_passphrase_no_part_of_streamlit_answers(lan):
    for path in STREAMLIT_PLACES:
        for method in ("GET", "PUT", "POST", "DELETE", "OPTIONS"):
            own = {"Origin": f"http://127.0.0.1:{lan.port}"}
            assert ask(lan.port, method, path, **own)[::2] == (401, "The passphrase is needed.")
    with pytest.raises(InvalidStatus, match="403"):
        stream(lan.port)


def test_with_it_streamlit_answers(lan):
    cookie = logged_in(lan)
    assert ask(lan.port, path="/_stcore/health", Cookie=cookie)[2] == "ok"
    assert "<script" in ask(lan.port, Cookie=cookie)[2]
    with stream(lan.port, Cookie=cookie) as websocket:
        assert websocket.subprotocol == "streamlit"


def test_it_says_where_it_is_and_what_that_means(lan):
    told = "\n".join(lan.said)
    for address in network_addresses():
        assert f"http://{address}:{lan.port}" in told
    assert ("█" in told) == bool(network_addresses())
    assert lan.said[-3:] == [
        "Everybody on this network who knows the passphrase can see and change the shop's record.",
        "Nothing is encrypted on the way, so use it inside the shop's own network only, never on a "
        "guest or public one.",
        "It stays open until you stop it here with Ctrl-C.",
    ]


def test_the_passphrase_is_made_once_and_said_once(tmp_path):
    home = tmp_path / "home"
    with served(home, "--lan") as first:
        passphrase, cookie = passphrase_of(first), logged_in(first)
    log = (tmp_path / "home.log").read_text()
    assert "\n".join(first.said).count(passphrase) == 1
    assert not [word for word in passphrase.split() if re.search(rf"\b{word}\b", log)]
    assert first.said[-1] == "Scrapeview is stopped."
    assert first.process.returncode == 0
    assert "Traceback" not in log
    assert LockFile(home).lock().opens(passphrase)
    with served(home, "--lan") as second:
        assert not [line for line in second.said if line.startswith("Passphrase: ")]
        assert ask(second.port, path="/_stcore/health", Cookie=cookie)[0] == 200
    with served(home, "--lan", "--new-passphrase") as third:
        assert passphrase_of(third) != passphrase
        assert ask(third.port, path="/_stcore/health", Cookie=cookie)[0] == 401


def test_the_limits_hold_whatever_a_settings_file_says(tmp_path):
    (tmp_path / ".streamlit").mkdir()
    (tmp_path / ".streamlit" / "config.toml").write_text(
        '[server]\nmaxUploadSize = 9999\n[client]\nshowErrorDetails = "full"\n'
    )
    asked = [
        "from streamlit import config",
        "from scrapeview.dashboard.served import dashboard_app",
        "print(config.get_option('server.maxUploadSize'))",
        "dashboard_app()",
        "print(config.get_option('server.maxUploadSize'))",
        "print(config.get_option('client.showErrorDetails'))",
    ]
    answer = subprocess.run(
        [sys.executable, "-c", "\n".join(asked)], cwd=tmp_path, capture_output=True, text=True,
        timeout=120, check=True,
    )  # fmt: skip
    assert answer.stdout.split() == ["9999", str(LARGEST_UPLOAD_MB), "none"]
    assert LARGEST_UPLOAD_MB == 64


def test_installed_without_the_checkout_it_serves_as_well(tmp_path, monkeypatch):
    installed = tmp_path / "site"
    shutil.copytree(
        Path(scrapeview.__file__).parent, installed / "scrapeview",
        ignore=shutil.ignore_patterns("__pycache__"),
    )  # fmt: skip
    (installed / "run.py").write_text(
        "import scrapeview\n"
        "from scrapeview.cli import main\n"
        f"assert scrapeview.__file__.startswith({str(installed)!r})\n"
        "main()\n"
    )
    monkeypatch.setenv("PYTHONPATH", str(installed))
    command = [sys.executable, str(installed / "run.py")]
    with served(tmp_path / "home", command=command) as server:
        assert ask(server.port, path="/_stcore/health")[2] == "ok"
        assert "<script" in ask(server.port)[2]


def test_the_package_s_own_entry_shows_the_same_pages(tmp_path, monkeypatch):
    monkeypatch.setenv("SCRAPEVIEW_HOME", str(tmp_path))
    entry = ROOT / "scrapeview" / "dashboard" / "entry.py"
    shown = [
        AppTest.from_file(str(path), default_timeout=120).run() for path in (entry, ROOT / "app.py")
    ]
    assert not shown[0].exception
    assert shown[0].title[0].value == shown[1].title[0].value


def test_the_checkout_s_own_entry_is_found_and_else_the_package_s(tmp_path, monkeypatch):
    assert served_module.entry_script() == ROOT / "app.py"
    monkeypatch.setattr(served_module, "_PACKAGE", tmp_path / "scrapeview")
    # an app.py of something else may lie beside installed packages
    (tmp_path / "app.py").write_text("")
    assert served_module.entry_script() == tmp_path / "scrapeview" / "dashboard" / "entry.py"


@pytest.fixture(autouse=True)
def _no_home_left_behind(monkeypatch):
    monkeypatch.setenv("SCRAPEVIEW_HOME", "")


def refused(*options):
    result = CliRunner().invoke(app, ["serve", *options])
    assert result.exit_code == 2
    assert "Traceback" not in result.output
    return result.output


def test_a_port_that_is_taken_is_said_in_words_and_nothing_is_made(tmp_path):
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        told = refused(
            "--port", str(taken.getsockname()[1]), "--home", str(tmp_path / "home"), "--lan",
            "--new-passphrase",
        )  # fmt: skip
    assert "is taken by another program. Choose another one with --port." in told
    assert not (tmp_path / "home" / FILE_NAME).exists()


def test_a_passphrase_for_this_computer_only_is_refused(tmp_path):
    assert "add --lan" in refused("--new-passphrase", "--home", str(tmp_path))


def test_a_folder_that_is_a_file_is_refused_in_words(tmp_path):
    (tmp_path / "file").write_text("")
    assert "file" in refused("--port", "0", "--home", str(tmp_path / "file"))


def test_a_spoilt_passphrase_file_is_refused_in_words(tmp_path):
    (tmp_path / FILE_NAME).write_text("spoilt")
    assert "--new-passphrase" in refused("--port", "0", "--home", str(tmp_path), "--lan")


@pytest.mark.skipif(os.name != "posix", reason="signals are of POSIX systems")
def test_it_stops_at_once_though_a_page_is_open(tmp_path):
    with served(tmp_path / "home") as server, stream(server.port):
        server.process.send_signal(signal.SIGINT)
        assert server.process.wait(timeout=60) == 0
