"""Open data that is only read, whichever version of the program wrote it."""

import sqlite3
from contextlib import closing
from pathlib import Path

from sqlalchemy import Engine, create_engine
from sqlalchemy.pool import StaticPool

from shedstation.store.connect import FILE_NAME, reader_engine, world_faults
from shedstation.store.schema import VERSION, known_version, lift


def current_reader(folder: Path, file_name: str = FILE_NAME) -> Engine:
    """Give an engine that cannot change the file and shows it with this version's tables.

    A file of an earlier version is read from a lifted copy in memory.

    Raises:
        WorldFault: if it is no station's file, a later version's, or cannot be read.
    """
    engine = reader_engine(folder, file_name)
    try:
        if known_version(engine, folder) == VERSION:
            return engine
        engine.dispose()
        return _lifted_copy(folder / file_name)
    except BaseException:
        engine.dispose()
        raise


def _lifted_copy(file: Path) -> Engine:
    with world_faults(file.parent):
        memory = sqlite3.connect(":memory:", check_same_thread=False)
        with closing(sqlite3.connect(f"{file.resolve().as_uri()}?mode=ro", uri=True)) as source:
            source.backup(memory)
        engine = create_engine("sqlite://", creator=lambda: memory, poolclass=StaticPool)
        with engine.begin() as conn:
            lift(conn)
    return engine
