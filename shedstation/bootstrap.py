"""Wire the parts together; the only module that knows them all."""

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from shedstation.dayfolder.folder import DayFolder
from shedstation.devices.decode import language_of, scale_events
from shedstation.domain.chain import derived_uid
from shedstation.domain.reading import ScaleEvent
from shedstation.station.ports import Clock, Spool
from shedstation.station.replay import DayClock, replay
from shedstation.station.station import Station
from shedstation.store.connect import writer_engine
from shedstation.store.ledger import MakeUid, SqlLedger, random_uid
from shedstation.store.lock import station_lock
from shedstation.store.schema import prepare
from shedstation.words import Words


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


def day_events(day: DayFolder) -> dict[str, Iterator[ScaleEvent]]:
    """Give what each bench's scale sent on a recorded day.

    Raises:
        WorldFault: if a capture's language is unknown.
    """
    return {
        bench.name: scale_events(
            day.captures[bench.name],
            language_of(day.captures[bench.name], bench.scale),
            bench.division,
        )
        for bench in day.setup.benches
    }


def replay_day(
    day: DayFolder, ledger: SqlLedger, spool: Spool, words: Words, each_s: Callable[[float], None]
) -> Station:
    """Carry a recorded day through a station on a ledger.

    Raises:
        WorldFault: if the data folder's disk or a capture is at fault.
    """
    first = day.dates[0] if day.dates else None
    clock = DayClock(day.setup.farm.time_zone, first)
    station = Station(ledger=ledger, spool=spool, clock=clock, say=words.say)
    station.default_day = first
    station.set_up(day.setup, at_s=0.0)
    replay(station, day.actions, day_events(day), each_s=each_s)
    return station
