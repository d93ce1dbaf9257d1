"""Find the fewest fruit to move so that a box lands in its window with the least over."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import Enum
from itertools import combinations

from shedstation.domain.limits import Limits, Verdict
from shedstation.domain.mass import Mass, zero
from shedstation.domain.size_codes import SizeCode, SizeStandard, package_size


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
    """What a fruit not yet weighed is expected to weigh."""

    enough: Mass
    """So much over is good: nothing is moved for less. A light box waits for another unweighed fruit
    rather than take one out of a cup that lands farther over than this."""

    claim: SizeClaim | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """How much an unweighed fruit put in last may weigh, both included."""

    least: Mass
    most: Mass


@dataclass(frozen=True, slots=True, kw_only=True)
class TrimAdvice:
    """What to do now: the moves in order, then what is to be put in unweighed, if anything.

    With neither, the box is best as it is.
    """

    moves: tuple[Move, ...]
    net: Mass
    """Expected after the moves."""

    over: Mass
    """What `net` is over the lowest limit; below nothing while something is to be put in."""

    wanted: Wanted | None = None


def advise(question: TrimQuestion) -> TrimAdvice:
    """Say what to do with a box: the plan of at most two moves that lands it inside its window.

    The search is exact: all plans are tried, in whole counts of the scale. Of those that keep the limits
    and the claimed size the one with the least over is given, the one with fewer moves of equals. Ask
    again after each move: a fruit moved may weigh a division more or less than it did before.

    Returns:
        The plan; without one, how much to put in, or which fruit to take out and how much to put in
        for it.

    Raises:
        ValueError: if the masses are not all in one unit.
    """
    verdict = question.limits.verdict(question.net)
    lowest = question.limits.lowest
    if verdict is Verdict.ON and question.net - lowest <= question.enough:
        return _advice(question, ())
    found = _best(question)
    if verdict is Verdict.UNDER:
        # The cups are for landing: a plan that lands poorly is worse than a look at the next fruit.
        is_good = found is not None and found.over <= question.enough
        return found if found is not None and is_good else _put_in(question, ())
    if found is not None:
        return found
    return _advice(question, ()) if verdict is Verdict.ON else _exchange(question)


def _best(question: TrimQuestion) -> TrimAdvice | None:
    """Try every plan that lands inside the window, the least over first."""
    every = [_advice(question, moves) for moves in _plans(question)]
    landing = [each for each in every if question.limits.verdict(each.net) is Verdict.ON]
    if question.limits.verdict(question.net) is Verdict.ON:
        landing = [each for each in landing if each.net < question.net]
    landing.sort(key=lambda each: (each.over.nanograms, len(each.moves)))
    return next((each for each in landing if _keeps_claim(question, each.moves)), None)


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


def _put_in(question: TrimQuestion, moves: tuple[Move, ...]) -> TrimAdvice:
    """Say how much is to be put in, once the moves are done."""
    after = _advice(question, moves)
    window = question.limits.highest - question.limits.lowest
    least = -after.over
    return _advice(question, moves, Wanted(least=least, most=least + window))


def _exchange(question: TrimQuestion) -> TrimAdvice:
    """Say which fruit to take out of a heavy box so that the one wanted for it is a usual one."""
    outs = [_put_in(question, (out,)) for out in _outs(question.on_top, question.free)]
    lighter = [each for each in outs if each.over < zero(each.over.unit)]
    if not lighter:
        # Even without its heaviest fruit the box is heavy: out it goes, and ask again.
        heaviest = sorted(outs, key=lambda each: each.net.nanograms)[:1]
        return _advice(question, heaviest[0].moves if heaviest else ())
    return min(lighter, key=lambda each: _from_usual(each, question.usual))


def _from_usual(advice: TrimAdvice, usual: Mass) -> Mass:
    """Give how far the wanted weights lie from that of a usual fruit; nothing if it is one of them."""
    wanted = advice.wanted
    if wanted is None or wanted.least <= usual <= wanted.most:
        return zero(usual.unit)
    return min(abs(wanted.least - usual), abs(wanted.most - usual))
