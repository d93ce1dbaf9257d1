"""Pack further days on the sample farm with invented boxes and culls, for what looks over weeks."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta
from random import Random
from typing import Final

from shedstation.domain.culls import Where
from shedstation.domain.farm import Setup
from shedstation.domain.mass import Mass, Unit
from shedstation.domain.price import parse_price
from shedstation.domain.reading import Mode, Reading, State
from shedstation.station.actions import (
    Action,
    Choose,
    ChoosePerson,
    CloseBox,
    CloseDay,
    EnterCull,
    OpenDay,
    ReceiveLoad,
    TareBox,
)
from shedstation.station.station import Station

_PACK: Final = "Flat 25 lb"
_EMPTY, _TARE = Mass(0, 2, Unit.LB), Mass(164, 2, Unit.LB)
_LEAST, _MOST = 2500, 2530
"""What the pack's window lets through, in hundredths of a pound."""


def pack_fortnight(station: Station, now_s: Callable[[], float]) -> None:
    """Go on from the sample day for a fortnight, with a price and a way to the buyer set up.

    Args:
        station: A station on whose data the sample day is packed and still open.
        now_s: A clock that goes on by itself at each look.

    Raises:
        WorldFault: if the disk is at fault.
    """
    day, setup = station.day, station.setup
    assert day is not None  # noqa: S101  # the sample day stays open
    assert setup is not None  # noqa: S101  # it was packed
    bench = setup.benches[0].name
    station.carry_out(CloseDay(at_s=now_s(), bench=bench))
    station.set_up(_priced(setup), at_s=now_s())
    days = _SampleDays(station, bench, now_s, Random(8))  # noqa: S311  # invented fruit
    days.pack(day + timedelta(days=1), days=11, boxes=25)


def _priced(setup: Setup) -> Setup:
    """Give the sample farm a price and a way to its buyer."""
    flat = replace(setup.packs[0], price=parse_price("1.20 USD/lb"))
    return replace(
        setup,
        packs=(flat, *setup.packs[1:]),
        days_to_buyer=7,
        room_temperature="60 F",
        humidity="85 %",
        giveaway_by_packer=True,
    )


@dataclass(frozen=True, slots=True)
class _SampleDays:
    """Hands that pack days as fast as the clock can be set."""

    station: Station
    bench: str
    now_s: Callable[[], float]
    random: Random

    def pack(self, first: date, days: int, boxes: int) -> None:
        """Pack so many boxes a day from a day on, Sundays left out; the last day stays open."""
        dates = list(_workdays(first, days))
        for day in dates:
            self._begin(day)
            for number in range(boxes):
                self._say(ChoosePerson, person="ana" if number < boxes // 2 else "ben")
                # One afternoon the second packer was in a hurry.
                self._box(hurried=day == dates[-2] and number >= boxes * 3 // 4)
            for defect, usual in (("LATEX", 9), ("BRUISE", 5), ("SCAR", 3)):
                count = max(round(self.random.gauss(usual, usual**0.5)), 1)
                self._say(
                    EnterCull, load=_load(day), defect=defect, where=Where.BENCH, count=count,
                    weight=None,
                )  # fmt: skip
            if day != dates[-1]:
                self._say(CloseDay)

    def _begin(self, day: date) -> None:
        load = _load(day)
        self._say(OpenDay, date=day)
        self._say(ReceiveLoad, load=load, block="WR", cultivar="KENT", picked_on=day)
        self._say(Choose, load=load, pack=_PACK, grade="1")

    def _box(self, *, hurried: bool) -> None:
        mean, spread = (2525, 4) if hurried else (2513, 5)
        net = min(max(round(self.random.gauss(mean, spread)), _LEAST), _MOST)
        self._shows(_EMPTY)
        self._shows(_TARE)
        self._say(TareBox)
        self._shows(Mass(net + _TARE.count, 2, Unit.LB))
        self._say(CloseBox, count=self.random.randint(19, 23))

    def _shows(self, mass: Mass) -> None:
        for state in (State.MOVING, State.STEADY, State.STEADY, State.STEADY):
            self.station.hear(self.bench, Reading(self.now_s(), mass, state, Mode.GROSS))

    def _say(self, action: type[Action], **fields: object) -> None:
        self.station.carry_out(action(at_s=self.now_s(), bench=self.bench, **fields))  # type: ignore[arg-type]  # its own


def _workdays(first: date, days: int) -> Iterator[date]:
    day = first
    while days:
        if day.isoweekday() != 7:  # noqa: PLR2004  # Sunday
            yield day
            days -= 1
        day += timedelta(days=1)


def _load(day: date) -> str:
    return f"{day.timetuple().tm_yday:03d}-1"
