"""Read and write captures: what a scale sent, as it came."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Final, TextIO

from shedstation.domain.errors import WorldFault
from shedstation.domain.message import Message

_LINE: Final = re.compile(r"(\d{1,9}(?:\.\d{1,6})?)\t(!lost|!back|(?:[0-9A-Fa-f]{2})+)", re.ASCII)
_SHOWN: Final = 60


@dataclass(frozen=True, slots=True)
class Chunk:
    """Bytes that arrived together, not always whole frames."""

    at_s: float
    data: bytes


@dataclass(frozen=True, slots=True)
class Mark:
    """The port going (lost) or returning (back)."""

    at_s: float
    is_lost: bool


def read_capture(path: Path) -> Iterator[Chunk | Mark]:
    """Give a capture's chunks and marks in order.

    Raises:
        WorldFault: naming file and line, if the file cannot be read or a line is not of the form
            `seconds<TAB>HEX`, `seconds<TAB>!lost` or `seconds<TAB>!back` with seconds that never fall.
    """
    last_s = 0.0
    for number, line in enumerate(_lines(path), start=1):
        text = line.rstrip("\r\n")
        if not text or text.startswith("#"):
            continue
        found = _LINE.fullmatch(text)
        if not found:
            raise _bad(path, number, "files.capture_line", found=text[:_SHOWN])
        at_s = float(found.group(1))
        if at_s < last_s:
            raise _bad(path, number, "files.capture_time_falls", found=found.group(1))
        last_s = at_s
        yield _entry(at_s, found.group(2))


def _entry(at_s: float, text: str) -> Chunk | Mark:
    if text.startswith("!"):
        return Mark(at_s, text == "!lost")
    return Chunk(at_s, bytes.fromhex(text))


def _lines(path: Path) -> Iterator[str]:
    try:
        with path.open(encoding="utf-8", newline="\n") as file:
            yield from file
    except OSError as error:
        values = {"file": str(path), "why": error.strerror or ""}
        raise WorldFault(Message("files.cannot_read", values)) from error
    except UnicodeDecodeError as error:
        raise WorldFault(Message("files.not_utf8", {"file": str(path)})) from error


def _bad(path: Path, number: int, name: str, **values: object) -> WorldFault:
    return WorldFault(Message(name, {"file": str(path), "line": number, **values}))


class CaptureWriter:
    """Writes what a scale sends to a capture."""

    def __init__(self, file: TextIO, *, zero_s: float) -> None:
        """Write to an open text file; `zero_s` is the moment that becomes second 0."""
        self._file = file
        self._zero_s = zero_s

    @property
    def name(self) -> str:
        """Get the file's name; empty if it has none."""
        return str(getattr(self._file, "name", ""))

    def note(self, text: str) -> None:
        """Write a line for people, which no reader takes for bytes."""
        self._file.write(f"# {text}\n")

    def chunk(self, at_s: float, data: bytes) -> None:
        """Write bytes that arrived."""
        self._file.write(f"{self._seconds(at_s)}\t{data.hex().upper()}\n")

    def mark(self, at_s: float, *, lost: bool) -> None:
        """Write that the port went or returned."""
        self._file.write(f"{self._seconds(at_s)}\t{'!lost' if lost else '!back'}\n")

    def _seconds(self, at_s: float) -> str:
        return f"{max(at_s - self._zero_s, 0.0):.6f}".rstrip("0").rstrip(".") or "0"
