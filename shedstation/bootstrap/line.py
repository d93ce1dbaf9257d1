"""Keep the line to the bench's scale: connect it, report on it, catch its bytes in a file."""

import time
import traceback
from collections.abc import Callable, Iterator, Sequence
from datetime import datetime
from itertools import count
from pathlib import Path
from typing import TextIO

from shedstation.bootstrap.finding import find_scale, ports_there
from shedstation.devices.capture import CaptureWriter
from shedstation.devices.languages.decode import AUTO, spoken_languages
from shedstation.devices.languages.language import Language
from shedstation.devices.lines.opening import top_bits, transport_to
from shedstation.devices.lines.reader import ScaleReader
from shedstation.domain.errors import WorldFault
from shedstation.domain.farm import Bench, Sends
from shedstation.domain.line_report import LineReport, PortChoice
from shedstation.domain.line_state import LineState
from shedstation.domain.message import Message
from shedstation.domain.reading import ScaleEvent
from shedstation.domain.scale_found import Step


class LiveLine:
    """The line to the bench's scale, which can be changed while the station runs."""

    def __init__(
        self,
        save_report: Callable[[str], str],
        known: Callable[[], tuple[Language, ...]],
    ) -> None:
        """Start unconnected.

        Args:
            save_report: Saves a report of a fault of our own and says where it is.
            known: Gives the languages that are known.
        """
        self._known = known
        self._save_report = save_report
        self._reader: ScaleReader | None = None
        self._deliver: Callable[[ScaleEvent], None] = _deaf
        self._file: TextIO | None = None
        self._settings = ""
        self.bench: Bench | None = None
        """The bench as it was connected last, if it ever was."""

        self.port: str | None = None
        """The port that is read, if any is."""

    def listen(self, deliver: Callable[[ScaleEvent], None]) -> None:
        """Give each event to `deliver`."""
        self._deliver = deliver

    def connect(self, bench: Bench, *, just_chosen: bool = False) -> None:
        """Read a bench's port from now on.

        Args:
            bench: A bench with a port, and with the settings of its scale.
            just_chosen: Whether a person chose it now, which decides between adapters that are alike.

        Raises:
            WorldFault: if the port's name is of a kind that is not opened, or the language is not known.
        """
        port, bits = bench.port or "", bench.bits
        languages = spoken_languages(bench.scale, self._known())
        transport = transport_to(port, baud=bench.baud, bits=bits, just_chosen=just_chosen)
        self.stop()
        self._reader = ScaleReader(
            transport,
            None if bench.scale == AUTO else languages[0],
            known=languages,
            bits=top_bits(bits),
            division=bench.division,
            streams=bench.sends is Sends.STREAM,
            deliver=self._pass_on,
            now_s=time.monotonic,
            report=self._report_fault,
        )
        self._reader.start()
        self._settings = f"{bench.baud} baud, bits {bits}, language {bench.scale}"
        self.bench = bench
        self.port = port

    def resume(self) -> None:
        """Read again what was read last, if anything ever was.

        Raises:
            WorldFault: if it cannot be.
        """
        if self.bench is not None and self._reader is None:
            self.connect(self.bench)

    def _pass_on(self, event: ScaleEvent) -> None:
        self._deliver(event)

    def _report_fault(self, fault: Exception) -> str:
        return self._save_report("".join(traceback.format_exception(fault)))

    def stop(self) -> None:
        """Stop reading."""
        self._end_capture()
        if self._reader is not None:
            self._reader.stop()
            self._reader = None
        self.port = None

    def report(self) -> LineReport:
        """Say how the line does at this moment."""
        reader = self._reader
        if reader is None:
            return LineReport(state=LineState.CLOSED, say=Message("line.closed"))
        return LineReport(
            state=reader.changed.state,
            say=reader.changed.say,
            quality=reader.log.quality(),
            heard=reader.log.heard(),
            language=reader.language,
            capture=self._file.name if self._file and reader.is_capturing else None,
        )

    def find(self, port: str, *, ask: bool) -> Iterator[Step]:
        """Search for what a scale on a port speaks, step by step.

        Raises:
            WorldFault: if the port cannot be opened.
        """
        return find_scale(port, ask=ask, languages=self._known())

    def raw(self) -> Sequence[tuple[float, bytes]]:
        """Give the last chunks as they came."""
        return () if self._reader is None else self._reader.log.chunks()

    def new_capture(self) -> Path:
        """Propose a file to catch bytes in, named after the time."""
        return Path.home() / f"scale-{datetime.now().astimezone():%Y%m%d-%H%M%S}.cap"

    def capture(self, path: Path | None) -> Path | None:
        """Write what arrives to a file from now on, or stop doing so.

        Returns:
            The file: another one beside it if there is one of that name.

        Raises:
            WorldFault: if the file cannot be written, or nothing is connected.
        """
        self._end_capture()
        if path is None:
            return None
        if self._reader is None:
            raise WorldFault(Message("line.closed"))
        try:
            self._file = _new_file(path)
            self._file.write(f"# {self._settings}\n")
        except OSError as error:
            self._end_capture()
            values = {"file": str(path), "why": error.strerror or ""}
            raise WorldFault(Message("export.cannot_write", values)) from error
        self._reader.capture_to(CaptureWriter(self._file, zero_s=time.monotonic()))
        return Path(self._file.name)

    def _end_capture(self) -> None:
        if self._reader is not None:
            self._reader.capture_to(None)
        file, self._file = self._file, None
        if file is not None:
            _close(file)

    def ports(self) -> Sequence[PortChoice]:
        """List the ports that exist."""
        return ports_there()

    def languages(self) -> Sequence[str]:
        """List the languages that are known."""
        return [AUTO, *(each.name for each in self._known())]


def _deaf(event: ScaleEvent) -> None:
    """Hear nothing until somebody listens."""
    del event


def _new_file(path: Path) -> TextIO:
    """Make a file under a name that is free; each line is on the disk once it is whole."""
    for free in _names(path):
        try:
            return free.open("x", encoding="utf-8", buffering=1)
        except FileExistsError:
            continue
    raise FileExistsError(path)


def _names(path: Path) -> Iterator[Path]:
    yield path
    for number in count(2):
        yield path.with_stem(f"{path.stem}-{number}")


def _close(file: TextIO) -> None:
    """Close a file; on a full disk what is left over is lost, which was told when it happened."""
    try:
        file.close()
    except OSError:
        return
