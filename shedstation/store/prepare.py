"""Make a data folder ready for this version of the program: to write in, or only to read."""

from pathlib import Path

from sqlalchemy import Engine

from shedstation.store.backup import verified_copy
from shedstation.store.connect import world_faults
from shedstation.store.schema import VERSION, check_version, create, lift, version_of


def prepare(engine: Engine, folder: Path) -> None:
    """Create the tables in a new file; lift those of an earlier version after a verified backup.

    The backup stays beside the data: `shed-form-1.backup`. If anything goes wrong on the way, the
    data is as it was.

    Raises:
        WorldFault: if a later version of the program wrote the file, it cannot be used, or no
            backup could be made.
    """
    with world_faults(folder), engine.begin() as conn:
        found = version_of(conn)
        check_version(found, folder)
        if found == 0:
            create(conn)
    if 0 < found < VERSION:
        verified_copy(engine, _free_name(folder, found))
        with world_faults(folder), engine.begin() as conn:
            lift(conn)


def _free_name(folder: Path, version: int) -> Path:
    """Give a backup's name that is not taken: no earlier backup is ever written over."""
    target, number = folder / f"shed-form-{version}.backup", 1
    while target.exists():
        number += 1
        target = folder / f"shed-form-{version}-{number}.backup"
    return target
