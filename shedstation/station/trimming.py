"""Follow one bench's packer with the trim tray: what to do now, and what stands in which cup."""

from collections import deque
from collections.abc import Callable, Sequence
from itertools import takewhile
from math import floor
from statistics import median_low, stdev
from typing import Final

from shedstation.domain.bench_sequence import Step
from shedstation.domain.farm import NetOnLabel, Pack
from shedstation.domain.fruit.contents import InBox, contents
from shedstation.domain.fruit.step import FruitStep, is_like_one
from shedstation.domain.limits import Limits
from shedstation.domain.mass import Mass, Unit
from shedstation.domain.reading import State
from shedstation.domain.size_codes import SIZE_CODES
from shedstation.domain.trim import SizeClaim, TrimAdvice, TrimQuestion, Way, advise
from shedstation.domain.trim_follow import (
    CupChange,
    Followed,
    LastFruit,
    emptied,
    follow,
    holds_still,
    take_back,
    tell,
)
from shedstation.domain.trim_tray import CupFruit, TrimTray
from shedstation.station.bench import Bench
from shedstation.station.fruit_watch import FruitWatch

_ENOUGH: Final = Mass(28, 0, Unit.G)
_ENOUGH_DIVISIONS: Final = 2
"""So much over is good, but no fewer divisions than this (our rule, from simulation)."""

_USUAL_FROM: Final = 3
"""Nobody knows how heavy one fruit is before so many were told (our rule)."""

_USUAL_OF: Final = 200
"""The median is taken of so many fruit at most, the last ones (our rule)."""

_SPREAD_FROM: Final = 20
"""By how much fruit differ is known from so many on: to within a sixth of it (our rule)."""

_ON_TOP: Final = 2
NEAR_FRUIT: Final = 2
"""How much to add is said in fruit once the box wants no more than so many (our rule)."""

_PLAY: Final = 1
"""At rest a box shows what its fruit sum to within so many; before, a step is not known well."""

_SAME_STEP_S: Final = 0.5
"""No two fruit are moved within so short a time."""

_BROKEN: Final = (Step.INTERRUPTED, Step.CHANGED)


Record = Callable[[Sequence[CupChange]], None]
"""Records what happened to cups; may raise WorldFault."""


