"""Write files whole or not at all."""

import os
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from shedstation.domain.errors import WorldFault
from shedstation.domain.message import Message


def write_whole(path: Path, data: bytes) -> Path:
    """Write a file under another name, force it to the disk, then give it its name.

    Raises:
        WorldFault: if the folder cannot be written to; a file of that name stays as it was.
    """
    part = path.with_name(f"{path.name}.part")
    with _faults(path):
        path.parent.mkdir(parents=True, exist_ok=True)
        try:
            with part.open("wb") as file:
                file.write(data)
                file.flush()
                os.fsync(file.fileno())
            part.replace(path)
        except OSError:
            with suppress(OSError):
                part.unlink(missing_ok=True)
            raise
    return path


@contextmanager
def _faults(path: Path) -> Iterator[None]:
    try:
        yield
    except OSError as error:
        values = {"file": str(path), "why": error.strerror or str(error)}
        raise WorldFault(Message("export.cannot_write", values)) from error
