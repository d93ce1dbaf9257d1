"""Let only one station work on a data folder."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Final

from filelock import FileLock, Timeout

from shedstation.domain.errors import WorldFault
from shedstation.domain.message import Message

LOCK_NAME: Final = "station.lock"


@contextmanager
def station_lock(folder: Path) -> Iterator[None]:
    """Hold the data folder while a station writes to it; the folder is made if need be.

    Raises:
        WorldFault: if another station holds it, or it cannot be written to.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
        lock = FileLock(folder / LOCK_NAME)
        lock.acquire(timeout=0)
    except Timeout as error:
        raise WorldFault(Message("store.already_open", {"folder": str(folder)})) from error
    except OSError as error:
        values = {"folder": str(folder), "why": error.strerror or str(error)}
        raise WorldFault(Message("store.cannot_write", values)) from error
    try:
        yield
    finally:
        lock.release()