class Trimming:
    """One bench's trim advice, its tray, and the fruit that moved last."""

    def __init__(
        self,
        tray: TrimTray | None,
        step: Step,
        *,
        filled: Callable[[Sequence[CupChange], float], None],
        doubted: Callable[[str, float], None],
    ) -> None:
        """Start before a box.

        Args:
            tray: What stands in the cups; none where there are none.
            step: What the bench is at.
            filled: Records what happened to cups, at a second; may raise WorldFault.
            doubted: Records why the weights in the cups are trusted no more.
        """
        self.tray = tray
        self.last: LastFruit | None = None
        self.advice: TrimAdvice | None = None
        """For the box as it rested last; none if there is nothing to say."""

        self._filled, self._doubted = filled, doubted
        self._unsaid: tuple[str, float] | None = None
        self._step = step
        self._asked: TrimQuestion | None = None
        self._steps: tuple[FruitStep, ...] = ()
        self._moved, self._from_cup = 0, False
        self._packs: tuple[str, str] | None = None
        self._before: deque[Mass] = deque(maxlen=_USUAL_OF)
        self._in_box: tuple[Mass, ...] = ()

    def see(self, bench: Bench, watch: FruitWatch) -> None:
        """Take in the bench's last reading, after the fruit were told from it.

        Raises:
            WorldFault: if a cup's change cannot be recorded; it is tried again at the next reading.
        """
        self._say_doubt()
        self._look_for_doubt(bench)
        if not bench.step.has_open_box and bench.step is not Step.CLOSED:
            self.begin(bench)
        elif bench.step is Step.FILLING and _rests(bench):
            steps = watch.steps
            # Before the new level was told the last plan is still the one that is followed.
            if _are_told(bench, steps):
                self._follow(bench, steps)
                self._think(bench, contents(steps))

    def _look_for_doubt(self, bench: Bench) -> None:
        broke = bench.step in _BROKEN and self._step not in _BROKEN
        self._step = bench.step
        if bench.has_wrong_unit:
            self.doubt("unit", bench.now_s)
        elif broke:
            self.doubt("break", bench.now_s)
        elif bench.step in (Step.EMPTY, Step.BOX_ON) and bench.zero.trouble is not None:
            self.doubt("zero", bench.now_s)

    def doubt(self, why: str, at_s: float) -> None:
        """Trust no weight in a cup any more: `zero`, `unit` or `break`; said once for each fruit.

        Raises:
            WorldFault: if it cannot be recorded; it holds, and is recorded with the next reading.
        """
        tray = self.tray
        if tray is None:
            return
        since = [each.since_s for each in tray.cups if each is not None]
        if since and (tray.doubted_s is None or max(since) > tray.doubted_s):
            # What gave the doubt may be over once the disk takes it: it holds from now on all the same.
            self.tray, self._asked = tray.doubt(at_s), None
            self._unsaid = why, at_s
            self._say_doubt()

    def _say_doubt(self) -> None:
        """Record a doubt that is on no record yet."""
        if self._unsaid is not None:
            self._doubted(*self._unsaid)
            self._unsaid = None

    def begin(self, bench: Bench) -> None:
        """Keep what the fruit of the box before weighed, and begin anew."""
        self._before.extend(self._in_box)
        choice = bench.choice
        packs = None if choice is None else (choice.load, choice.grade)
        if packs != self._packs:
            self._before.clear()
            self._packs = packs
        self.last = self.advice = self._asked = None
        self._steps, self._in_box = (), ()
        self._moved, self._from_cup = 0, False

    def _follow(self, bench: Bench, steps: tuple[FruitStep, ...]) -> None:
        """Take in what moved since the box rested before."""
        known = _alike(self._steps, steps)
        if known < len(self._steps):
            self._was_touch(bench)
        self._steps = steps[:known]
        for place in range(known, len(steps)):
            self._moves(bench, steps[place])
            self._steps = steps[: place + 1]

    def _was_touch(self, bench: Bench) -> None:
        """Take the last move back: a hand rested there, and no fruit moved."""
        if self.last is not None and self.tray is not None:
            self._go_on(take_back(self.last, self.tray), self._by_scale(bench.now_s))
        self.last = None

    def _moves(self, bench: Bench, step: FruitStep) -> None:
        tray, choice = self.tray, bench.choice
        if tray is not None and choice is not None:
            plan = () if self.advice is None else self.advice.moves

            def learned(weight: Mass) -> CupFruit:
                return CupFruit(
                    weight=weight, since_s=bench.now_s, load=choice.load, grade=choice.grade
                )

            division, last = bench.setup.division, self.last
            done = follow(step, tray, before=last, plan=plan, learned=learned, division=division)
            self._go_on(done, self._by_scale(bench.now_s))
        self._from_cup = (
            step.change.count > 0 and self.last is not None and self.last.cup is not None
        )
        self._moved += step.change.count < 0 or self._from_cup

    def _by_scale(self, at_s: float) -> Record:
        return lambda changes: self._filled(changes, at_s)

    def _go_on(self, followed: Followed, record: Record) -> None:
        """Record what happened to the cups and go on from there."""
        if followed.changes:
            record(followed.changes)
        self.tray, self.last, self._asked = followed.tray, followed.last, None

    def tell(self, cup: int | None, record: Record) -> None:
        """Take a person's word for where the last fruit went to or came from.

        Raises:
            Unclear: if that cannot be.
            WorldFault: if it cannot be recorded.
        """
        assert self.tray is not None  # noqa: S101  # only asked where there are cups
        self._go_on(tell(self.last, self.tray, cup), record)

    def empty(self, cups: Sequence[int], record: Record) -> None:
        """Put the fruit of cups back where fruit are taken from.

        Raises:
            WorldFault: if it cannot be recorded.
        """
        assert self.tray is not None  # noqa: S101  # only asked where there are cups
        self._go_on(emptied(self.tray, cups), record)

    def think_again(self, bench: Bench, watch: FruitWatch) -> None:
        """Say what to do now, after a person said something of the cups."""
        if bench.step is Step.FILLING and _rests(bench) and _are_told(bench, watch.steps):
            self._think(bench, watch.contents)
        elif self.tray is not None and self.advice is not None:
            # Until the box rests the plan is still followed, but not to a cup that was emptied.
            taken = [move for move in self.advice.moves if move.way is Way.IN]
            if not all(holds_still(self.tray, move) for move in taken):
                self.advice = None

    # ---- the advice

    def _think(self, bench: Bench, lying: Sequence[InBox]) -> None:
        """Look for the next move, unless a question is open or nothing has changed."""
        self._in_box = tuple(each.weight for each in lying if each.is_single)
        if self.last is not None and self.last.asked is not None:
            return
        question = self._question(bench, lying)
        if question is None:
            self.advice = self._asked = None
        elif question != self._asked:
            self._asked, self.advice = question, _worth_saying(advise(question))

    def _question(self, bench: Bench, lying: Sequence[InBox]) -> TrimQuestion | None:
        limits, known = _legal(bench), self._known()
        if bench.net is None or limits is None or len(known) < _USUAL_FROM:
            return None
        usual = median_low(known)
        on_top = self._on_top(lying, usual)
        claim = None if bench.pack is None else _claim(bench.pack, lying, len(on_top))
        # What is not told singly can be judged by no size: then nothing is moved.
        moves = claim is not None or not _claims(bench.pack)
        return TrimQuestion(
            net=bench.net,
            limits=limits,
            on_top=on_top if moves else (),
            cups=self.usable(bench) if moves else {},
            free=() if self.tray is None else self.tray.free,
            usual=usual,
            enough=_enough(bench.setup.division),
            moved=self._moved,
            claim=claim,
            spread=_spread(known) if len(known) >= _SPREAD_FROM else None,
        )

    def _known(self) -> list[Mass]:
        """Give what the fruit told in this load weigh."""
        beside = () if self.tray is None else self.tray.cups
        cups = [each.weight for each in beside if each is not None]
        known = [each for each in (*self._before, *cups, *self._in_box) if each.count > 0]
        return known[-_USUAL_OF:]

    def _on_top(self, lying: Sequence[InBox], usual: Mass) -> tuple[Mass, ...]:
        """Give the fruit that can be taken out, newest first, down to one that is not surely one."""
        found: list[Mass] = []
        for each in list(reversed(lying))[: _ON_TOP + self._from_cup]:
            alike = is_like_one(float(each.weight.nanograms), float(usual.nanograms))
            if not each.is_single or not alike:
                break
            found.append(each.weight)
        return tuple(found)

    def usable(self, bench: Bench) -> dict[int, Mass]:
        """Give the weights in the cups that may be counted on now, by the number of the cup."""
        if self.tray is None or bench.choice is None:
            return {}
        return self.tray.usable(bench.now_s, bench.choice.load, bench.choice.grade)


