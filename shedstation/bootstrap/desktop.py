"""Wire the desktop: the station, its scale, records, printers and the practice scale."""

import csv
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack, suppress
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from datetime import time as day_time
from pathlib import Path
from typing import Final

from shedstation import resources
from shedstation.bootstrap.faults import saver_in
from shedstation.bootstrap.headless import open_ledger, pack_sample, reading_ledger
from shedstation.bootstrap.line import LiveLine
from shedstation.bootstrap.practice import SENDS, practice_like
from shedstation.bootstrap.teaching import LEARNED, LiveTeacher, known_languages
from shedstation.dayfolder.findings import Findings
from shedstation.dayfolder.places import Places
from shedstation.dayfolder.setup_checks import check_setup
from shedstation.dayfolder.station_file import check_values
from shedstation.devices.practice.scale import PracticeSetup
from shedstation.devices.practice.sending import Sending
from shedstation.devices.practice.server import PracticeServer
from shedstation.domain.box import LabelJob
from shedstation.domain.day import DayRecord
from shedstation.domain.errors import Refused, WorldFault
from shedstation.domain.farm import Sends, Setup, name_of
from shedstation.domain.lot import parse_label_code
from shedstation.domain.mass import Mass
from shedstation.domain.message import Message
from shedstation.export.record import write_steps
from shedstation.labels.check import check_template
from shedstation.labels.picture import picture
from shedstation.labels.spool import FolderSpool
from shedstation.presenters.told import with_fruit
from shedstation.station.ports import Clock, Spool
from shedstation.station.station import Station
from shedstation.store.backup import make_backup
from shedstation.store.connect import FILE_NAME
from shedstation.store.ledger import SqlLedger
from shedstation.store.trace import trace
from shedstation.ui.app import run_desktop
from shedstation.ui.desk import Desk
from shedstation.ui.printing import PrinterSpool
from shedstation.words import Words

_LABELS: Final = "labels"


class WallClock:
    """The live clock: readings are stamped by a monotonic one, facts by the wall's."""

    def utc(self, at_s: float) -> str:
        """Give the UTC time of a monotonic second, by the wall clock as it stands now.

        The two drift apart: a machine may sleep, or have its clock set right.
        """
        moment = datetime.now(UTC) - timedelta(seconds=time.monotonic() - at_s)
        return moment.isoformat(timespec="milliseconds").replace("+00:00", "Z")

    def begin(self, day: date, starts_at: day_time) -> None:
        """Ignore a day's beginning: the wall clock has its own."""


class LiveRecords:
    """Records and backups of an open data folder."""

    def __init__(self, ledger: SqlLedger, station: Station, words: Callable[[], Words]) -> None:
        """Work on an open ledger."""
        self._ledger = ledger
        self._station = station
        self._words = words

    def days(self) -> Sequence[date]:
        """List all days, newest first."""
        return self._ledger.days()

    def day_record(self, day: date) -> DayRecord:
        """Give a day's record.

        Raises:
            WorldFault: if there is no such day.
        """
        return self._ledger.day_record(day)

    def export(self, day: date, out: Path) -> Iterator[Path]:
        """Write a day's record file by file, read on a connection of its own.

        Raises:
            WorldFault: if the folder cannot be written to.
        """
        with reading_ledger(self._ledger.folder) as ledger:
            record = ledger.day_record(day)
        yield from write_steps(record, out, self._words())

    def back_up(self) -> str:
        """Make a verified backup and give its file; empty if no folder is chosen.

        Raises:
            WorldFault: if none was made.
        """
        setup = self._ledger.setup()
        if setup is None or setup.backup_folder is None:
            return ""
        at = datetime.now(UTC).isoformat(timespec="milliseconds")
        folder = Path(setup.backup_folder).expanduser()
        made = make_backup(self._ledger.engine, folder, at=at)
        self._station.note_backup(
            at_s=time.monotonic(), file=str(made.file), facts=made.facts, heads=made.heads
        )
        return str(made.file)

    def last_backup(self) -> date | None:
        """Give the day of the last good backup."""
        at = self._ledger.last_backup_at()
        return None if at is None else date.fromisoformat(at[:10])

    def trace_text(self, code: str) -> Message:
        """Say in a sentence what a scanned code is.

        Raises:
            WorldFault: if nothing goes by it.
        """
        found = trace(self._ledger, code)
        if found["kind"] == "lot":
            return Message("ui.traced_lot", {"lot": code, "count": len(self._lot_boxes(code))})
        return self._box_text(code)

    def _lot_boxes(self, code: str) -> Sequence[object]:
        lot = code if len(code) == 6 else code[-6:]  # noqa: PLR2004  # six digits are a lot
        return self._ledger.boxes_of_lot(lot)

    def _box_text(self, code: str) -> Message:
        serial_, revision = parse_label_code(code)
        box = self._ledger.box(serial_)
        setup = self._ledger.setup()
        assert box is not None  # noqa: S101  # just traced
        assert setup is not None  # noqa: S101  # boxes need a setup
        values = {
            "serial": serial_,
            "cultivar": name_of(setup.cultivars, box.cultivar),
            "block": name_of(setup.blocks, box.block),
            "net": box.net,
            "lot": box.lot,
        }
        if box.voided:
            return Message("ui.traced_void", values)
        is_old = revision < box.revision
        return with_fruit(Message("ui.traced_old" if is_old else "ui.traced_box", values), box)


