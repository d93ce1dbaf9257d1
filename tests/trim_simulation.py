"""Pack invented boxes of fruit as a packer at a bench does, with and without advice.

The scale shows whole divisions; a fruit's weight is known only as the difference of two of those. Fruit
lie in a heap of twelve that the packer looks at three at a time, judging each by eye (off by 8 % of its
weight, our assumption); what is passed over stays in the heap and has to be packed some day. What fruit
usually weigh, and by how much they differ, the station knows from the fruit it was told, nothing else.

A move is what the packer does beyond filling: a fruit out of the box, or out of a cup into it.
"""

import time
from collections import deque
from dataclasses import dataclass, field
from random import Random
from statistics import median_low, stdev

from vector_files import rows

from shedstation.domain.limits import Limits
from shedstation.domain.mass import Mass, Unit
from shedstation.domain.size_codes import SIZE_CODES, SizeStandard, package_size
from shedstation.domain.trim import Move, SizeClaim, TrimAdvice, TrimQuestion, Way, advise
from shedstation.domain.trim_tray import KEPT_S, CupFruit, TrimTray, empty_tray

LOAD, GRADE = "L1", "one"

_HEAP = 12
_MOST_ASKED, _TUB = 500, 100
_HANDLING_S, _BETWEEN_BOXES_S, _LONGEST_BOX_S = 1.5, 20.0, 120.0
_KNOWN_FROM, _KNOWN = 10, 200


def lb(count: int) -> Mass:
    """Give hundredths of a pound."""
    return Mass(count, 2, Unit.LB)


@dataclass(frozen=True, kw_only=True)
class Job:
    """What is packed on which scale."""

    division: Mass = field(default_factory=lambda: lb(1))
    floor: Mass = field(default_factory=lambda: lb(2500))
    width: Mass = field(default_factory=lambda: lb(120))
    enough: Mass = field(default_factory=lambda: lb(6))
    claims: SizeStandard | None = None
    """Whose code B the pack claims, if any."""

    @property
    def division_g(self) -> float:
        return float(self.division.measured_in(Unit.G))

    def grams(self, mass: Mass) -> float:
        return float(mass.measured_in(Unit.G))

    def over_lb(self, over: int) -> float:
        """Give divisions in pounds."""
        return float((self.division * over).measured_in(Unit.LB))


@dataclass(frozen=True, kw_only=True)
class Eye:
    """How a packer finds a fruit of a wanted weight: of so many, each judged so well."""

    looks_at: int = 3
    off: float = 0.08


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
    keeps_size: bool = True


@dataclass(kw_only=True)
class Heap:
    """The fruit within reach, in grams."""

    cultivar: Cultivar
    random: Random
    eye: Eye = Eye()
    fruit: list[float] = field(default_factory=list)

    def take(self, wanted_g: float | None = None) -> float:
        """Take a fruit: any, or of those looked at the one that seems nearest to what is wanted."""
        while len(self.fruit) < _HEAP:
            self.fruit.append(self.cultivar.fruit(self.random))
        looks_at = 1 if wanted_g is None else self.eye.looks_at
        seen = self.random.sample(range(len(self.fruit)), looks_at)
        place = min(seen, key=lambda each: abs(self._seems(each) - (wanted_g or 0.0)))
        return self.fruit.pop(place)

    def _seems(self, place: int) -> float:
        return self.fruit[place] * (1 + self.random.gauss(0, self.eye.off))


class Scale:
    """A tared box on a scale, and the fruit in it, newest last."""

    def __init__(self, job: Job) -> None:
        self.job = job
        self.fruit: list[float] = []
        self.told: list[Mass] = []

    @property
    def net(self) -> Mass:
        return self.job.division * round(sum(self.fruit) / self.job.division_g)

    @property
    def over(self) -> int:
        """What the box is over its floor, in divisions."""
        return int((self.net - self.job.floor).nanograms / self.job.division.nanograms)

    def put(self, fruit: float) -> None:
        before = self.net
        self.fruit.append(fruit)
        self.told.append(self.net - before)

    def take(self, from_top: int) -> tuple[float, Mass]:
        before = self.net
        del self.told[-from_top]
        return self.fruit.pop(-from_top), before - self.net