def _alike(before: Sequence[FruitStep], now: Sequence[FruitStep]) -> int:
    """Count the steps from the first on that are still the same ones; a level may be refined."""
    pairs = zip(before, now, strict=False)
    same = takewhile(lambda pair: abs(pair[0].at_s - pair[1].at_s) < _SAME_STEP_S, pairs)
    return sum(1 for _ in same)


def _rests(bench: Bench) -> bool:
    reading = bench.reading
    if reading is None or bench.net is None or bench.freshness.is_single(reading):
        return False
    return reading.state is State.STEADY and bench.net.is_multiple_of(bench.setup.division)


def _are_told(bench: Bench, steps: Sequence[FruitStep]) -> bool:
    """Tell whether the steps sum to what the scale shows, but for a reading's own play."""
    told = sum(step.change.count for step in steps)
    division = bench.setup.division
    assert bench.net is not None  # noqa: S101  # it rests
    net = bench.net.with_decimals(division.decimals).count
    return abs(net - told) <= _PLAY * division.count


def _legal(bench: Bench) -> Limits | None:
    """Give the limits of the box, never below what its label declares; none if nothing lies between."""
    limits, pack = bench.limits, bench.pack
    if limits is None or pack is None or pack.net_on_label is not NetOnLabel.DECLARED:
        return limits
    step = bench.setup.division
    declared = step * int(-(-pack.label_net.nanograms // step.nanograms))
    lowest = max(limits.lowest, declared)
    return Limits(lowest, limits.highest) if lowest <= limits.highest else None


def _spread(known: Sequence[Mass]) -> Mass:
    """Give the standard deviation of weights of one scale, to the nearest of its last digit."""
    decimals = max(each.decimals for each in known)
    deviation = round(stdev(each.with_decimals(decimals).count for each in known))
    return Mass(deviation, decimals, known[0].unit)


def _claims(pack: Pack | None) -> bool:
    return pack is not None and pack.size_standard is not None and pack.size_code is not None


def _claim(pack: Pack, lying: Sequence[InBox], on_top: int) -> SizeClaim | None:
    """Give what the pack claims of its fruit's size; none if not all of them are told singly."""
    if pack.size_standard is None or not all(each.is_single for each in lying):
        return None
    codes = [each for each in SIZE_CODES[pack.size_standard] if each.code == pack.size_code]
    rest = tuple(each.weight for each in lying[: len(lying) - on_top])
    return SizeClaim(standard=pack.size_standard, code=codes[0], rest=rest) if codes else None


def _worth_saying(advice: TrimAdvice) -> TrimAdvice | None:
    """Keep advice that moves fruit, or says near the end how much is to be added."""
    wanted = advice.wanted
    if advice.moves or (wanted is not None and wanted.fruit <= NEAR_FRUIT):
        return advice
    return None


def _enough(division: Mass) -> Mass:
    """Give what is good enough, in whole divisions of a scale."""
    whole = floor(_ENOUGH.nanograms / division.nanograms)
    return division * max(whole, _ENOUGH_DIVISIONS)
