"""Opening the record and giving connections to it."""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Self

import platformdirs
from sqlalchemy import Connection, Engine

from scrapeview.errors import RecordError
from scrapeview.record import database
from scrapeview.record.migrations import migrate
from scrapeview.record.photographs import PhotographFolder

FILE = "record.sqlite"


class Opened:
    """An open record, before anything is asked of it.

    Attributes
    ----------
    home : Path
        Folder of the photographs, and of the SQLite file.
    place : str
        Where the record lives, in words, without any password.
    """

    def __init__(self, engine: Engine, home: Path, place: str) -> None:
        self.home = home
        self.place = place
        self._engine = engine
        self._writer = database.writer_of(engine)
        self._photographs = PhotographFolder(home)

    @classmethod
    def open(cls, home: Path | None = None, url: str | None = None) -> Self:
        """Open the record, made and brought up to date where it has to be.

        Parameters
        ----------
        home : Path, optional
            Folder; else the one SCRAPEVIEW_HOME names, else one in the user's data folder.
        url : str, optional
            Of a PostgreSQL database; else the one SCRAPEVIEW_RECORD names, else a file in the
            folder. The photographs lie in the folder either way, so benches that share a database
            share the folder as well.

        Raises
        ------
        RecordError
            Where it cannot be opened, or was written by a newer version.
        """
        home = home_of(home)
        url = url or os.environ.get("SCRAPEVIEW_RECORD")
        try:
            home.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise RecordError(
                f"The record's folder '{home}' cannot be made: {error.strerror or error}."
            ) from None
        engine = database.open_postgresql(url) if url else database.open_sqlite(home / FILE)
        record = cls(engine, home, _place(engine, home))
        try:
            with database.in_words(record.place):
                migrate(record._writer)
        except BaseException:
            record.close()
            raise
        return record

    def close(self) -> None:
        """Let go of the database."""
        self._engine.dispose()

    @contextmanager
    def looking(self) -> Iterator[Connection]:
        """Give a connection that sees one state of the record throughout and writes nothing."""
        with database.in_words(self.place), self._engine.connect() as db:
            yield db

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """Give a connection whose changes are all kept together at the end, or none of them."""
        with database.in_words(self.place), self._writer.begin() as db:
            yield db


def home_of(home: Path | None = None) -> Path:
    """Return the folder of the record: the one that is told, else SCRAPEVIEW_HOME, else the usual.

    Parameters
    ----------
    home : Path, optional
    """
    return Path(home or os.environ.get("SCRAPEVIEW_HOME") or _own_folder()).absolute()


def _own_folder() -> str:
    return platformdirs.user_data_dir("scrapeview", appauthor=False)


def _place(engine: Engine, home: Path) -> str:
    if engine.dialect.name == "sqlite":
        return f"the file {home / FILE}"
    url = engine.url
    return (
        f"the PostgreSQL database '{url.database}' on {url.host or 'this computer'}, with the "
        f"photographs in {home}"
    )
