"""Create the tables, and refuse a file that a later version wrote."""

from pathlib import Path
from typing import Final

from sqlalchemy import Engine

from shedstation.domain.errors import WorldFault
from shedstation.domain.message import Message
from shedstation.store.connect import FILE_NAME, world_faults
from shedstation.store.tables import METADATA

VERSION: Final = 1
"""Version of the tables in this program; kept in the file as SQLite's user_version."""


def prepare(engine: Engine, folder: Path) -> None:
    """Create the tables in a new file.

    Raises:
        WorldFault: if a later version of the program wrote the file, or it cannot be used.
    """
    with world_faults(folder), engine.begin() as conn:
        found = int(conn.exec_driver_sql("PRAGMA user_version").scalar_one())
        check_version(found, folder)
        if found == 0:
            METADATA.create_all(conn)
            conn.exec_driver_sql(f"PRAGMA user_version={VERSION}")


def known_version(engine: Engine, folder: Path) -> None:
    """Look whether a file that is only read was written by a station this program knows.

    Raises:
        WorldFault: if it is another program's file, an empty one, or a later version's.
    """
    with world_faults(folder), engine.connect() as conn:
        found = int(conn.exec_driver_sql("PRAGMA user_version").scalar_one())
        held = {row[0] for row in conn.exec_driver_sql("SELECT name FROM sqlite_master")}
    check_version(found, folder)
    if found == 0 or not set(METADATA.tables) <= held:
        raise WorldFault(Message("store.not_ours", {"file": str(folder / FILE_NAME)}))


def check_version(found: int, folder: Path) -> None:
    """Refuse a version that this program does not know.

    Raises:
        WorldFault: if the version is newer than this program's.
    """
    if found > VERSION:
        values = {"folder": str(folder), "found": found, "known": VERSION}
        raise WorldFault(Message("store.newer_schema", values))
