"""Follow the packer: which cup a fruit went to, or came from, by what was advised and what it weighs."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from enum import Enum
from typing import Final

from shedstation.domain.fruit.step import FruitStep, StepKind
from shedstation.domain.mass import Mass, add_up
from shedstation.domain.trim import Move, Way
from shedstation.domain.trim_tray import CupFruit, TrimTray

_ALIKE: Final = 3
"""A fruit weighed twice differs by fewer divisions than this or as many: each weight is the difference
of two readings, and each of those may be half a division off (our rule)."""


class Did(Enum):
    """What happened to a cup."""

    FILLED = "filled"
    TO_BOX = "to_box"
    """Its fruit went into the box."""

    TO_TUB = "to_tub"
    """Its fruit went back where fruit are taken from."""

    CORRECTED = "corrected"
    """Its fruit stands in another cup than was believed; what was in that one stands here."""


class Unclear(ValueError):
    """What was said of the last fruit cannot be so."""

    def __init__(self, code: str, cup: int | None = None) -> None:
        """Say why: `no_last_fruit`, `cup_full` or `cup_empty`, the last two of a cup."""
        super().__init__(code)
        self.code = code
        self.cup = cup


@dataclass(frozen=True, slots=True, kw_only=True)
class CupChange:
    """One change of one cup."""

    did: Did
    cup: int
    fruit: CupFruit
    """What is in it now, was in it before, or was believed to be."""

    real: int | None = None
    """The cup a corrected fruit really stands in."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LastFruit:
    """The fruit that moved last, and what the station takes its cup to be."""

    way: Way
    fruit: CupFruit
    """As it was weighed now; one from a cup that is known, as it was weighed then."""

    is_sure: bool
    """Whether it surely was one fruit."""

    cup: int | None = None
    """The cup it went to or came from; none is where fruit are taken from."""

    asked: int | None = None
    """The cup that is asked about, since it is not sure: the one that was advised."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Followed:
    """What the tray is after a fruit moved, by which changes, and the fruit."""

    tray: TrimTray
    changes: tuple[CupChange, ...]
    last: LastFruit | None


def follow(
    step: FruitStep,
    tray: TrimTray,
    *,
    before: LastFruit | None,
    plan: Sequence[Move],
    learned: Callable[[Mass], CupFruit],
    division: Mass,
) -> Followed:
    """Say what a step of the box's weight means for the cups.

    One sure fruit that came out goes to the cup that was advised; one that went in and weighs what the
    advised cup holds came from it. Anything else that was advised is asked about, and nothing is
    believed of what was not.

    Args:
        step: One change of the net weight.
        tray: The tray before.
        before: The fruit that moved before it.
        plan: The moves that were advised and not yet made.
        learned: Makes what a cup holds of a weight.
        division: The scale's division.
    """
    fruit = learned(abs(step.change))
    is_sure = step.sure and step.fruit == 1 and step.kind is not StepKind.UNSEEN
    if step.change.count < 0:
        return _out(LastFruit(way=Way.OUT, fruit=fruit, is_sure=is_sure), plan, tray)
    came = _in(LastFruit(way=Way.IN, fruit=fruit, is_sure=is_sure), plan, tray, division)
    return _swapped(before, came) or came


def _swapped(before: LastFruit | None, came: Followed) -> Followed | None:
    """Fill the cup that was just emptied, if the fruit told to it waited in a hand for that."""
    cup = None if came.last is None else came.last.cup
    if before is None or before.way is Way.IN or not before.is_sure or cup is None:
        return None
    if before.asked != cup or came.tray.fruit_in(cup) is not None:
        return None
    done = _fill(replace(before, cup=cup, asked=None), came.tray, cup)
    return replace(done, changes=(*came.changes, *done.changes))


def _out(last: LastFruit, plan: Sequence[Move], tray: TrimTray) -> Followed:
    told = [move for move in plan if move.way is Way.OUT and move.cup is not None]
    if not told:
        return Followed(tray=tray, changes=(), last=last)
    move = min(told, key=lambda each: abs((each.weight - last.fruit.weight).count))
    cup = move.cup
    assert cup is not None  # noqa: S101  # only such moves are looked at
    if not last.is_sure or tray.fruit_in(cup) is not None:
        return Followed(tray=tray, changes=(), last=replace(last, asked=cup))
    return _fill(replace(last, cup=cup), tray, cup)


def _in(last: LastFruit, plan: Sequence[Move], tray: TrimTray, division: Mass) -> Followed:
    told = [move for move in plan if move.way is Way.IN and holds_still(tray, move)]
    alike = [move for move in told if _is_alike(move.weight, last.fruit.weight, division)]
    together = add_up(move.weight for move in told)
    if alike:
        cups = [min(alike, key=lambda each: abs((each.weight - last.fruit.weight).count)).cup]
    elif together is not None and _is_alike(together, last.fruit.weight, division):
        cups = [move.cup for move in told]  # Both hands at once.
    else:
        return Followed(tray=tray, changes=(), last=_ask_which(last, told, tray, division))
    changes = []
    for cup in cups:
        assert cup is not None  # noqa: S101  # only such moves are looked at
        held = tray.fruit_in(cup)
        assert held is not None  # noqa: S101  # only cups that hold their fruit still are told
        last = replace(last, fruit=held, cup=cup)
        changes.append(CupChange(did=Did.TO_BOX, cup=cup, fruit=held))
        tray = tray.take(cup)
    return Followed(tray=tray, changes=tuple(changes), last=last)


def holds_still(tray: TrimTray, move: Move) -> bool:
    """Tell whether the cup of a move holds what it did when the move was advised.

    It may not: a second fruit came before the next plan, or a person emptied the cup.
    """
    held = None if move.cup is None else tray.fruit_in(move.cup)
    return held is not None and held.weight == move.weight


def _is_alike(one: Mass, other: Mass, division: Mass) -> bool:
    return one.unit is other.unit and abs(one - other) <= division * _ALIKE


def _ask_which(
    last: LastFruit, told: Sequence[Move], tray: TrimTray, division: Mass
) -> LastFruit | None:
    """Ask whether it came from a cup that was not advised, if it weighs what stands there."""
    if not told:
        return last
    weight = last.fruit.weight
    like = [
        cup
        for cup, fruit in enumerate(tray.cups, 1)
        if fruit is not None and _is_alike(fruit.weight, weight, division)
    ]
    return replace(last, asked=like[0]) if like else last


def _fill(last: LastFruit, tray: TrimTray, cup: int) -> Followed:
    change = CupChange(did=Did.FILLED, cup=cup, fruit=last.fruit)
    return Followed(tray=tray.put(cup, last.fruit), changes=(change,), last=last)


def tell(last: LastFruit | None, tray: TrimTray, cup: int | None) -> Followed:
    """Take a person's word for which cup the last fruit went to or came from; none for the tub.

    Raises:
        Unclear: if no fruit moved, it was put in a cup that holds one, or it came from an empty one.
        ValueError: if there is no such cup.
    """
    if last is None:
        raise Unclear("no_last_fruit")
    if cup is not None:
        tray.fruit_in(cup)
    if cup == last.cup:
        return Followed(tray=tray, changes=(), last=replace(last, asked=None))
    if last.way is Way.OUT and last.cup is not None and cup is not None:
        return _corrected(last, tray, cup)
    back = take_back(last, tray)
    if cup is None:
        return back
    now = back.last
    assert now is not None  # noqa: S101  # the same fruit as before
    done = _put_in(now, back.tray, cup) if last.way is Way.OUT else _taken(now, back.tray, cup)
    return replace(done, changes=(*back.changes, *done.changes))


def take_back(last: LastFruit, tray: TrimTray) -> Followed:
    """Undo what was believed of the cup of the last fruit."""
    free = replace(last, cup=None, asked=None)
    if last.cup is None:
        return Followed(tray=tray, changes=(), last=free)
    if last.way is Way.IN:
        change = CupChange(did=Did.FILLED, cup=last.cup, fruit=last.fruit)
        return Followed(tray=tray.put(last.cup, last.fruit), changes=(change,), last=free)
    change = CupChange(did=Did.TO_TUB, cup=last.cup, fruit=last.fruit)
    return Followed(tray=tray.take(last.cup), changes=(change,), last=free)


def _corrected(last: LastFruit, tray: TrimTray, cup: int) -> Followed:
    assert last.cup is not None  # noqa: S101  # asked before
    change = CupChange(did=Did.CORRECTED, cup=last.cup, fruit=last.fruit, real=cup)
    now = replace(last, cup=cup, asked=None)
    return Followed(tray=tray.correct(last.cup, cup), changes=(change,), last=now)


def _put_in(last: LastFruit, tray: TrimTray, cup: int) -> Followed:
    if tray.fruit_in(cup) is not None:
        raise Unclear("cup_full", cup)
    return _fill(replace(last, cup=cup), tray, cup)


def _taken(last: LastFruit, tray: TrimTray, cup: int) -> Followed:
    held = tray.fruit_in(cup)
    if held is None:
        raise Unclear("cup_empty", cup)
    change = CupChange(did=Did.TO_BOX, cup=cup, fruit=held)
    now = replace(last, fruit=held, cup=cup)
    return Followed(tray=tray.take(cup), changes=(change,), last=now)


def emptied(tray: TrimTray, cups: Sequence[int]) -> Followed:
    """Put the fruit of cups back where fruit are taken from; empty ones stay as they are."""
    changes = []
    for cup in cups:
        held = tray.fruit_in(cup)
        if held is not None:
            changes.append(CupChange(did=Did.TO_TUB, cup=cup, fruit=held))
            tray = tray.take(cup)
    return Followed(tray=tray, changes=tuple(changes), last=None)