def _findings(setup: Setup) -> list[Message]:
    findings = Findings(Path("setup"))
    check_values(setup, findings)
    if setup.backup_folder and not Path(setup.backup_folder).expanduser().is_dir():
        findings.add(1, "no_backup_folder", folder=setup.backup_folder)
    check_setup(setup, Places(""), findings)
    found = [each.message for each in findings.found]
    return found or check_template(setup)


def default_defects() -> str:
    """Give the usual ones of the trade's defects, a line each, for a new farm's setup."""
    text = resources.table("mango_defects").read_text(encoding="utf-8")
    rows = csv.DictReader(line for line in text.splitlines() if not line.startswith("#"))
    return "\n".join(f"{row['code']} {row['name']}" for row in rows if row["usual"] == "yes")


def _spool(setup: Setup | None, folder: Path) -> Spool:
    if setup is not None and setup.spool == "printer" and setup.printer:
        dpi = setup.printer_dpi
        return PrinterSpool(setup.printer, dpi, lambda job: picture(job, printer_dpi=dpi))
    return FolderSpool(folder / _LABELS, printer_dpi=203 if setup is None else setup.printer_dpi)


class _SpoolNow:
    """Spools as the setup says at the moment, so that a changed setup needs no restart."""

    def __init__(self, ledger: SqlLedger) -> None:
        self._ledger = ledger
        self._made: tuple[Setup | None, Spool] | None = None

    def hand_over(self, job: LabelJob) -> None:
        setup = self._ledger.setup()
        if self._made is None or self._made[0] is not setup:
            self._made = (setup, _spool(setup, self._ledger.folder))
        self._made[1].hand_over(job)


def make_desk(
    stack: ExitStack, folder: Path, practice: PracticeServer | None, clock: Clock | None = None
) -> Desk:
    """Open a data folder and give the desk on it; `stack` closes what was opened.

    The time is the wall's, unless another clock is given.

    Raises:
        WorldFault: if the folder cannot be used, or another station has it open.
    """
    ledger = stack.enter_context(open_ledger(folder))
    said = ledger.setup()
    words = Words("en" if said is None else said.language)
    station = Station(
        ledger=ledger,
        spool=_SpoolNow(ledger),
        clock=clock or WallClock(),
        say=words.say,
        tells_fruit=True,
    )

    def capacity() -> Mass | None:
        setup = ledger.setup()
        return None if setup is None else setup.benches[0].capacity

    learned = ledger.folder / LEARNED
    line = LiveLine(saver_in(folder), lambda: known_languages(learned))
    stack.callback(line.stop)
    return Desk(
        station=station,
        line=line,
        teacher=LiveTeacher(line, learned, time.monotonic, capacity),
        records=LiveRecords(ledger, station, lambda: words),
        practice=practice,
        now_s=time.monotonic,
        clock_time=_clock_time,
        today=lambda: datetime.now().astimezone().date(),
        check_setup=_findings,
        templates=resources.label_template_names(),
        default_defects=default_defects(),
    )


def _clock_time(at_s: float) -> str:
    """Give the local time of a monotonic second, to a tenth."""
    moment = datetime.now().astimezone() - timedelta(seconds=time.monotonic() - at_s)
    return f"{moment:%H:%M:%S.%f}"[:-5]


def _practising(stack: ExitStack, desk: Desk, sending: Sending) -> Desk:
    """Put a practice scale like the bench's own beside the desk."""

    def like() -> PracticeSetup:
        setup = desk.station.setup
        return practice_like(None if setup is None else setup.benches[0], sending)

    server = PracticeServer(like(), seed=1, now_s=time.monotonic, follow=like)
    server.start()
    stack.callback(server.stop)
    return replace(desk, practice=server)


def _connect(desk: Desk, port: str | None) -> None:
    setup = desk.station.setup
    if setup is not None and (port or setup.benches[0].port):
        bench = setup.benches[0]
        # A port that cannot be opened must not keep the station shut: the screen says what is missing.
        with suppress(WorldFault):
            desk.line.connect(replace(bench, port=port or bench.port))


def _set_sends(desk: Desk, sending: Sending) -> None:
    """Set the bench up for when the practice scale sends."""
    setup = desk.station.setup
    sends = SENDS.get(sending, Sends.STREAM)
    if setup is not None and setup.benches[0].sends is not sends:
        benches = (replace(setup.benches[0], sends=sends), *setup.benches[1:])
        with suppress(Refused):  # a box is open: it goes on as it was begun
            desk.station.set_up(replace(setup, benches=benches), at_s=desk.now_s())


def run_station(folder: Path) -> int:
    """Run the station on a data folder until its window is closed.

    Raises:
        WorldFault: if the folder cannot be used, or another station has it open.
    """
    with ExitStack() as stack:
        desk = _practising(stack, make_desk(stack, folder, None), Sending.STREAM)
        _connect(desk, None)
        return run_desktop(desk, saver_in(folder))


def run_sample(folder: Path, sending: Sending) -> int:
    """Run the station on the sample day, still open, with the practice scale, in a folder of its own.

    Args:
        folder: The data folder.
        sending: When the practice scale sends.

    Raises:
        WorldFault: if the folder cannot be used, or another station has it open.
    """
    if not (folder / FILE_NAME).exists():
        pack_sample(folder)
    with ExitStack() as stack:
        desk = _practising(stack, make_desk(stack, folder, None), sending)
        _set_sends(desk, sending)
        day = desk.station.day
        if day is not None:
            desk = replace(desk, today=lambda: day)
        _connect(desk, None if desk.practice is None else desk.practice.address)
        return run_desktop(desk, saver_in(folder))
