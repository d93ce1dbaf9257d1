"""Read whole text files."""

from pathlib import Path
from typing import Final

from shedstation.domain.errors import WorldFault
from shedstation.domain.message import Message

MOST_BYTES: Final = 50_000_000


def read_text(path: Path) -> str:
    """Read a UTF-8 file, with or without a byte order mark.

    Raises:
        WorldFault: if it cannot be read, is not UTF-8, or is far too large for what it should be.
    """
    try:
        if path.stat().st_size > MOST_BYTES:
            raise WorldFault(Message("files.too_large", {"file": str(path)}))
        return path.read_text(encoding="utf-8-sig")
    except OSError as error:
        values = {"file": str(path), "why": error.strerror or ""}
        raise WorldFault(Message("files.cannot_read", values)) from error
    except UnicodeDecodeError as error:
        raise WorldFault(Message("files.not_utf8", {"file": str(path)})) from error
