"""Create the tables, lift those of an earlier version, and refuse a file of a later one."""

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Final

from sqlalchemy import Connection, Engine

from shedstation.domain.errors import WorldFault
from shedstation.domain.message import Message
from shedstation.store.connect import FILE_NAME, world_faults
from shedstation.store.tables import METADATA, audits, reweighs

VERSION: Final = 3
"""Version of the tables in this program; kept in the file as SQLite's user_version."""


def version_of(conn: Connection) -> int:
    """Give the version of a file's tables; 0 for a new file."""
    return int(conn.exec_driver_sql("PRAGMA user_version").scalar_one())


def create(conn: Connection) -> None:
    """Create the tables in a new file."""
    METADATA.create_all(conn)
    _set_version(conn, VERSION)


def lift(conn: Connection) -> None:
    """Lift the tables of an earlier version to this one's, inside the caller's transaction."""
    for version in range(version_of(conn), VERSION):
        _STEPS[version](conn)
        _set_version(conn, version + 1)


def _set_version(conn: Connection, version: int) -> None:
    conn.exec_driver_sql(f"PRAGMA user_version={version}")


def _from_1(conn: Connection) -> None:
    """Add what a box typed by hand and a check of the scale need; no fact so far holds either."""
    conn.exec_driver_sql("ALTER TABLE boxes ADD COLUMN by_hand BOOLEAN DEFAULT 0 NOT NULL")
    conn.exec_driver_sql("ALTER TABLE benches ADD COLUMN last_check TEXT")


def _from_2(conn: Connection) -> None:
    """Add what told fruit, cups, boxes weighed again and audits need; no fact so far holds any."""
    conn.exec_driver_sql("ALTER TABLE benches ADD COLUMN cups TEXT")
    conn.exec_driver_sql("ALTER TABLE boxes ADD COLUMN fruit TEXT")
    METADATA.create_all(conn, tables=[reweighs, audits])


_STEPS: Final[Mapping[int, Callable[[Connection], None]]] = {1: _from_1, 2: _from_2}
"""How to go on from each earlier version to the one after it."""


_SINCE: Final[Mapping[str, int]] = {reweighs.name: 3, audits.name: 3}
"""The version that brought each table; the others are there from the first."""


def _tables_of(version: int) -> set[str]:
    return {name for name in METADATA.tables if _SINCE.get(name, 1) <= version}


def known_version(engine: Engine, folder: Path) -> int:
    """Give the version of a file that is only read, if this program knows it.

    Raises:
        WorldFault: if it is another program's file, an empty one, or a later version's.
    """
    with world_faults(folder), engine.connect() as conn:
        found = version_of(conn)
        held = {row[0] for row in conn.exec_driver_sql("SELECT name FROM sqlite_master")}
    check_version(found, folder)
    if found == 0 or not _tables_of(found) <= held:
        raise WorldFault(Message("store.not_ours", {"file": str(folder / FILE_NAME)}))
    return found


def check_version(found: int, folder: Path) -> None:
    """Refuse a version that this program does not know.

    Raises:
        WorldFault: if the version is newer than this program's.
    """
    if found > VERSION:
        values = {"folder": str(folder), "found": found, "known": VERSION}
        raise WorldFault(Message("store.newer_schema", values))
