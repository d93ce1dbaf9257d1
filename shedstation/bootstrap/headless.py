"""Wire what works without a screen: days from folders, records, traces, checks, backups."""

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Final

from shedstation import resources
from shedstation.bootstrap.teaching import LEARNED, known_languages, language_in
from shedstation.dayfolder.findings import Finding, Findings
from shedstation.dayfolder.folder import DayFolder, read_day
from shedstation.devices.capture import read_capture
from shedstation.devices.languages.decode import decoded_rows, language_of, scale_events
from shedstation.devices.languages.language import Language
from shedstation.devices.languages.rows import LANGUAGES
from shedstation.devices.learning.register_file import SUFFIX as REGISTERS
from shedstation.devices.learning.shared_file import SUFFIX
from shedstation.domain.chain import derived_seed, derived_uid
from shedstation.domain.day import DayRecord, day_json
from shedstation.domain.errors import WorldFault
from shedstation.domain.facts import Json
from shedstation.domain.message import Message
from shedstation.domain.reading import ScaleEvent
from shedstation.export.files import write_whole
from shedstation.export.record import write_record
from shedstation.labels.check import check_template
from shedstation.labels.render import render_labels
from shedstation.labels.spool import CollectingSpool
from shedstation.station.actions import CloseDay
from shedstation.station.ports import Spool
from shedstation.station.replay import DayClock, replay
from shedstation.station.station import Station
from shedstation.store import backup
from shedstation.store.check import Report, check
from shedstation.store.connect import FILE_NAME, writer_engine
from shedstation.store.ledger import MakeUid, SqlLedger, random_uid
from shedstation.store.lock import station_lock
from shedstation.store.prepare import prepare
from shedstation.store.reading import current_reader
from shedstation.store.trace import trace
from shedstation.words import Words

LABELS: Final = "labels.pdf"


@contextmanager
def open_ledger(folder: Path, *, make_uid: MakeUid = random_uid) -> Iterator[SqlLedger]:
    """Open a data folder for writing; only one station at a time may.

    Raises:
        WorldFault: if the folder cannot be used, or another station has it open.
    """
    with station_lock(folder):
        engine = writer_engine(folder)
        try:
            prepare(engine, folder)
            yield SqlLedger(engine, folder, make_uid=make_uid)
        finally:
            engine.dispose()


@contextmanager
def reading_ledger(folder: Path) -> Iterator[SqlLedger]:
    """Open a data folder for reading only, also while a station has it open.

    Raises:
        WorldFault: if there is no data, or a later version wrote it.
    """
    if not (folder / FILE_NAME).is_file():
        raise WorldFault(Message("cli.no_data", {"folder": str(folder)}))
    engine = current_reader(folder)
    try:
        yield SqlLedger(engine, folder)
    finally:
        engine.dispose()


def run_day(
    folder: Path,
    out: Path,
    data: Path | None,
    each_s: Callable[[float], None],
    *,
    tells_fruit: bool = False,
) -> dict[str, str | int]:
    """Carry out a day from its folder; write `day.json`, labels and record.

    Args:
        folder: The shed day.
        out: Where the results go; the data too, in a new folder, if `data` is none.
        data: A data folder to add the day to.
        each_s: Told of the second reached.
        tells_fruit: Whether to tell the fruit even if the station file does not say so.

    Raises:
        WorldFault: if a file is wrong, one of its dates is in the data already, or another day is
            still open there; then nothing is changed.
    """
    day = read_day(folder)
    languages = _languages(day, data)
    _check_whole(day, languages)
    with open_ledger(data or _new_folder(out), make_uid=derived_uid) as ledger:
        if ledger.open_day() is not None:
            values = {"day": ledger.open_day(), "folder": str(ledger.folder)}
            raise WorldFault(Message("cli.day_open_in_data", values))
        for date_ in day.dates:
            if ledger.day_exists(date_):
                values = {"day": date_, "folder": str(ledger.folder)}
                raise WorldFault(Message("cli.date_in_data", values))
        spool = CollectingSpool()
        replay_day(day, ledger, spool, each_s, languages, tells_fruit=tells_fruit)
        record = ledger.day_record(day.dates[0])
    labels = render_labels(spool.jobs, printer_dpi=day.setup.printer_dpi)
    write_whole(out / LABELS, labels)
    write_record(record, out, Words(day.setup.language))
    return _summary(record, out)


def _summary(record: DayRecord, out: Path) -> dict[str, str | int]:
    totals = day_json(record)["totals"]
    assert isinstance(totals, dict)  # noqa: S101  # the fixed form
    return {
        "date": record.date.isoformat(),
        "boxes": totals["boxes"],
        "net": totals["net"],
        "refused": len(record.refused),
        "out": str(out),
    }


def _languages(day: DayFolder, data: Path | None) -> tuple[Language, ...]:
    """Give the languages known for a day: those learned in the data, and files in the day's folder.

    Raises:
        WorldFault: if such a file in the day's folder is wrong.
    """
    known_languages(day.folder, tell=_raise)
    learned = () if data is None else (data / LEARNED,)
    return known_languages(day.folder, *learned)


