"""Records to test on: in SQLite, and in PostgreSQL where there is a server to be had."""

import dataclasses
import hashlib
import os
import pwd
import secrets
import shutil
import subprocess
import tempfile
from pathlib import Path

import pytest
import sqlalchemy

from scrapeview.record import FacePlan, Record

SERVERS = Path("/usr/lib/postgresql")


@pytest.fixture(autouse=True)
def _own_surroundings(monkeypatch):
    monkeypatch.delenv("SCRAPEVIEW_RECORD", raising=False)
    monkeypatch.delenv("SCRAPEVIEW_HOME", raising=False)


def _as_server(*command):
    """PostgreSQL refuses to run as root."""
    return ["runuser", "-u", "postgres", "--", *command] if os.geteuid() == 0 else [*command]


def _own_server(folder):
    """Start a server in a folder that listens on a socket there only; return how to stop it."""
    programs = sorted(SERVERS.glob("*/bin"), key=lambda path: int(path.parent.name))
    if not programs:
        pytest.skip("no PostgreSQL server is installed and SCRAPEVIEW_TEST_POSTGRES is not set")
    if os.geteuid() == 0:
        try:
            shutil.chown(folder, pwd.getpwnam("postgres").pw_uid)
        except KeyError:
            pytest.skip("there is no user 'postgres' to run a PostgreSQL server as")
    control = str(programs[-1] / "pg_ctl")
    data = str(folder / "data")
    made = [str(programs[-1] / "initdb"), "-D", data, "-U", "bench", "-A", "trust", "-E", "UTF8"]
    told = {"listen_addresses": "", "unix_socket_directories": folder, "fsync": "off"}
    quick = {"autovacuum": "off", "full_page_writes": "off", "synchronous_commit": "off"}
    settings = " ".join(f"-c {name}={value}" for name, value in (told | quick).items())
    started = [control, "-D", data, "-w", "-l", str(folder / "log"), "-o", settings, "start"]
    for command in ([*made, "--no-sync"], started):
        subprocess.run(
            _as_server(*command), check=True, cwd=folder, timeout=60, stdout=subprocess.DEVNULL
        )
    return _as_server(control, "-D", data, "-m", "immediate", "stop")


@pytest.fixture(scope="session")
def server():
    """URL of a database on a PostgreSQL server that may make further ones."""
    told = os.environ.get("SCRAPEVIEW_TEST_POSTGRES")
    if told:
        yield told
        return
    folder = Path(tempfile.mkdtemp(prefix="scrapeview-server-"))
    try:
        stop = _own_server(folder)
        try:
            yield f"postgresql://bench@/postgres?unix_sock={folder}/.s.PGSQL.5432"
        finally:
            subprocess.run(stop, check=True, cwd="/", timeout=60, stdout=subprocess.DEVNULL)
    finally:
        shutil.rmtree(folder, ignore_errors=True)


@pytest.fixture(scope="session")
def own_database(server):
    """URL of a PostgreSQL database of this run's own."""
    url = sqlalchemy.make_url(server).set(drivername="postgresql+pg8000")
    engine = sqlalchemy.create_engine(url, isolation_level="AUTOCOMMIT")
    name = f"scrapeview_test_{os.getpid()}_{secrets.token_hex(4)}"
    with engine.connect() as db:
        db.exec_driver_sql(f"CREATE DATABASE {name}")
    yield url.set(drivername="postgresql", database=name).render_as_string(hide_password=False)
    with engine.connect() as db:
        db.exec_driver_sql(f"DROP DATABASE {name} WITH (FORCE)")
    engine.dispose()


@pytest.fixture
def database(own_database):
    """URL of an empty PostgreSQL database."""
    engine = sqlalchemy.create_engine(own_database.replace("postgresql:", "postgresql+pg8000:", 1))
    with engine.begin() as db:
        db.exec_driver_sql("DROP SCHEMA public CASCADE")
        db.exec_driver_sql("CREATE SCHEMA public")
    engine.dispose()
    return own_database


@pytest.fixture(params=["sqlite", "postgresql"])
def address(request):
    """None for SQLite, a URL for PostgreSQL: what `Record.open` takes."""
    return None if request.param == "sqlite" else request.getfixturevalue("database")


@pytest.fixture
def record(tmp_path, address):
    """An empty record, on either database in turn."""
    opened = Record.open(tmp_path / "home", address)
    yield opened
    opened.close()


@pytest.fixture
def in_sqlite(tmp_path):
    """An empty record in SQLite, for what does not depend on the database."""
    opened = Record.open(tmp_path / "in SQLite")
    yield opened
    opened.close()


def _face_in(record, name="flat way"):
    machine = record.add_machine("Invented grinder")
    part = record.add_part(machine.machine_id, "cross slide")
    return record.add_face(part.part_id, FacePlan(name=name, width_mm=110, height_mm=70))


@pytest.fixture
def face(record):
    """A face to keep prints of."""
    return _face_in(record)


@pytest.fixture(scope="session")
def face_in():
    """Make a face in a record of the test's own."""
    return _face_in


def _shot(reading, text):
    """A photograph's name and bytes, and the reading as if it were of that photograph."""
    photo = f"not a picture, but its bytes are told apart: {text}".encode()
    digest = hashlib.sha256(photo).hexdigest()
    return (f"{text}.jpg", photo), dataclasses.replace(reading, photo_sha256=digest)


@pytest.fixture(scope="session")
def small(reading):
    """A reading that is quick to store: only its first points and cells."""
    whole = reading("plain", 2)
    return dataclasses.replace(
        whole, points=whole.points.iloc[:6].copy(), cells=whole.cells.iloc[:4].copy(),
        contact_mask=whole.contact_mask[:7, :11].copy(),
    )  # fmt: skip


@pytest.fixture(scope="session")
def shot(small):
    """Photograph and reading to keep, from a text that tells it apart from others."""
    return lambda text, reading=small: _shot(reading, text)
