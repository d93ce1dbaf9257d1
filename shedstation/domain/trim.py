"""Find the fewest fruit to move so that a box lands in its window with the least over."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import Enum
from fractions import Fraction
from itertools import combinations
from math import inf
from typing import Final, TypeAlias

from shedstation.domain.limits import Limits, Verdict
from shedstation.domain.mass import Mass
from shedstation.domain.size_codes import SizeCode, SizeStandard, package_size
from shedstation.domain.trim_outlook import CUP, Outlook, Tray

_MOVE: Final = Fraction(1, 4)
"""A move costs so much of what is good enough (our rule, as all below, from simulation)."""

_RETRY: Final = Fraction(3, 5)
"""Taking out a fruit that did not fit costs so much of it: a move, and perhaps more of the kind."""

_DEARER: Final = Fraction(1, 4)
"""That rises by this part with each move: what was not found often is not within reach."""

_TO_CUP: Final = Fraction(1, 6)
"""A fruit is told to a cup early if the tray is better by so much of it for every box."""

_PATIENCE: Final = 12
"""After so many moves the best plan that lands is taken, and a box in its window is left."""

_AN_END: Final = 16
"""After so many a box in its window is left, and no plan is taken that lands close to a limit: one that
lands on the floor can fall short by a division again and again."""

_WELL_INSIDE: Final = Fraction(1, 3)
"""Close to a limit is nearer than this part of what is good enough."""

_FAR: Final = 3
"""A box is far from full while it lacks more than so many usual fruit."""

_ONE: Final = Fraction(8, 5)
"""Up to so many usual fruit a box lacks one."""

_SPREAD: Final = Fraction(1, 5)
"""The spread of fruit to begin with, as part of a usual one: the middle of the 15 to 25 % usual for
mangoes not sorted by size (from memory, no published source)."""

_LEAST_SPREAD: Final = Fraction(1, 100)
"""Fruit that seem all alike are taken to differ by so small a part of a usual one."""


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
    """So much over is no trouble: a move costs a quarter of it, so that a swap must save more than half
    of it, and another unweighed fruit is tried first if that is likely to save more. The window's own
    width takes the first plan there is."""

    moved: int = 0
    """Moves already made with this box."""

    claim: SizeClaim | None = None
    spread: Mass | None = None
    """By how much single fruit differ, as a standard deviation; none if too few were told."""

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
    """What is to be put in unweighed: so much in all, both included, as so many fruit.

    Of the last fruit it may be less than the box lacks, or more: then a plan with the cups lands it.
    """

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


Try: TypeAlias = tuple[float, TrimAdvice]
"""A way to try another fruit, after what the box is expected to cost then, in nanograms."""


def advise(question: TrimQuestion) -> TrimAdvice:
    """Say what to do with a box so that it ends inside its window with little over.

    The search for plans is exact: all of one or two moves are tried, in whole counts of the scale. Worth
    doing are those that keep the limits and the claimed size and cost no more than to try another fruit,
    a move counted as a quarter of what is good enough; of them the one with the least over is given, of
    equals the one with fewer moves. Ask again after each move: a fruit may weigh a division more or less
    than it did before. Of a box still far from full a fruit that betters the tray is told to a free cup.

    Returns:
        The plan; without one, how much to put in, or which fruit to take out and how much to put in for
        it. When there was no end to it, the best plan there is, or none for a box in its window.

    Raises:
        ValueError: if the masses are not all in one unit.
    """
    here = _advice(question, ())
    if -here.over > question.usual * _FAR:
        return _far_from_full(question)
    otherwise, landing = _tries(question, here), _landing(question)
    if question.moved >= _PATIENCE:
        return _end(question, here, landing, otherwise)
    if question.limits.verdict(question.net) is Verdict.ON:
        otherwise.append((float(here.over.nanograms), here))
    cost, other = min(otherwise, key=lambda each: each[0], default=(inf, None))
    good = _first(question, [each for each in landing if _cost(question, each) < cost])
    return good or other or _first(question, landing) or _lighter(question, here)


def _end(
    question: TrimQuestion, here: TrimAdvice, landing: Sequence[TrimAdvice], tries: Sequence[Try]
) -> TrimAdvice:
    """Bring a box to an end that took many moves: with the best plan, later with the safest."""
    is_late, is_on = question.moved >= _AN_END, question.limits.verdict(question.net) is Verdict.ON
    if is_late and is_on:
        return here
    if is_late:
        landing = [each for each in landing if _is_well_inside(question, each)]
    if is_late and here.over.count < 0:
        # What was looked for in exchange does not lie there: one fruit more, whatever comes of it.
        tries = tries[-1:]
    plan = _first(question, landing) or (here if is_on else None)
    _, other = min(tries, key=lambda each: each[0], default=(inf, None))
    return plan or other or _lighter(question, here)


def _is_well_inside(question: TrimQuestion, plan: TrimAdvice) -> bool:
    inside = min(plan.over, question.limits.highest - plan.net)
    return inside.nanograms >= _WELL_INSIDE * question.enough.nanograms


def _lighter(question: TrimQuestion, here: TrimAdvice) -> TrimAdvice:
    """Take the newest fruit out of a box that is too heavy for any plan."""
    outs = _outs(question.on_top, question.free)
    if question.limits.verdict(question.net) is Verdict.OVER and outs:
        return _advice(question, (outs[0],))
    return here


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


def _cost(question: TrimQuestion, plan: TrimAdvice) -> Fraction:
    """Add what the moves of a plan cost to what it is over, in nanograms."""
    price = sum((_price(move) for move in plan.moves), Fraction(0))
    return plan.over.nanograms + price * _MOVE * question.enough.nanograms


def _price(move: Move) -> Fraction:
    """Price a move; one that fills a cup saves most of a move later, one that empties a cup costs it."""
    if move.way is Way.IN:
        return 1 + CUP
    return Fraction(1) if move.cup is None else 1 - CUP


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


def _far_from_full(question: TrimQuestion) -> TrimAdvice:
    """Say how much the box lacks; tell its newest fruit to a cup if that betters the tray enough."""
    if question.on_top and question.free:
        outlook, tray = _outlook(question), _tray(question)
        with_it = tray.with_fruit(_number(question.on_top[0]))
        if outlook.of_tray(tray) - outlook.of_tray(with_it) > _TO_CUP * _number(question.enough):
            return _put_in(question, (_out(question.on_top, 0, question.free),))
    return _put_in(question, ())


def _tries(question: TrimQuestion, here: TrimAdvice) -> list[Try]:
    """Give the ways to try another fruit; with a light box the last is to put one more in."""
    tries = [_exchange(question, fruit) for fruit in range(len(question.on_top))]
    if here.over.count < 0:
        tries.append(_fill(question, here))
    return [each for each in tries if each is not None]


def _fill(question: TrimQuestion, here: TrimAdvice) -> Try:
    if -here.over.nanograms <= question.usual.nanograms * _ONE:
        return _one_more(question, here, question.on_top[:1])
    tops = [_number(each) for each in question.on_top[:1]]
    cost = _outlook(question).after_two(_number(here.over), next(iter(tops), None), _tray(question))
    return cost * question.net.unit.nanograms, _put_in(question, ())


def _exchange(question: TrimQuestion, fruit: int) -> Try | None:
    """Take a fruit out and put another one in for it, if that leaves the box light."""
    after = _advice(question, (_out(question.on_top, fruit, question.free),))
    if after.over.count >= 0:
        return None
    left = (*question.on_top[:fruit], *question.on_top[fruit + 1 :])
    cost, advice = _one_more(question, after, left[:1])
    return cost + float(_MOVE * question.enough.nanograms), advice


def _one_more(question: TrimQuestion, light: TrimAdvice, tops: Sequence[Mass]) -> Try:
    """Say which fruit to look for after the moves of a piece of advice, and what it may cost."""
    top = next((_number(each) for each in tops), None)
    cost, weight = _outlook(question).after_one(_number(light.over), top, _tray(question))
    net = question.net
    least = Mass(round(weight * 10**net.decimals), net.decimals, net.unit)
    return cost * net.unit.nanograms, _put_in(question, light.moves, least)


def _put_in(
    question: TrimQuestion, moves: tuple[Move, ...], least: Mass | None = None
) -> TrimAdvice:
    """Say how much is to be put in, once the moves are done: what the box lacks, if nothing else."""
    least = -_advice(question, moves).over if least is None else least
    good = min(question.enough, question.limits.highest - question.limits.lowest)
    fruit = max(1, round(least.nanograms / question.usual.nanograms))
    return _advice(question, moves, Wanted(least=least, most=least + good, fruit=fruit))


def _outlook(question: TrimQuestion) -> Outlook:
    """Tell what is expected of fruit, in the unit of the scale."""
    usual, enough = _number(question.usual), _number(question.enough)
    spread = usual * float(_SPREAD) if question.spread is None else _number(question.spread)
    return Outlook(
        usual=usual,
        spread=max(spread, usual * float(_LEAST_SPREAD)),
        width=_number(question.limits.highest - question.limits.lowest),
        move=float(_MOVE) * enough,
        retry=float(_RETRY * (1 + question.moved * _DEARER)) * enough,
    )


def _tray(question: TrimQuestion) -> Tray:
    return Tray(
        cups=tuple(_number(each) for each in question.cups.values()), free=len(question.free)
    )


def _number(mass: Mass) -> float:
    return float(mass.measured_in(mass.unit))
