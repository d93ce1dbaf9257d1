"""Create the tables, and refuse a file that a later version wrote."""

from pathlib import Path
from typing import Final

from sqlalchemy import Engine

from shedstation.domain.errors import WorldFault
from shedstation.domain.message import Message
from shedstation.store.connect import world_faults
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


def check_version(found: int, folder: Path) -> None:
    """Refuse a version that this program does not know.

    Raises:
        WorldFault: if the version is newer than this program's.
    """
    if found > VERSION:
        values = {"folder": str(folder), "found": found, "known": VERSION}
        raise WorldFault(Message("store.newer_schema", values))
