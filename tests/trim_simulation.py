"""Pack invented boxes of fruit as a packer at a bench does, with and without advice.

The scale shows whole divisions of 0.01 lb; a fruit's weight is known only as the difference of two of
those. Fruit lie in a heap that the packer looks at three at a time, judging each by eye (off by 8 % of
its weight, our assumption); what is passed over stays in the heap and has to be packed some day.

A move is what the packer does beyond filling: a fruit out of the box, or out of a cup into it.
"""

import time
from dataclasses import dataclass, field
from fractions import Fraction
from random import Random

from vector_files import rows

from shedstation.domain.limits import Limits
from shedstation.domain.mass import Mass, Unit
from shedstation.domain.trim import Move, TrimAdvice, TrimQuestion, Way, advise
from shedstation.domain.trim_tray import KEPT_S, CupFruit, TrimTray, empty_tray

FLOOR, HIGHEST, ENOUGH = (Mass(count, 2, Unit.LB) for count in (2500, 2620, 6))
LOAD, GRADE = "L1", "one"
GRAMS = Fraction(Unit.LB.nanograms, Unit.G.nanograms)
DIVISION_G = float(GRAMS / 100)

_HEAP, _LOOK, _EYE = 12, 3, 0.08
_MOST_ASKED = 300
_HANDLING_S, _BETWEEN_BOXES_S, _LONGEST_BOX_S = 1.5, 20.0, 120.0


@dataclass(frozen=True, kw_only=True)
class Cultivar:
    """How heavy fruit are, in grams: a normal curve cut at 2.5 spreads, or even between two ends."""

    name: str
    mean_g: float
    sd_g: float
    ends_g: tuple[float, float] | None = None

    def fruit(self, random: Random) -> float:
        if self.ends_g is not None:
            return random.uniform(*self.ends_g)
        while abs((drawn := random.gauss(self.mean_g, self.sd_g)) - self.mean_g) > 2.5 * self.sd_g:
            pass
        return drawn


def cultivars() -> dict[str, Cultivar]:
    """Read weights and spreads; where only a mean is published the spread is that of an orchard run."""
    every = rows("mango_fruit_weight")
    (orchard,) = [row for row in every if row["cultivar"] == "mango unsorted orchard run"]
    found = {}
    for row in every:
        name = row["cultivar"]
        if not row["mean_g"] or name in found:
            continue
        mean = float(row["mean_g"])
        spread = float(row["sd_g"] or mean * float(orchard["cv_pct"]) / 100)
        even = "uniform" in row["note"]
        ends = (float(row["min_g"]), float(row["max_g"])) if even else None
        found[name] = Cultivar(name=name, mean_g=mean, sd_g=spread, ends_g=ends)
    return found


@dataclass(frozen=True, kw_only=True)
class Packed:
    """One box: what it is over its floor in divisions, and the moves it took."""

    over: int
    moves: int


@dataclass(kw_only=True)
class Heap:
    """The fruit within reach, in grams."""

    cultivar: Cultivar
    random: Random
    fruit: list[float] = field(default_factory=list)

    def take(self, wanted_g: float | None = None) -> float:
        """Take a fruit: any, or of three looked at the one that seems nearest to what is wanted."""
        while len(self.fruit) < _HEAP:
            self.fruit.append(self.cultivar.fruit(self.random))
        seen = self.random.sample(range(len(self.fruit)), 1 if wanted_g is None else _LOOK)
        place = min(seen, key=lambda each: abs(self._seems(each) - (wanted_g or 0.0)))
        return self.fruit.pop(place)

    def _seems(self, place: int) -> float:
        return self.fruit[place] * (1 + self.random.gauss(0, _EYE))


class Scale:
    """A tared box on a scale, and the fruit in it, newest last."""

    def __init__(self) -> None:
        self.fruit: list[float] = []
        self.told: list[Mass] = []

    @property
    def net(self) -> Mass:
        return Mass(round(sum(self.fruit) / DIVISION_G), 2, Unit.LB)

    def put(self, fruit: float) -> None:
        before = self.net
        self.fruit.append(fruit)
        self.told.append(self.net - before)

    def take(self, from_top: int) -> tuple[float, Mass]:
        before = self.net
        del self.told[-from_top]
        return self.fruit.pop(-from_top), before - self.net


