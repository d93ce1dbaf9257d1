"""Show the cups beside a scale, and say in one sentence which fruit to move."""

from typing import Final

from shedstation.domain.bench_sequence import Step
from shedstation.domain.message import Message
from shedstation.domain.trim import Move, TrimAdvice, Wanted, Way
from shedstation.domain.trim_follow import LastFruit
from shedstation.domain.trim_tray import KEPT_S, CupFruit, TrimTray
from shedstation.station.bench import Bench
from shedstation.station.trim_view import CupUse, CupView, TrimView
from shedstation.station.trimming import NEAR_FRUIT, Trimming


def trim_view(bench: Bench, trimming: Trimming | None) -> TrimView | None:
    """Show the cups and the advice of a bench."""
    if trimming is None:
        return None
    tray = trimming.tray
    last = trimming.last if bench.step in (Step.FILLING, Step.CLOSED) else None
    # While a question is open nothing else is to be done.
    is_open = bench.step is Step.FILLING and (last is None or last.asked is None)
    advice = trimming.advice if is_open else None
    cups = () if tray is None else _cups(bench, tray, trimming, advice)
    return TrimView(cups=cups, advice=advice, last=last)


def _cups(
    bench: Bench, tray: TrimTray, trimming: Trimming, advice: TrimAdvice | None
) -> tuple[CupView, ...]:
    moves = () if advice is None else advice.moves
    ways = {move.cup: move.way for move in reversed(moves) if move.cup is not None}
    usable = trimming.usable(bench)
    return tuple(
        CupView(
            number=number,
            use=CupUse.READY if number in usable else _use(bench, fruit),
            weight=None if fruit is None else fruit.weight,
            age_s=0.0 if fruit is None else max(bench.now_s - fruit.since_s, 0.0),
            way=ways.get(number),
        )
        for number, fruit in enumerate(tray.cups, 1)
    )


def _use(bench: Bench, fruit: CupFruit | None) -> CupUse:
    """Say why what is in a cup may not be used."""
    if fruit is None:
        return CupUse.EMPTY
    choice = bench.choice
    if choice is None or (fruit.load, fruit.grade) != (choice.load, choice.grade):
        return CupUse.OTHER
    return CupUse.OLD if bench.now_s - fruit.since_s > KEPT_S else CupUse.DOUBTED


def trim_say(trimming: Trimming | None) -> Message | None:
    """Say which fruit to move, or ask where the last one went; none if there is nothing to say."""
    if trimming is None:
        return None
    last, advice = trimming.last, trimming.advice
    if last is not None and last.asked is not None:
        return _question(last, last.asked)
    return None if advice is None else _advice(advice)


def _question(last: LastFruit, cup: int) -> Message:
    values = {"weight": last.fruit.weight, "cup": cup}
    if last.way is Way.IN:
        return Message("trim.ask_from", values)
    return Message("trim.ask_to" if last.is_sure else "trim.ask_one", values)


def _advice(advice: TrimAdvice) -> Message | None:
    said = [_move(move) for move in advice.moves]
    wanted = advice.wanted
    if not said:
        return None if wanted is None else _wanted("trim.add", wanted)
    if wanted is None:
        values = {"moves": _then(said), "net": advice.net}
        return Message("trim.lands", values)
    if wanted.fruit > NEAR_FRUIT:
        return Message("trim.keep", {"moves": _then(said)})
    return _wanted("trim.exchange", wanted, moves=_then(said))


def _then(said: list[Message]) -> Message:
    if len(said) == 1:
        return said[0]
    return Message("trim.then", {"first": said[0], "second": said[1]})


def _wanted(name: str, wanted: Wanted, **more: object) -> Message:
    amount = {"count": wanted.fruit, "least": wanted.least, "most": wanted.most}
    return Message(name, {**amount, **more})


def _move(move: Move) -> Message:
    values = {"weight": move.weight, "cup": move.cup}
    if move.way is Way.IN:
        return Message("trim.put_in", values)
    names = _TO_TUB if move.cup is None else _TO_CUP
    assert move.from_top is not None  # noqa: S101  # one that goes out has its place
    return Message(names[move.from_top], values)


_TO_CUP: Final = {1: "trim.last_to_cup", 2: "trim.second_to_cup", 3: "trim.third_to_cup"}
_TO_TUB: Final = {1: "trim.last_to_tub", 2: "trim.second_to_tub", 3: "trim.third_to_tub"}
