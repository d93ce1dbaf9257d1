"""The hands of the sample day: a packer who works at the practice scale."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from random import Random

from shedstation.devices.practice.scale import PracticeScale, PracticeSetup
from shedstation.domain.mass import Mass, Unit

FRUIT = {"KENT": (1.15, 0.20), "KEITT": (1.24, 0.24), "TOMMY": (0.95, 0.16)}
"""Mean and spread of a fruit in pounds, invented."""


@dataclass
class Shed:
    """The day as it goes: its clock, its scale and what was written so far."""

    random: Random
    at_s: float = 0.0
    actions: list[dict[str, object]] = field(default_factory=list)
    lines: list[str] = field(default_factory=list)
    unplugged: bool = False
    boxes: int = 0

    def __post_init__(self) -> None:
        self.scale = PracticeScale(PracticeSetup(period_s=0.2), Random(self.random.random()))

    def wait(self, seconds: float) -> None:
        """Let time pass; the scale keeps sending."""
        self.at_s = round(self.at_s + seconds, 3)
        frames = self.scale.frames_until(self.at_s)
        if not self.unplugged:
            self.lines += chunks(frames, self.random)

    def do(self, action: str, **fields: object) -> None:
        """Write an action down at this moment."""
        self.actions.append({"at_s": self.at_s, "do": action, **fields})

    def plug(self, *, out: bool) -> None:
        """Pull the cable out, or put it back."""
        self.unplugged = out
        self.lines.append(f"{self.at_s:.3f}\t{'!lost' if out else '!back'}")


def chunks(frames: list[tuple[float, bytes]], random: Random) -> Iterator[str]:
    """Write frames as a line delivers them: now and then in two pieces."""
    for at_s, frame in frames:
        if random.random() < 0.06:
            cut = random.randrange(1, len(frame))
            yield f"{at_s:.3f}\t{frame[:cut].hex().upper()}"
            yield f"{at_s + 0.012:.3f}\t{frame[cut:].hex().upper()}"
        else:
            yield f"{at_s:.3f}\t{frame.hex().upper()}"


def pounds(value: float) -> Mass:
    return Mass(round(value * 100), 2, Unit.LB)


@dataclass
class Packer:
    """Packs boxes the way a careful person does: adds fruit, then picks the one that fits."""

    shed: Shed
    cultivar: str = "KENT"
    lowest: float = 25.0
    highest: float = 25.3
    box: tuple[float, float] = (1.52, 1.88)

    def fruit(self) -> float:
        mean, spread = FRUIT[self.cultivar]
        return max(0.4, round(self.shed.random.gauss(mean, spread), 2))

    def put_box(self) -> float:
        empty = round(self.shed.random.uniform(*self.box), 2)
        self.shed.scale.put(pounds(empty))
        self.shed.wait(1.6)
        return empty

    def tare(self) -> None:
        self.shed.do("tare")
        self.shed.wait(0.8)

    def fill(self, *, upto: float | None = None) -> float:
        """Add fruit until the next would be too much, then the one that lands in the window."""
        net = 0.0
        stop = upto or self.lowest
        mean = FRUIT[self.cultivar][0]
        while net < stop - 2.2 * mean:
            net = self.add(net, self.fruit())
        if upto is None:
            net = self.land(net)
        return net

    def land(self, net: float) -> float:
        """Finish with fruit picked from a heap by eye: the last ones must reach the window."""
        while True:
            heap = [self.fruit() for _ in range(40)]
            fits = [each for each in heap if self.lowest <= round(net + each, 2) <= self.highest]
            if fits:
                return self.add(net, self.shed.random.choice(fits))
            pairs = [
                (one, other)
                for one in heap
                for other in heap
                if self.lowest <= round(net + one + other, 2) <= self.highest
            ]
            if pairs:
                one, other = self.shed.random.choice(pairs)
                return self.add(self.add(net, one), other)

    def add(self, net: float, weight: float) -> float:
        self.shed.scale.put(pounds(weight))
        self.shed.wait(round(self.shed.random.uniform(1.1, 2.2), 1))
        return round(net + weight, 2)

    def take(self, net: float, weight: float) -> float:
        self.shed.scale.take(pounds(weight))
        self.shed.wait(2.0)
        return round(net - weight, 2)

    def close(self, **fields: object) -> None:
        self.shed.wait(1.4)
        self.shed.do("close_box", **fields)
        self.shed.boxes += 1
        self.shed.wait(0.8)

    def lift(self) -> None:
        self.shed.scale.clear()
        self.shed.wait(round(self.shed.random.uniform(4.0, 7.0), 1))

    def pack(self, **fields: object) -> None:
        """Pack one ordinary box."""
        self.put_box()
        self.tare()
        self.fill()
        self.close(**fields)
        self.lift()

    def pack_many(self, boxes: int, culls: Iterator[dict[str, object]], every: int = 2) -> None:
        for number in range(boxes):
            self.pack()
            if number % every == every - 1:
                self.shed.do("cull", **next(culls))
                self.shed.wait(2.0)
