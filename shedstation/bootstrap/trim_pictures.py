"""Picture the trim tray at the bench: a fruit to a cup, a swap, and a question."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Final

from shedstation.domain.mass import Mass, Unit
from shedstation.station.actions import Choose, ChoosePerson
from shedstation.station.station import Station
from shedstation.ui.hub import Moment

_CUPS: Final = 4
_BOX: Final = 164
_EMPTY_TO_CUPS: Final = "118 96 131 -131 104 -104 88 -88"
_NEAR: Final = "125 100 128 97 126 113 106 135 92 119 128 101 139 95 109 99 102 127 116 95"
"""Invented weights in hundredths of a pound; below nothing for a fruit taken out."""


def trim_pictures(
    station: Station,
    moment: Callable[[], Moment],
    hand: Callable[[Mass], None],
    tare: Callable[[], None],
    snap: Callable[[str], None],
) -> None:
    """Lead a box with the trim tray to where a swap is advised, and take pictures on the way.

    Args:
        station: An open station on the sample farm, with nothing on the pan.
        moment: Gives second and bench for an action made now.
        hand: Lets the scale show a mass and rest there, longer than a hand would.
        tare: Tares the box that is on.
        snap: Takes a picture under a name.
    """
    setup = station.setup
    assert setup is not None  # noqa: S101  # the sample farm is set up
    with_cups = (replace(setup.benches[0], cups=_CUPS), *setup.benches[1:])
    station.set_up(replace(setup, benches=with_cups), at_s=moment()["at_s"])
    station.carry_out(ChoosePerson(**moment(), person="ana"))
    station.carry_out(Choose(**moment(), load="L1", pack="Flat 25 lb", grade="1"))
    load = _BOX
    for each in (0, load):
        hand(Mass(each, 2, Unit.LB))
    tare()
    for name, changes in _SCENES:
        for change in changes:
            load += change
            hand(Mass(load, 2, Unit.LB))
        snap(name)


def _counts(text: str) -> tuple[int, ...]:
    return tuple(map(int, text.split()))


_SCENES: Final[Sequence[tuple[str, Sequence[int]]]] = (
    ("bench_trim_1_to_cup", _counts(_EMPTY_TO_CUPS)[:3]),
    ("bench_trim_2_cups_filled", _counts(_EMPTY_TO_CUPS)[3:]),
    ("bench_trim_3_swap", _counts(_NEAR)),
)
