"""State what the desktop is handed: the station and the outside world behind plain calls."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Protocol

from shedstation.domain.day import DayRecord
from shedstation.domain.farm import Bench, Setup
from shedstation.domain.lesson import LessonSoFar
from shedstation.domain.line_report import LineReport, PortChoice
from shedstation.domain.mass import Mass, Unit
from shedstation.domain.message import Message
from shedstation.domain.reading import BadFrame, Reading, ScaleEvent
from shedstation.domain.scale_found import Step
from shedstation.station.station import Station


class PracticeControl(Protocol):
    """What can be done to a practice scale."""

    @property
    def address(self) -> str:
        """Get the port's name to read it at."""

    @property
    def is_plugged(self) -> bool:
        """Get whether its cable is in."""

    def put_box(self) -> None:
        """Put an empty box on."""

    def add_fruit(self) -> None:
        """Put one fruit in."""

    def add_little(self) -> None:
        """Put a very small fruit in."""

    def take_fruit(self, from_top: int = 1) -> None:
        """Take a fruit out and lay it beside the scale: 1 the last one put in, 2 the one before."""

    def put_back(self, weight: Mass | None = None) -> None:
        """Put a fruit that was taken out in again: the one that weighs nearest, or the last one."""

    def lift_off(self) -> None:
        """Take everything off."""

    def press_tare(self) -> None:
        """Press the scale's tare key."""

    def press_zero(self) -> None:
        """Press the scale's zero key."""

    @property
    def has_print_key(self) -> bool:
        """Get whether it sends only when its print key is pressed."""

    def press_print(self) -> None:
        """Press the scale's print key."""

    def shake(self) -> None:
        """Put a hand on the pan for a moment."""

    def plug(self, *, out: bool) -> None:
        """Pull the cable out, or put it back."""


class ScaleLine(Protocol):
    """The line to the bench's scale."""

    def listen(self, deliver: Callable[[ScaleEvent], None]) -> None:
        """Give each event to `deliver`, from another thread, from the next connection on."""

    @property
    def bench(self) -> Bench | None:
        """Get the bench as it was connected last, if it ever was."""

    @property
    def port(self) -> str | None:
        """Get the port that is read, if any is."""

    def connect(self, bench: Bench, *, just_chosen: bool = False) -> None:
        """Read a bench's port from now on; one that was just chosen is no other that is like it.

        Raises:
            WorldFault: if the port's name is of a kind that is not opened.
        """

    def stop(self) -> None:
        """Stop reading."""

    def resume(self) -> None:
        """Read again what was read last, if anything ever was.

        Raises:
            WorldFault: if it cannot be.
        """

    def report(self) -> LineReport:
        """Say how the line does: state, figures, the last readings with their bytes."""

    def find(self, port: str, *, ask: bool) -> Iterator[Step]:
        """Search for what a scale on a port speaks, step by step; may run in another thread.

        Raises:
            WorldFault: if the port cannot be opened.
        """

    def raw(self) -> Sequence[tuple[float, bytes]]:
        """Give the last chunks as they came."""

    def new_capture(self) -> Path:
        """Propose a file to catch bytes in."""

    def capture(self, path: Path | None) -> Path | None:
        """Write what arrives to a file from now on and give its name, or stop doing so.

        Raises:
            WorldFault: if the file cannot be written, or nothing is connected.
        """

    def ports(self) -> Sequence[PortChoice]:
        """List the serial ports that exist."""

    def languages(self) -> Sequence[str]:
        """List the languages that are known."""


class Teacher(Protocol):
    """A lesson in the language of the scale that is connected."""

    def so_far(self) -> LessonSoFar:
        """Say what was shown and learned."""

    def tried(self) -> Reading | BadFrame | None:
        """Say what the language makes of the last bytes that came."""

    def take(self, typed: str, unit: Unit) -> None:
        """Take the load that stands on the scale; may run in another thread.

        Raises:
            WorldFault: if what was typed is no weight, or nothing came from the scale.
        """

    def take_back(self) -> None:
        """Forget the last load."""

    def start_again(self) -> None:
        """Forget every load."""

    def save(self, name: str) -> str:
        """Save the language and give its file.

        Raises:
            WorldFault: if the name will not do, or it cannot be saved.
        """

    def adopt(self, file: Path) -> str:
        """Take over a language that somebody sent and give its name.

        Raises:
            WorldFault: if the file is not in the form, or its name is taken.
        """


class Records(Protocol):
    """Records and backups of the data."""

    def days(self) -> Sequence[date]:
        """List all days, newest first."""

    def day_record(self, day: date) -> DayRecord:
        """Give a day's record.

        Raises:
            WorldFault: if there is no such day.
        """

    def export(self, day: date, out: Path) -> Iterator[Path]:
        """Write a day's record file by file; may run in another thread.

        Raises:
            WorldFault: if the folder cannot be written to.
        """

    def back_up(self) -> str:
        """Make a verified backup and give its file; empty if no folder is chosen.

        Raises:
            WorldFault: if none was made.
        """

    def last_backup(self) -> date | None:
        """Give the day of the last good backup."""

    def trace_text(self, code: str) -> Message:
        """Say in a sentence what a scanned code is.

        Raises:
            WorldFault: if nothing goes by it.
        """


@dataclass(frozen=True, slots=True, kw_only=True)
class Desk:
    """All that the desktop works with."""

    station: Station
    line: ScaleLine
    teacher: Teacher
    records: Records
    practice: PracticeControl | None
    now_s: Callable[[], float]
    """A monotonic clock, the one that stamps readings."""

    clock_time: Callable[[float], str]
    """Gives the local time of a second of that clock, with tenths."""

    today: Callable[[], date]
    check_setup: Callable[[Setup], Sequence[Message]]
    """Gives what does not fit together in a setup."""

    templates: Sequence[str]
    default_defects: str
    """The trade's usual defects as `CODE name` lines."""


def last_safe(desk: Desk) -> date:
    """Give the day up to which nothing can be lost: the last backup's, else the first day packed."""
    days = desk.records.days()
    return desk.records.last_backup() or (days[-1] if days else desk.today())