def _raise(fault: WorldFault) -> None:
    """Let a file in the day's folder that is wrong stop the day before it begins."""
    raise fault


def _check_whole(day: DayFolder, languages: Sequence[Language]) -> None:
    """Look at what only shows late, so that a day is carried out wholly or not at all."""
    if not day.dates:
        raise WorldFault(Message("files.opens_no_day", {"folder": str(day.folder)}))
    findings = Findings(day.folder / "station.toml")
    for message in check_template(day.setup):
        findings.found.append(Finding(findings.file, 1, message))
    findings.raise_any()
    for bench in day.setup.benches:
        language_of(day.captures[bench.name], bench.scale, languages)
        for _ in read_capture(day.captures[bench.name]):
            pass


def _new_folder(out: Path) -> Path:
    """Give a data folder under `out` that is not there yet: `data`, `data-2` and so on."""
    folder, number = out / "data", 1
    while folder.exists():
        number += 1
        folder = out / f"data-{number}"
    return folder


def day_events(
    day: DayFolder, languages: Sequence[Language] = LANGUAGES
) -> dict[str, Iterator[ScaleEvent]]:
    """Give what each bench's scale sent on a recorded day.

    Raises:
        WorldFault: if a capture's language is unknown.
    """
    return {
        bench.name: scale_events(
            day.captures[bench.name],
            language_of(day.captures[bench.name], bench.scale, languages),
            bench.division,
        )
        for bench in day.setup.benches
    }


def replay_day(
    day: DayFolder,
    ledger: SqlLedger,
    spool: Spool,
    each_s: Callable[[float], None],
    languages: Sequence[Language] = LANGUAGES,
    *,
    tells_fruit: bool = False,
) -> Station:
    """Carry a recorded day through a station on a ledger; fruit are told if it or its setup asks.

    Raises:
        WorldFault: if the data folder's disk or a capture is at fault.
    """
    first = day.dates[0] if day.dates else None
    clock = DayClock(day.setup.farm.time_zone, first)
    words = Words(day.setup.language)
    station = Station(
        ledger=ledger,
        spool=spool,
        clock=clock,
        say=words.say,
        tells_fruit=tells_fruit or day.setup.tells_fruit,
        draw_seed=derived_seed,
    )
    station.default_day = first
    if ledger.setup() != day.setup:
        station.set_up(day.setup, at_s=0.0)
    replay(station, day.actions, day_events(day, languages), each_s=each_s)
    return station


def pack_sample(folder: Path) -> DayFolder:
    """Carry out the sample day in a new data folder, but for its end: the day stays open.

    Raises:
        WorldFault: if the folder cannot be used.
    """
    day = read_day(resources.folder("sample_shed_day"))
    rest = tuple(action for action in day.actions if not isinstance(action, CloseDay))
    with open_ledger(folder, make_uid=derived_uid) as ledger:
        replay_day(replace(day, actions=rest), ledger, CollectingSpool(), _no_progress)
    return day


def _no_progress(at_s: float) -> None:
    del at_s


def write_day_record(folder: Path, day: date, out: Path) -> tuple[Path, ...]:
    """Write the record of a day already in the data.

    Raises:
        WorldFault: if there is no such day, or `out` cannot be written to.
    """
    with reading_ledger(folder) as ledger:
        record = ledger.day_record(day)
        return write_record(record, out, Words(record.setup.language))


def trace_code(folder: Path, code: str) -> dict[str, Json]:
    """Tell where a lot, serial or scanned code came from and where it went.

    Raises:
        WorldFault: if nothing in the data goes by it.
    """
    with reading_ledger(folder) as ledger:
        return trace(ledger, code)


def check_data(folder: Path) -> Report:
    """Check a data folder from end to end.

    Raises:
        WorldFault: if there is no data.
    """
    with reading_ledger(folder) as ledger:
        return check(ledger)


def restore_backup(file: Path, folder: Path) -> int:
    """Restore a backup into an empty folder; give the number of facts.

    Raises:
        WorldFault: if the backup is not whole or the folder is not empty.
    """
    return backup.restore(file, folder)


def decoded(capture: Path, profile: str, data: Path) -> Iterator[dict[str, object]]:
    """Give one object per reading or bad frame of a capture.

    Args:
        capture: The capture.
        profile: A language's name, `auto`, or the file of a learned one.
        data: The data folder with learned languages, if there is one.

    Raises:
        WorldFault: if the language is unknown or the capture is not in the fixed form.
    """
    name, languages = languages_named(profile, data)
    return decoded_rows(capture, name, languages)


def languages_named(profile: str, data: Path) -> tuple[str, Sequence[Language]]:
    """Give a language's name and the languages to look among, for a name or a learned one's file.

    Raises:
        WorldFault: if the file cannot be read.
    """
    if profile.endswith((SUFFIX, REGISTERS)):
        spoken = language_in(Path(profile))
        return spoken.name, (spoken,)
    return profile, known_languages(data / LEARNED)