def unaided(cultivar: Cultivar, boxes: int, seed: int, *, by_eye: bool) -> list[Packed]:
    """Fill boxes until they are not light, the last fruit chosen by eye or not."""
    heap = Heap(cultivar=cultivar, random=Random(seed))
    packed = []
    for _ in range(boxes):
        scale = Scale()
        while scale.net < FLOOR:
            lacks = (FLOOR - scale.net).count * DIVISION_G
            scale.put(heap.take(lacks if by_eye and lacks < 1.5 * cultivar.mean_g else None))
        packed.append(Packed(over=(scale.net - FLOOR).count, moves=0))
    return packed


class Packer:
    """A packer who does what the station says, asking again after each move."""

    def __init__(self, cultivar: Cultivar, cups: int, seed: int) -> None:
        self.heap = Heap(cultivar=cultivar, random=Random(seed))
        self.usual = Mass(round(cultivar.mean_g / DIVISION_G), 2, Unit.LB)
        self.spread = Mass(round(cultivar.sd_g / DIVISION_G), 2, Unit.LB)
        self.tray: TrimTray | None = empty_tray(cups) if cups else None
        self.lying: dict[int, float] = {}
        self.now_s = 0.0
        self.slowest_s = 0.0

    def pack(self, boxes: int) -> list[Packed]:
        return [self._box() for _ in range(boxes)]

    def _box(self) -> Packed:
        self.scale, self.moves, self.from_cup = Scale(), 0, 0
        self.now_s += _BETWEEN_BOXES_S
        self._use_what_gets_old()
        for _ in range(_MOST_ASKED):
            advice = self._ask()
            if advice.moves:
                self._move(advice.moves[0])
            elif advice.wanted is not None:
                each = (advice.wanted.least + advice.wanted.most).count / 2
                self.now_s += _HANDLING_S
                self.scale.put(self.heap.take(each / advice.wanted.fruit * DIVISION_G))
                self.from_cup = 0
            else:
                return Packed(over=(self.scale.net - FLOOR).count, moves=self.moves)
        msg = f"A box was not full after {_MOST_ASKED} pieces of advice: {self.scale.net}."
        raise AssertionError(msg)

    def _ask(self) -> TrimAdvice:
        tray = self.tray
        question = TrimQuestion(
            net=self.scale.net,
            limits=Limits(FLOOR, HIGHEST),
            on_top=tuple(reversed(self.scale.told))[: 2 + self.from_cup],
            cups={} if tray is None else tray.usable(self.now_s, LOAD, GRADE),
            free=() if tray is None else tray.free,
            usual=self.usual,
            enough=ENOUGH,
            moved=self.moves,
            spread=self.spread,
        )
        start = time.perf_counter()
        advice = advise(question)
        self.slowest_s = max(self.slowest_s, time.perf_counter() - start)
        return advice

    def _move(self, move: Move) -> None:
        self.moves += 1
        self.now_s += _HANDLING_S
        if move.way is Way.IN:
            assert move.cup is not None
            self._from_cup(move.cup)
            self.from_cup = 1
            return
        assert move.from_top is not None
        fruit, weight = self.scale.take(move.from_top)
        self.from_cup = 0
        if move.cup is None or self.tray is None:
            self.heap.fruit.append(fruit)
            return
        self.lying[move.cup] = fruit
        told = CupFruit(weight=weight, since_s=self.now_s, load=LOAD, grade=GRADE)
        self.tray = self.tray.put(move.cup, told)

    def _from_cup(self, cup: int) -> None:
        assert self.tray is not None
        self.tray = self.tray.take(cup)
        self.scale.put(self.lying.pop(cup))

    def _use_what_gets_old(self) -> None:
        """Begin a box with the fruit whose weight would be too old before it is full."""
        cups = () if self.tray is None else self.tray.cups
        for cup, fruit in enumerate(cups, 1):
            if fruit is not None and self.now_s - fruit.since_s > KEPT_S - _LONGEST_BOX_S:
                self.moves += 1
                self._from_cup(cup)
