"""Somebody who teaches an invented scale, follows the advice, and judges what was learned."""

import random
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Final

from invented_fields import Pan
from invented_scales import Bench, Scale

from shedstation.devices.languages.decode import Decoder
from shedstation.devices.learning.inference import Taught, learn
from shedstation.devices.learning.lesson import Example, Lesson
from shedstation.domain.mass import Mass
from shedstation.domain.reading import Reading, State

MOST_LOADS: Final = 9
FRESH_FRAMES: Final = 200


@dataclass
class Verdict:
    """How well a language was learned."""

    seed: int
    notes: list[str]
    taught: Taught
    loads: int
    wrong: list[str] = field(default_factory=list)
    read: int = 0
    due: int = 0
    """Frames like those that were shown, which should be read."""

    missed: Counter[str] = field(default_factory=Counter)

    @property
    def is_warned(self) -> bool:
        return bool(self.taught.doubts)

    @property
    def outcome(self) -> str:
        if self.wrong:
            return "wrong, warned" if self.is_warned else "WRONG"
        if not self.taught.may_be_used:
            return "not learned"
        if self.read >= 0.95 * self.due:
            return "right"
        return "incomplete, warned" if self.is_warned else "INCOMPLETE"


class Teacher:
    """Shows loads, one after the other."""

    def __init__(self, scale: Scale, draw: random.Random) -> None:
        self.bench = Bench(scale, draw)
        self.draw = draw
        self.knows_capacity = draw.random() < 0.5
        self.examples: list[Example] = []
        self.units = {self.bench.unit}
        self.tares: set[bool] = set()
        self.counts: set[int] = set()
        self.tares_below_zero: set[bool] = set()

    def taught(self, *, follows_advice: bool = True) -> Taught:
        for _ in range(self.draw.choice((3, 3, 4))):
            self.show(self.bench.load())
        if self.draw.random() < 0.3:
            self.show(0)
        if self.draw.random() < 0.7:
            self._below_zero()
        if self.draw.random() < 0.3:
            self._beyond()
        result = learn(self.lesson())
        while follows_advice and len(self.examples) < MOST_LOADS:
            advice = [doubt.settle.name for doubt in result.doubts if doubt.settle]
            if not any(self._follow(name) for name in advice):
                break
            result = learn(self.lesson())
        return result

    def lesson(self) -> Lesson:
        scale = self.bench.scale
        unit = scale.units[0]
        capacity = Mass(scale.capacity, scale.decimals[unit], unit)
        return Lesson(tuple(self.examples), capacity if self.knows_capacity else None)

    def show(self, count: int) -> None:
        moving: list[Pan] = []
        if self.draw.random() < 0.5:  # lifts the last load off first
            moving += [*self.bench.moved_to(-self.bench.tare), *self.bench.at_rest(6)]
        moving += self.bench.moved_to(count)
        moving += self.bench.at_rest(self.draw.choice((0, 5, 30)))  # while it is typed
        resting = self.bench.at_rest(self.draw.randint(8, 14))
        heard = self.bench.heard(moving), self.bench.heard(resting)
        self.examples.append(Example(resting[-1].shown, before=heard[0], chunks=heard[1]))
        self.tares.add(bool(self.bench.tare))
        self.counts.add(count)
        if count < 0:
            self.tares_below_zero.add(bool(self.bench.tare))

    def _below_zero(self) -> None:
        """Press down less than nothing, or tare a box and lift it off, as the station advises."""
        division = self.bench.scale.division
        count = self.draw.randint(21, self.bench.scale.capacity // 10) // division * division
        self.bench.tare = count if self.draw.random() < 0.5 else 0
        self.show(-count)
        self.bench.tare = 0

    def _beyond(self) -> None:
        """Press down as hard as one can: the display shows dashes."""
        heaviest = self.bench.scale.capacity * 11 // 10
        pans = [self.bench.pan(heaviest, is_over=True) for _ in range(10)]
        self.examples.append(Example(None, chunks=self.bench.heard(pans)))

    def _follow(self, advice: str) -> bool:
        match advice:
            case "teach.show_below_zero":
                self._below_zero()
            case "teach.show_after_tare":
                self.bench.tare = self.draw.randint(20, 200)
                self.show(self.bench.load())
                self.bench.tare = 0
            case "teach.show_both_signs":
                self.bench.tare = self.draw.choice((0, self.draw.randint(20, 200)))
                self.show(self.bench.load())
                self._below_zero()
            case "teach.show_heavier":
                self.show(self.bench.whole(self.bench.most()))
            case "teach.show_lighter":
                self.show(self.bench.whole(self.bench.most() // 97))
            case "teach.show_other_unit" if len(self.bench.scale.units) > 1:
                self.bench.unit = next(
                    u for u in self.bench.scale.units if u is not self.bench.unit
                )
                self.units.add(self.bench.unit)
                self.show(self.bench.load())
            case "teach.show_other_unit":
                return False
            case _:
                self.show(self.bench.load())
        return True


def judged(scale: Scale, seed: int, *, follows_advice: bool = True) -> Verdict:
    """Teach a scale and try what was learned on fresh frames."""
    draw = random.Random(seed * 7919 + 1)
    teacher = Teacher(scale, draw)
    taught = teacher.taught(follows_advice=follows_advice)
    verdict = Verdict(seed, scale.notes, taught, len(teacher.examples))
    if not taught.may_be_used:
        return verdict
    decoder = Decoder(taught.language, taught.bits)
    decoder.feed(0.0, scale.frame(teacher.bench.pan(0)) * 3)
    # Units are remembered by the decoder, so frames come in stretches as at a bench.
    for at, (pan, is_due, what) in enumerate(_fresh(teacher)):
        verdict.due += is_due
        events = decoder.feed(float(at), scale.frame(pan))
        readings = [event for event in events if isinstance(event, Reading)]
        if not readings:
            verdict.missed[what] += is_due
            continue
        wrong = _wrong(readings[-1], pan)
        if wrong:
            verdict.wrong.append(f"{what}: {scale.frame(pan)!r} {wrong}")
        elif is_due:
            verdict.read += 1
    return verdict


def _wrong(reading: Reading, pan: Pan) -> str:
    if reading.state in {State.OVER, State.UNDER, State.FAULT}:
        return "" if pan.is_over else f"said {reading.state}"
    if reading.mass is None:
        return ""  # a number without a unit, before a unit came
    shown = pan.shown
    if shown is None or reading.mass.unit is not shown.unit or not reading.mass.same_as(shown):
        return f"read {reading.mass}, shown {shown}"
    if reading.state is State.STEADY and pan.is_moving:
        return "said steady while moving"
    if reading.state is State.MOVING and not pan.is_moving:
        return "said moving while steady"
    return ""


def _fresh(teacher: Teacher) -> Iterator[tuple[Pan, bool, str]]:
    """Give frames of all sorts, with whether the like of them was shown, and what they are."""
    bench, draw = teacher.bench, teacher.draw
    units = sorted(teacher.units, key=lambda unit: unit.value)
    has_zero, has_below = 0 in teacher.counts, False in teacher.tares_below_zero
    bench.frame_no += draw.choice((0, 3, 5000, 36000))
    for _ in range(FRESH_FRAMES // 20):
        bench.unit = draw.choice(units)
        bench.tare = draw.randint(20, 200) if True in teacher.tares and draw.random() < 0.3 else 0
        what = "tared" if bench.tare else "plain"
        yield bench.pan(bench.count), False, "at rest before"
        for pan in list(bench.moved_to(bench.load()))[-6:]:
            yield pan, pan.count > 0 and len(bench.scale.units) == 1, f"moving {what}"
        for pan in bench.at_rest(6):
            yield pan, True, f"steady {what}"
        bench.count = -bench.load() // 10
        yield bench.pan(bench.count), has_below, "below zero"
        yield bench.pan(bench.count, is_moving=True), False, "below zero, moving"
        yield bench.pan(0), has_zero, "zero"
        yield bench.pan(bench.scale.capacity * 11 // 10, is_over=True), False, "over"
        if not bench.tare:
            bench.tare = draw.randint(20, 200)
            yield bench.pan(bench.load()), False, "tare unseen"
            yield bench.pan(-bench.tare), False, "tare alone"
            bench.tare = 0
        bench.unit = draw.choice(list(bench.scale.units))
        yield bench.pan(bench.load()), False, "other unit"