def unaided(
    cultivar: Cultivar, boxes: int, seed: int, *, by_eye: bool, job: Job | None = None
) -> list[Packed]:
    """Fill boxes until they are not light, the last fruit chosen by eye or not."""
    job = job or Job()
    heap = Heap(cultivar=cultivar, random=Random(seed))
    packed = []
    for _ in range(boxes):
        scale = Scale(job)
        while scale.net < job.floor:
            lacks = job.grams(job.floor - scale.net)
            scale.put(heap.take(lacks if by_eye and lacks < 1.5 * cultivar.mean_g else None))
        packed.append(Packed(over=scale.over, moves=0))
    return packed


class Packer:
    """A packer who does what the station says, asking again after each move."""

    def __init__(
        self,
        cultivar: Cultivar,
        cups: int,
        seed: int,
        job: Job | None = None,
        eye: Eye | None = None,
    ) -> None:
        self.job = job or Job()
        self.heap = Heap(cultivar=cultivar, random=Random(seed), eye=eye or Eye())
        self.guess = self.job.division * round(cultivar.mean_g / self.job.division_g)
        self.known: deque[Mass] = deque(maxlen=_KNOWN)
        self.tray: TrimTray | None = empty_tray(cups) if cups else None
        self.lying: dict[int, float] = {}
        self.now_s = 0.0
        self.slowest_s = 0.0

    def pack(self, boxes: int) -> list[Packed]:
        return [self._box() for _ in range(boxes)]

    def _box(self) -> Packed:
        self.scale, self.moves, self.from_cup = Scale(self.job), 0, 0
        self.now_s += _BETWEEN_BOXES_S
        self._use_what_gets_old()
        for asked in range(1, _MOST_ASKED + 1):
            if asked % _TUB == 0:  # nothing that fits lies there: another tub is fetched
                self.heap.fruit.clear()
            advice = self._ask()
            if advice.moves:
                self._move(advice.moves[0])
            elif advice.wanted is not None:
                each = self.job.grams(advice.wanted.least + advice.wanted.most) / 2
                self._put(self.heap.take(each / advice.wanted.fruit))
            else:
                size = self._claim(0)
                kept = size is None or _keeps(size)
                return Packed(over=self.scale.over, moves=self.moves, keeps_size=kept)
        msg = f"A box was not full after {_MOST_ASKED} pieces of advice: {self.scale.net}."
        raise AssertionError(msg)

    def _put(self, fruit: float) -> None:
        self.now_s += _HANDLING_S
        self.scale.put(fruit)
        self.known.append(self.scale.told[-1])
        self.from_cup = 0

    def _ask(self) -> TrimAdvice:
        question = self._question()
        start = time.perf_counter()
        advice = advise(question)
        self.slowest_s = max(self.slowest_s, time.perf_counter() - start)
        return advice

    def _question(self) -> TrimQuestion:
        tray, job, on_top = self.tray, self.job, 2 + self.from_cup
        is_known = len(self.known) >= _KNOWN_FROM
        return TrimQuestion(
            net=self.scale.net,
            limits=Limits(job.floor, job.floor + job.width),
            on_top=tuple(reversed(self.scale.told))[:on_top],
            cups={} if tray is None else tray.usable(self.now_s, LOAD, GRADE),
            free=() if tray is None else tray.free,
            usual=median_low(self.known) if is_known else self.guess,
            spread=self._spread() if is_known else None,
            enough=job.enough,
            moved=self.moves,
            claim=self._claim(on_top),
        )

    def _spread(self) -> Mass:
        first = self.known[0]
        return Mass(round(stdev(each.count for each in self.known)), first.decimals, first.unit)

    def _claim(self, on_top: int) -> SizeClaim | None:
        if self.job.claims is None:
            return None
        rest = tuple(self.scale.told[: len(self.scale.told) - on_top])
        code = SIZE_CODES[self.job.claims][1]
        return SizeClaim(standard=self.job.claims, code=code, rest=rest)

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


def _keeps(claim: SizeClaim) -> bool:
    """Tell whether the fruit of a box are of the claimed size."""
    judged = package_size(claim.rest, claim.standard)
    if judged is None or judged.code != claim.code:
        return False
    return judged.keeps_size and judged.keeps_difference
