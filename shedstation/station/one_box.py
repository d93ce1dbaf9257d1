"""Follow one box from an empty pan with nobody at the keys: what a recording of its filling tells."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from math import gcd
from typing import Final

from shedstation.domain.bench_sequence import Step
from shedstation.domain.errors import WorldFault
from shedstation.domain.farm import Bench as BenchSetup
from shedstation.domain.fruit.step import FruitStep
from shedstation.domain.mass import Mass
from shedstation.domain.message import Message
from shedstation.domain.pan import LEAST_BOX_DIVISIONS, TareRange
from shedstation.domain.reading import Reading, ScaleEvent, State
from shedstation.station.bench import Bench
from shedstation.station.fruit_watch import FruitWatch

_MOST_DIVISIONS: Final = 1_000_000
"""More than any scale has: a recording says nothing of the boxes that are used."""

_REST_S: Final = 0.5
"""The empty box is tared once it has stood still for so long (our rule)."""

_ENOUGH_WEIGHTS: Final = 10
"""So many different weights hardly ever share a step that is not the scale's division."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OneBox:
    """One box as its weights told it."""

    division: Mass
    tare: Mass
    net: Mass
    steps: tuple[FruitStep, ...]
    """All changes of the net weight, which they sum to exactly."""


def shown_division(readings: Sequence[Reading]) -> Mass:
    """Give the largest usual division of which every weight is a whole number.

    Few weights may share one by chance: then it is one of the last decimal.

    Raises:
        ValueError: if no reading has a weight.
    """
    masses = [each.mass for each in readings if each.mass is not None]
    if not masses:
        msg = "Cannot tell the division: expected at least one weight, found none."
        raise ValueError(msg)
    decimals, unit = max(each.decimals for each in masses), masses[0].unit
    counts = {each.with_decimals(decimals).count for each in masses if each.unit is unit}
    common = gcd(*counts) if len(counts) >= _ENOUGH_WEIGHTS else 1
    steps = (base * 10**power for power in range(len(str(common))) for base in (1, 2, 5))
    return Mass(max(each for each in steps if common % each == 0), decimals, unit)


def follow_one_box(events: Iterable[ScaleEvent], division: Mass) -> OneBox:
    """Tell the fruit of the one box of a recording, the first load being the empty box.

    Args:
        events: What the scale sent, in order, from the empty pan on.
        division: The scale's division.

    Raises:
        WorldFault: if it does not begin with an empty pan, no empty box comes to rest, or the weight
            changes in a way that a person would have to explain.
    """
    walk = _Walk(division)
    for event in events:
        walk.hear(event)
        if walk.is_over:
            break
    return walk.told()


class _Walk:
    """The bench, and the one press that a packer would make."""

    def __init__(self, division: Mass) -> None:
        self._division = division
        self._bench = _bench(division, self._zeroed)
        self._watch = FruitWatch(division)
        self._rest: tuple[float, Mass] | None = None
        self._has_begun = False
        self._net: Mass | None = None
        self._tare: Mass | None = None
        self.is_over = False

    def hear(self, event: ScaleEvent) -> None:
        before = self._bench.step
        self._bench.hear(event)
        if not isinstance(event, Reading) or self._bench.has_wrong_unit or event.mass is None:
            return
        self._begin(event)
        if self._bench.step is Step.BOX_ON:
            self._tare_at_rest(event)
        if self._bench.step is Step.CHANGED:
            self._explain(before)
        self._watch.see(self._bench)
        if self._bench.step is Step.FILLING and event.state is State.STEADY:
            self._tare, self._net = self._bench.pan.tare, self._bench.net

    def _begin(self, reading: Reading) -> None:
        """Refuse a recording whose first weight at rest is no empty pan."""
        load = self._bench.pan.load(reading)
        if self._has_begun or load is None or reading.state is not State.STEADY:
            return
        self._has_begun = True
        if load >= self._bench.tares.least:
            raise WorldFault(Message("fruit.not_empty", {"shown": load, "at_s": reading.at_s}))

    def _tare_at_rest(self, reading: Reading) -> None:
        """Tare the load that has stood still: nobody else can tell that it is the empty box."""
        load = self._bench.pan.load(reading)
        if load is None or reading.state is not State.STEADY:
            self._rest = None
            return
        if self._rest is None or abs(load - self._rest[1]) > self._division:
            self._rest = reading.at_s, load
        if reading.at_s - self._rest[0] >= _REST_S:
            self._bench.tared(reading)
            self._watch.tared(self._bench, reading)

    def _zeroed(self, bench: Bench, reading: Reading) -> None:
        self._watch.tared(bench, reading)

    def _explain(self, before: Step) -> None:
        """Go on after a break, end with a box that left the pan, refuse a key pressed in between."""
        reading = self._bench.reading
        if before is Step.LIFTED:
            self.is_over = True
        elif reading is None or not self._bench.pan.knows_hidden(reading):
            at_s = self._bench.now_s
            shown = None if reading is None else reading.mass
            raise WorldFault(Message("fruit.changed", {"at_s": at_s, "shown": shown}))
        elif reading.state is State.STEADY:
            self._bench.continued(reading)

    def told(self) -> OneBox:
        steps = None if self._net is None else self._watch.close(self._net)
        if self._net is None or self._tare is None or steps is None:
            raise WorldFault(Message("fruit.no_box", {"rest_s": _REST_S}))
        return OneBox(division=self._division, tare=self._tare, net=self._net, steps=steps)


def _bench(division: Mass, zeroed: Callable[[Bench, Reading], None]) -> Bench:
    setup = BenchSetup(
        name="B1",
        scale="",
        unit=division.unit,
        division=division,
        capacity=division * _MOST_DIVISIONS,
    )
    bench = Bench(setup, do=_nobody, zeroed=zeroed, refuse=_nobody)
    least = division * LEAST_BOX_DIVISIONS
    bench.tares = TareRange(least=least, most=setup.capacity)
    return bench


def _nobody(*_: object) -> None:
    """Leave presses alone: nobody presses anything here."""
