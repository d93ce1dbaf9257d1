"""Keep the cups beside the scales: what stands in them, whose word corrects it, when they are emptied."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime

from shedstation.domain.errors import Refused
from shedstation.domain.facts import Draft, Json, Kind
from shedstation.domain.farm import Setup
from shedstation.domain.kept_cups import KeptCups
from shedstation.domain.trim_follow import CupChange, Did, Unclear
from shedstation.domain.trim_tray import CupFruit, TrimTray, empty_tray
from shedstation.station.actions import Action, EmptyCups, TellCup
from shedstation.station.bench import Bench
from shedstation.station.ports import Clock
from shedstation.station.shed import Shed
from shedstation.station.trimming import Trimming

_KIND = {
    Did.FILLED: Kind.CUP_FILLED,
    Did.TO_BOX: Kind.CUP_EMPTIED,
    Did.TO_TUB: Kind.CUP_EMPTIED,
    Did.CORRECTED: Kind.CUP_CORRECTED,
}
_TO = {Did.TO_BOX: "box", Did.TO_TUB: "tub"}


def trimming_at(shed: Shed, bench: Bench) -> Trimming:
    """Begin to trim at a bench, with what its cups held when the station stopped."""
    name, cups = bench.setup.name, bench.setup.cups

    def filled(changes: Sequence[CupChange], at_s: float) -> None:
        record_changes(shed, Action(at_s=at_s, bench=name), changes)

    def doubted(why: str, at_s: float) -> None:
        shed.record(Kind.CUPS_DOUBTED, Action(at_s=at_s, bench=name), {"why": why})

    tray = tray_of(shed.ledger.cups(name), cups, shed.clock) if cups else None
    return Trimming(tray, bench.step, filled=filled, doubted=doubted)


def tray_of(kept: KeptCups, cups: int, clock: Clock) -> TrimTray:
    """Give the tray of so many cups as the facts left it."""
    tray = empty_tray(cups)
    for each in kept.cups:
        since_s = _seconds(each.since, clock)
        fruit = CupFruit(weight=each.weight, since_s=since_s, load=each.load, grade=each.grade)
        tray = tray.put(each.cup, fruit)
    return tray if kept.doubted is None else replace(tray, doubted_s=_seconds(kept.doubted, clock))


def _seconds(utc: str, clock: Clock) -> float:
    """Give the second of a UTC time on the clock of the readings."""
    zero = datetime.fromisoformat(clock.utc(0.0))
    return (datetime.fromisoformat(utc) - zero).total_seconds()


def record_changes(shed: Shed, action: Action, changes: Sequence[CupChange]) -> None:
    """Record what happened to cups, together."""
    shed.record_all([_draft(shed, action, each) for each in changes])


def _draft(shed: Shed, action: Action, change: CupChange) -> Draft:
    fruit = change.fruit
    payload: dict[str, Json] = {
        "cup": change.cup,
        "weight": str(fruit.weight),
        "load": fruit.load,
        "grade": fruit.grade,
    }
    if change.did is Did.FILLED:
        payload["since"] = shed.clock.utc(fruit.since_s)
    elif change.did is Did.CORRECTED:
        payload["real"] = change.real
    else:
        payload["to"] = _TO[change.did]
    return shed.draft(_KIND[change.did], action, payload)


def tell_cup(shed: Shed, action: TellCup) -> None:
    """Take a person's word for which cup the last fruit went to or came from.

    Raises:
        Refused: if there is no such cup, no fruit moved, or that cannot be.
    """
    trimming, tray = _tray(shed, action)
    _check_cups(tray, (action.cup,) if action.cup else ())
    try:
        trimming.tell(action.cup or None, lambda each: record_changes(shed, action, each))
    except Unclear as unclear:
        raise Refused(unclear.code, cup=unclear.cup) from None
    trimming.think_again(shed.bench(action.bench), shed.fruit[action.bench])


def empty_cups(shed: Shed, action: EmptyCups) -> None:
    """Note that the fruit of cups, of all if none is named, went back where fruit are taken from.

    Raises:
        Refused: if there are no such cups.
    """
    trimming, tray = _tray(shed, action)
    _check_cups(tray, action.cups)
    cups = action.cups or tuple(range(1, len(tray.cups) + 1))
    trimming.empty(cups, lambda each: record_changes(shed, action, each))
    trimming.think_again(shed.bench(action.bench), shed.fruit[action.bench])


def _tray(shed: Shed, action: Action) -> tuple[Trimming, TrimTray]:
    trimming = shed.trimming.get(action.bench)
    if trimming is None or trimming.tray is None:
        raise Refused("no_cups", bench=action.bench)
    return trimming, trimming.tray


def _check_cups(tray: TrimTray, cups: Sequence[int]) -> None:
    for cup in cups:
        if not 1 <= cup <= len(tray.cups):
            raise Refused("no_such_cup", cup=cup, most=len(tray.cups))


def refuse_other_fruit(shed: Shed, bench: str, load: str, grade: str) -> None:
    """Refuse to pack another load or grade while the cups hold fruit of this one.

    Raises:
        Refused: naming the cups to be emptied first.
    """
    trimming = shed.trimming.get(bench)
    if trimming is not None and trimming.tray is not None:
        cups = trimming.tray.to_empty(load, grade)
        if cups:
            raise Refused("cups_of_other", cups=list(cups), count=len(cups))


def refuse_filled(shed: Shed, setup: Setup | None = None) -> None:
    """Refuse while any cup is filled; with a setup, only where it changes the cups or their unit.

    Raises:
        Refused: naming the bench and its cups.
    """
    wanted = {} if setup is None else {each.name: (each.cups, each.unit) for each in setup.benches}
    for name, trimming in shed.trimming.items():
        tray = trimming.tray
        unit = shed.benches[name].setup.unit
        if tray is None or wanted.get(name) == (len(tray.cups), unit):
            continue
        cups = [cup for cup, fruit in enumerate(tray.cups, 1) if fruit is not None]
        if cups:
            raise Refused("cups_filled", bench=name, cups=cups, count=len(cups))
