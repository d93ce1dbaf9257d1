"""Find the fewest fruit to move so that a box lands in its window with the least over."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import Enum
from fractions import Fraction
from itertools import combinations
from typing import Final

from shedstation.domain.limits import Limits, Verdict
from shedstation.domain.mass import Mass
from shedstation.domain.size_codes import SizeCode, SizeStandard, package_size

_PATIENCE: Final = 9
"""After so many moves any place inside the window is good (our rule, from simulation)."""

_DRAIN: Final = 3
"""A plan that empties two cups must land so many times nearer: they have to be filled again (our rule,
from simulation)."""

_KEPT_FREE: Final = 2
"""So many cups may stay empty; more are filled while the box is far from full (our rule, from
simulation)."""

_FAR: Final = 3
"""A box is far from full while it lacks more than so many usual fruit."""

_NEARLY: Final = Fraction(2, 5)
"""A light box that lacks less than this part of a usual fruit wants a heavier fruit, not one more."""


class Way(Enum):
    """Which way a fruit goes."""

    IN = "in"
    """From its cup into the box."""

    OUT = "out"
    """Out of the box into a cup, or back where fruit are taken from."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """One fruit that goes in or out."""

    way: Way
    weight: Mass
    cup: int | None
    """The cup it comes from or goes to; none for a fruit that goes back to where fruit are taken from."""

    from_top: int | None = None
    """Which fruit goes out: 1 the last one put in, 2 the one before; none for one that goes in."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeClaim:
    """That the pack says a size code, and what else lies in the box."""

    standard: SizeStandard
    code: SizeCode
    rest: tuple[Mass, ...]
    """The fruit in the box that cannot be taken out, each told singly."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TrimQuestion:
    """Everything the advice depends on; all masses in the unit of the scale."""

    net: Mass
    limits: Limits
    on_top: tuple[Mass, ...]
    """The fruit that can be taken out, newest first: the last two put in. While a swap is half done
    the fruit from the cup lies on top of them, and all three are given."""

    cups: Mapping[int, Mass]
    """The weights that may be counted on, by the number of the cup."""

    free: tuple[int, ...]
    """The empty cups, the one to be filled next first."""

    usual: Mass
    """What a fruit not yet weighed is expected to weigh, more than nothing."""

    enough: Mass
    """So much over is good: nothing is moved to better it, and what lands farther over waits for
    another unweighed fruit. The window's own width takes the first plan there is."""

    moved: int = 0
    """Moves already made with this box."""

    claim: SizeClaim | None = None

    def __post_init__(self) -> None:
        """Check the usual weight.

        Raises:
            ValueError: if it is nothing or less.
        """
        if self.usual.count <= 0:
            msg = (
                f"A usual fruit of {self.usual}: expected more than nothing; give the median of the "
                "fruit told so far, or the cultivar's weight before there are any."
            )
            raise ValueError(msg)


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """What is to be put in unweighed: so much in all, both included, as so many fruit."""

    least: Mass
    most: Mass
    fruit: int
    """How many usual fruit come nearest to it, at least one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TrimAdvice:
    """What to do now: the moves in order, then what is to be put in unweighed, if anything.

    With neither, the box is left as it is: good, or with nothing in it that could be taken out.
    """

    moves: tuple[Move, ...]
    net: Mass
    """Expected after the moves."""

    over: Mass
    """What `net` is over the lowest limit; below nothing while something is to be put in."""

    wanted: Wanted | None = None


def advise(question: TrimQuestion) -> TrimAdvice:
    """Say what to do with a box so that it ends inside its window with little over.

    The search for plans is exact: all of one or two moves are tried, in whole counts of the scale. Of
    those that keep the limits and the claimed size and are good enough, the one with the least over is
    given, of equals the one with fewer moves. Ask again after each move: a fruit may weigh a division
    more or less than it did before. Of a box still far from full the last fruit is told to a free cup.

    Returns:
        The plan; without a good one, how much to put in, or which fruit to take out and how much to put
        in for it. When there was no end to it, the best plan there is, or none for a box in its window.

    Raises:
        ValueError: if the masses are not all in one unit.
    """
    here = _advice(question, ())
    verdict = question.limits.verdict(question.net)
    if verdict is Verdict.ON and here.over <= question.enough:
        return here
    is_patient = question.moved < _PATIENCE
    landing = _landing(question)
    good = _first(question, [each for each in landing if _is_good(question, each)])
    if good is not None:
        return good
    if verdict is Verdict.UNDER and not (_lacks_little(question, here) and is_patient):
        return _fill(question, here)
    if verdict is Verdict.ON and not is_patient:
        return _first(question, landing) or here
    return _exchange(question) or _first(question, landing) or here


def _landing(question: TrimQuestion) -> list[TrimAdvice]:
    """Try every plan; give those that land inside the window and better the box, the best first."""
    every = [_advice(question, moves) for moves in _plans(question)]
    landing = [each for each in every if question.limits.verdict(each.net) is Verdict.ON]
    if question.limits.verdict(question.net) is Verdict.ON:
        landing = [each for each in landing if each.net < question.net]
    return sorted(landing, key=lambda each: (each.over.nanograms, len(each.moves)))


def _first(question: TrimQuestion, plans: Sequence[TrimAdvice]) -> TrimAdvice | None:
    """Give the first plan that keeps the claimed size; judging one takes longer than finding it."""
    return next((each for each in plans if _keeps_claim(question, each.moves)), None)


def _is_good(question: TrimQuestion, plan: TrimAdvice) -> bool:
    ways = [move.way for move in plan.moves]
    drains = ways == [Way.IN, Way.IN]
    return plan.over * (_DRAIN if drains else 1) <= question.enough


def _plans(question: TrimQuestion) -> Iterator[tuple[Move, ...]]:
    """Give every plan of one or two moves; each fruit moves once."""
    ins = [Move(way=Way.IN, weight=weight, cup=cup) for cup, weight in question.cups.items()]
    outs = _outs(question.on_top, question.free)
    for move in (*ins, *outs):
        yield (move,)
    yield from combinations(ins, 2)
    for first, second in combinations(range(len(outs)), 2):
        yield (outs[first], _out(question.on_top, second, question.free[1:]))
    for fruit, out in enumerate(outs):
        for into in ins:
            if question.free:
                yield (out, into)
            else:
                yield (into, _out(question.on_top, fruit, (into.cup,)))


def _outs(on_top: Sequence[Mass], free: Sequence[int | None]) -> list[Move]:
    return [_out(on_top, fruit, free) for fruit in range(len(on_top))]


def _out(on_top: Sequence[Mass], fruit: int, free: Sequence[int | None]) -> Move:
    cup = free[0] if free else None
    return Move(way=Way.OUT, weight=on_top[fruit], cup=cup, from_top=fruit + 1)


def _advice(
    question: TrimQuestion, moves: tuple[Move, ...], wanted: Wanted | None = None
) -> TrimAdvice:
    net = question.net
    for move in moves:
        net = net + move.weight if move.way is Way.IN else net - move.weight
    return TrimAdvice(moves=moves, net=net, over=net - question.limits.lowest, wanted=wanted)


def _keeps_claim(question: TrimQuestion, moves: Sequence[Move]) -> bool:
    """Tell whether the box still is of the size its pack claims once the fruit have moved."""
    if question.claim is None:
        return True
    gone = {move.from_top for move in moves}
    staying = [each for top, each in enumerate(question.on_top, 1) if top not in gone]
    added = [move.weight for move in moves if move.way is Way.IN]
    judged = package_size([*question.claim.rest, *staying, *added], question.claim.standard)
    if judged is None or judged.code != question.claim.code:
        return False
    return judged.keeps_size and judged.keeps_difference


def _lacks_little(question: TrimQuestion, here: TrimAdvice) -> bool:
    lacks = -here.over.nanograms
    return lacks < _NEARLY * question.usual.nanograms and bool(question.on_top)


def _fill(question: TrimQuestion, here: TrimAdvice) -> TrimAdvice:
    """Say how much the box lacks; far from full, tell its last fruit to a cup if many are empty."""
    far = -here.over > question.usual * _FAR
    if far and question.on_top and len(question.free) > _KEPT_FREE:
        return _put_in(question, (_out(question.on_top, 0, question.free),))
    return _put_in(question, ())


def _put_in(question: TrimQuestion, moves: tuple[Move, ...]) -> TrimAdvice:
    """Say how much is to be put in, once the moves are done, to be over by no more than is good."""
    after = _advice(question, moves)
    least = -after.over
    good = min(question.enough, question.limits.highest - question.limits.lowest)
    fruit = max(1, round(least.nanograms / question.usual.nanograms))
    return _advice(question, moves, Wanted(least=least, most=least + good, fruit=fruit))


def _exchange(question: TrimQuestion) -> TrimAdvice | None:
    """Say which fruit to take out so that the one wanted for it is nearest a usual one."""
    outs = _outs(question.on_top, question.free)
    light = [out for out in outs if question.net - out.weight < question.limits.lowest]
    usual = question.usual

    def from_usual(advice: TrimAdvice) -> Fraction:
        return abs(advice.over.nanograms + usual.nanograms)

    return min((_put_in(question, (out,)) for out in light), key=from_usual, default=None)
