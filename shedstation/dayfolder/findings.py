"""Gather all that is wrong with a file, and tell it at once."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from shedstation.domain.errors import WorldFault
from shedstation.domain.message import Message


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing that is wrong, and where."""

    file: Path
    line: int
    message: Message


class BadFile(WorldFault):
    """A file with one or more findings; nothing of it was carried out."""

    def __init__(self, findings: Sequence[Finding]) -> None:
        """Carry all findings in the order of files and lines."""
        self.findings = tuple(sorted(findings, key=lambda each: (str(each.file), each.line)))
        super().__init__(Message("files.findings", {"count": len(self.findings)}))


class Findings:
    """What was found so far in one file."""

    def __init__(self, file: Path) -> None:
        """Start with nothing found."""
        self.file = file
        self.found: list[Finding] = []

    def add(self, line: int, name: str, **values: object) -> None:
        """Note something wrong."""
        self.found.append(Finding(self.file, line, Message(f"files.{name}", values)))

    def raise_any(self) -> None:
        """Tell all at once.

        Raises:
            BadFile: if anything was found.
        """
        if self.found:
            raise BadFile(self.found)
