"""Carry a recorded day through the station: actions and scales merged in the order of time."""

import heapq
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from datetime import UTC, date, datetime, time, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from shedstation.domain.reading import ScaleEvent
from shedstation.station.actions import Action
from shedstation.station.station import Station

_AFTER_THE_LAST_S: Final = 60.0
"""Longer than any press waits and any silence is allowed to last."""


class DayClock:
    """The clock of a recorded day: second 0 is the local time at which the day starts."""

    def __init__(self, time_zone: str, day: date | None) -> None:
        """Start on the day the recording opens, at 06:00 until its `open_day` says otherwise.

        Args:
            time_zone: The farm's IANA time zone.
            day: The recording's date; none if it opens no day.
        """
        self._zone = ZoneInfo(time_zone)
        self.begin(day or date(2000, 1, 1), time(6, 0))

    def begin(self, day: date, starts_at: time) -> None:
        """Note the local time of second 0."""
        local = datetime.combine(day, starts_at, tzinfo=self._zone)
        self._zero = local.astimezone(UTC)

    def utc(self, at_s: float) -> str:
        """Give the UTC time of a second of the day."""
        moment = self._zero + timedelta(seconds=at_s)
        return moment.isoformat(timespec="milliseconds").replace("+00:00", "Z")


Moment = tuple[float, int, int, Callable[[], None]]


def replay(
    station: Station,
    actions: Sequence[Action],
    scales: Mapping[str, Iterable[ScaleEvent]],
    *,
    each_s: Callable[[float], None] = lambda _at_s: None,
) -> None:
    """Carry out a day; an action comes after all bytes stamped at or before it.

    Args:
        station: An open station that was set up.
        actions: The day's actions in order.
        scales: What each bench's scale sent, in order.
        each_s: Told of the time reached after each action, for showing progress.

    Raises:
        WorldFault: if the data folder's disk or a capture is at fault.
    """
    last_s = 0.0
    for at_s, _, _, step in heapq.merge(*_streams(station, actions, scales), key=_order):
        step()
        last_s = at_s
        each_s(at_s)
    station.tick(last_s + _AFTER_THE_LAST_S)
    _print_waiting(station, last_s + _AFTER_THE_LAST_S)


def _order(moment: Moment) -> tuple[float, int, int]:
    return moment[0], moment[1], moment[2]


def _streams(
    station: Station, actions: Sequence[Action], scales: Mapping[str, Iterable[ScaleEvent]]
) -> Iterator[Iterator[Moment]]:
    for rank, (bench, events) in enumerate(scales.items()):
        yield _hearing(station, bench, events, rank)
    yield _doing(station, actions)


def _hearing(
    station: Station, bench: str, events: Iterable[ScaleEvent], rank: int
) -> Iterator[Moment]:
    for event in events:
        yield event.at_s, 0, rank, lambda event=event: station.hear(bench, event)  # type: ignore[misc]


def _doing(station: Station, actions: Sequence[Action]) -> Iterator[Moment]:
    for number, action in enumerate(actions):
        yield action.at_s, 1, number, lambda action=action: _do(station, action)  # type: ignore[misc]


def _do(station: Station, action: Action) -> None:
    station.carry_out(action)
    _print_waiting(station, action.at_s)


def _print_waiting(station: Station, at_s: float) -> None:
    while station.print_next(at_s):
        pass
