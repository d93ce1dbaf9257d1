"""Find the line of a key in a TOML text, so that a finding can say where."""

import re
from typing import Final

_HEADER: Final = re.compile(r"\s*(\[\[?)\s*([A-Za-z0-9_\-\"']+)\s*\]\]?\s*(?:#.*)?")
_KEY: Final = re.compile(r"\s*[\"']?([A-Za-z0-9_\-]+)[\"']?\s*=")


class Places:
    """Where tables and keys stand in a TOML text."""

    def __init__(self, text: str) -> None:
        """Read the text once; multi-line values only make later keys approximate."""
        self._lines: dict[tuple[str, int, str], int] = {}
        counts: dict[str, int] = {}
        table, index = "", 0
        for number, line in enumerate(text.splitlines(), start=1):
            if header := _HEADER.fullmatch(line):
                table = header.group(2).strip("\"'")
                index = counts.get(table, -1) + 1
                counts[table] = index
                self._lines[table, index, ""] = number
            elif key := _KEY.match(line):
                self._lines.setdefault((table, index, key.group(1)), number)

    def line(self, table: str, index: int = 0, key: str = "") -> int:
        """Give a key's line, else its table's, else the first."""
        own = self._lines.get((table, index, key))
        return own or self._lines.get((table, index, ""), 0) or self._lines.get(("", 0, table), 1)
