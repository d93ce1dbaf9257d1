"""Open the data folder's database with the settings that lose nothing."""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Final

from sqlalchemy import URL, Engine, create_engine, event
from sqlalchemy.exc import DBAPIError
from sqlalchemy.pool import NullPool, StaticPool

from shedstation.domain.errors import WorldFault
from shedstation.domain.message import Message

FILE_NAME: Final = "shed.db"

# With NORMAL instead of FULL a power cut loses boxes that were already acknowledged.
_WRITER_PRAGMAS: Final = (
    "journal_mode=WAL",
    "synchronous=FULL",
    "foreign_keys=ON",
    "busy_timeout=5000",
    "trusted_schema=OFF",
    "cell_size_check=ON",
)
_READER_PRAGMAS: Final = (
    "query_only=ON",
    "wal_autocheckpoint=0",
    "busy_timeout=5000",
    "trusted_schema=OFF",
)

_WORLD: Final = {
    sqlite3.SQLITE_FULL: "store.disk_full",
    sqlite3.SQLITE_READONLY: "store.read_only",
    sqlite3.SQLITE_CANTOPEN: "store.cannot_open",
    sqlite3.SQLITE_IOERR: "store.disk_error",
    sqlite3.SQLITE_CORRUPT: "store.damaged",
    sqlite3.SQLITE_NOTADB: "store.not_a_database",
    sqlite3.SQLITE_BUSY: "store.busy",
    sqlite3.SQLITE_PERM: "store.read_only",
}
"""SQLite's primary result codes that the world is to blame for; any other is our own fault."""


def writer_engine(folder: Path) -> Engine:
    """Make the engine of the one connection that writes and checkpoints."""
    engine = create_engine(_url(folder / FILE_NAME), poolclass=StaticPool)
    _prepare(engine, _WRITER_PRAGMAS, "BEGIN IMMEDIATE")
    return engine


def reader_engine(folder: Path, file_name: str = FILE_NAME) -> Engine:
    """Make an engine that cannot write, for reading while a station is open."""
    engine = create_engine(_url(folder / file_name), poolclass=NullPool)
    _prepare(engine, _READER_PRAGMAS, "BEGIN")
    return engine


def _url(file: Path) -> URL:
    """Name the file as it is: a folder may have a `?` or a `%` in its name."""
    return URL.create("sqlite", database=str(file))


def _prepare(engine: Engine, pragmas: tuple[str, ...], begin: str) -> None:
    @event.listens_for(engine, "connect")
    def on_connect(connection: Any, _record: object) -> None:  # noqa: ANN401  # DBAPI connection
        connection.isolation_level = None
        for pragma in pragmas:
            connection.execute(f"PRAGMA {pragma}").close()

    @event.listens_for(engine, "begin")
    def on_begin(connection: Any) -> None:  # noqa: ANN401  # SQLAlchemy connection
        connection.exec_driver_sql(begin)


@contextmanager
def world_faults(folder: Path) -> Iterator[None]:
    """Turn the disk's and the file's faults into sentences; leave our own as they are."""
    try:
        yield
    except DBAPIError as error:
        raise_world_fault(error.orig, folder)
        raise
    except sqlite3.Error as error:
        raise_world_fault(error, folder)
        raise


def raise_world_fault(error: BaseException | None, folder: Path) -> None:
    """Raise the sentence for a database error, if the world is to blame for it."""
    code = getattr(error, "sqlite_errorcode", None)
    name = None if code is None else _WORLD.get(code & 0xFF)
    if name is not None:
        values = {"file": str(folder / FILE_NAME), "why": str(error)}
        raise WorldFault(Message(name, values)) from error
