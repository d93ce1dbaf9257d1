"""Hand labels over: to a folder of PDFs, or into one collected PDF."""

import os
from contextlib import suppress
from pathlib import Path

from shedstation.domain.box import LabelJob
from shedstation.domain.errors import WorldFault
from shedstation.domain.message import Message
from shedstation.labels.render import render_labels


class FolderSpool:
    """Writes each label as a PDF of its own; a label handed over twice is the same file."""

    def __init__(self, folder: Path, *, printer_dpi: int) -> None:
        """Spool into a folder, which is made if need be."""
        self._folder = folder
        self._printer_dpi = printer_dpi

    def hand_over(self, job: LabelJob) -> None:
        """Write the label.

        Raises:
            WorldFault: if the folder cannot be written to; no part of a file is left then.
        """
        data = render_labels([job], printer_dpi=self._printer_dpi)
        target = self._folder / f"{job.job}.pdf"
        part = target.with_suffix(".part")
        try:
            self._folder.mkdir(parents=True, exist_ok=True)
            with part.open("wb") as file:
                file.write(data)
                file.flush()
                os.fsync(file.fileno())
            part.replace(target)
        except OSError as error:
            with suppress(OSError):
                part.unlink(missing_ok=True)
            values = {"folder": str(self._folder), "why": error.strerror or str(error)}
            raise WorldFault(Message("labels.cannot_spool", values)) from error


class CollectingSpool:
    """Keeps the labels of a day that runs without a screen, to draw them together at its end."""

    def __init__(self) -> None:
        """Start with none."""
        self.jobs: list[LabelJob] = []

    def hand_over(self, job: LabelJob) -> None:
        """Keep the label."""
        self.jobs.append(job)
