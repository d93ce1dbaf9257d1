"""What a scale's display shows while a box is put on, tared, filled, overloaded and lifted off."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from shedstation.devices.practice.voices.shown import Shown
from shedstation.devices.practice.voices.voice import Voice
from shedstation.domain.mass import Mass, Unit
from shedstation.domain.reading import Mode, State


@dataclass(frozen=True)
class Loads:
    """A scale's division, and in divisions a box, a full box and more than it can carry; invented."""

    division: Mass
    box: int
    full: int
    too_much: int


LOADS = {
    Unit.LB: Loads(Mass(1, 2, Unit.LB), 164, 2706, 6010),
    Unit.KG: Loads(Mass(5, 3, Unit.KG), 149, 2455, 6010),
    Unit.OZ: Loads(Mass(2, 1, Unit.OZ), 131, 2165, 4810),
    Unit.G: Loads(Mass(10, 0, Unit.G), 74, 1227, 2750),
    Unit.LB_OZ: Loads(Mass(1, 1, Unit.LB_OZ), 262, 4318, 9610),
}


def displays(unit: Unit) -> Iterator[Shown]:
    """Give update by update what a scale with every state shows, from an empty pan to an empty pan."""
    loads = LOADS[unit]
    box, full, much = loads.box, loads.full, loads.too_much
    steady, moving = State.STEADY, State.MOVING
    script = [
        # load, tare that the scale's key took off, state, how often
        (0, 0, steady, 4),
        (box // 3, 0, moving, 1), (box - 3, 0, moving, 1), (box + 1, 0, moving, 1), (box, 0, steady, 4),
        (box, box, steady, 3),
        *((load, box, moving, 1) for load in range(box, full, (full - box) // 6)),
        (full, box, steady, 4), (much, box, State.OVER, 3), (full, box, steady, 4),
        (box // 2, box, moving, 1), (-2, box, moving, 1), (1, box, moving, 1), (0, box, steady, 4),
        (-much, box, State.UNDER, 2), (0, box, State.FAULT, 2), (0, box, steady, 2),
        (0, 0, steady, 4), (-1, 0, moving, 1), (-1, 0, steady, 3), (160, 0, moving, 1),
        (160, 0, steady, 3), (0, 0, moving, 1),
    ]  # fmt: skip
    for load, tare, state, times in script:
        shown = Shown(
            mass=loads.division * (load - tare),
            state=state,
            mode=Mode.NET if tare else Mode.GROSS,
            tare=loads.division * tare if tare else None,
        )
        for _ in range(times):
            yield shown


def displays_for(voice: Voice, unit: Unit) -> list[Shown]:
    """Give those which a voice has words for."""
    return [shown for shown in displays(unit) if shown.state in voice.states]


def stamped(shown: Shown, at_s: float) -> Shown:
    """Give what is shown with its time, for languages that send one."""
    return replace(shown, at_s=at_s)


def moves(unit: Unit) -> list[Shown]:
    """Give a load that is put on, left at rest and taken off, over and over."""
    loads = LOADS[unit]
    marks = [(loads.full, State.STEADY)] * 4 + [
        (load, State.MOVING) for load in (loads.full // 2, loads.box // 2, loads.box - 3)
    ]
    marks += [(loads.box, State.STEADY)] * 4 + [
        (load, State.MOVING) for load in (loads.box + 11, loads.full // 3, loads.full - 7)
    ]
    return [Shown(mass=loads.division * load, state=state) for load, state in marks]


def at_rest(unit: Unit) -> list[Shown]:
    """Give a load that nobody touches."""
    loads = LOADS[unit]
    return [Shown(mass=loads.division * loads.full, state=State.STEADY)]


def overloaded(unit: Unit) -> list[Shown]:
    """Give a load that is beyond the scale all the time."""
    loads = LOADS[unit]
    return [Shown(mass=loads.division * loads.too_much, state=State.OVER)]


def empty(unit: Unit) -> list[Shown]:
    """Give a pan with nothing on it."""
    return [Shown(mass=LOADS[unit].division * 0, state=State.STEADY)]
