"""Turn the cups beside a scale into what the bench shows of them."""

from dataclasses import dataclass, replace
from typing import Final

from shedstation.domain.bench_sequence import Step
from shedstation.domain.trim import Way
from shedstation.station.bench_view import BenchView
from shedstation.station.trim_view import CupUse, CupView
from shedstation.words import Words

_MINUTE_S: Final = 60.0


@dataclass(frozen=True, slots=True, kw_only=True)
class ShownCup:
    """One cup as it is drawn."""

    number: str
    weight: str
    """Number without unit; empty for an empty cup."""

    note: str
    """What to do with it, or why it is not used."""

    is_usable: bool
    is_next: bool
    """Whether a fruit is to go in or out of it now."""

    said: str
    """All of it in words."""


def shown_cups(view: BenchView, words: Words) -> tuple[ShownCup, ...]:
    """Give the cups of a bench, number 1 first; none where there is no tray."""
    cups = () if view.trim is None else view.trim.cups
    if view.count_asked is not None:
        # Nothing is to be moved before the question is answered.
        cups = tuple(replace(each, way=None) for each in cups)
    return tuple(shown_cup(each, words) for each in cups)


def numbers_mean_cups(view: BenchView) -> bool:
    """Tell whether a number says where the last fruit went: from the tare until the box is lifted."""
    has_cups = view.trim is not None and bool(view.trim.cups)
    return has_cups and view.step in (Step.FILLING, Step.CLOSED)


def cup_keys(view: BenchView, words: Words) -> str:
    """Say which keys belong to the cups now; nothing where there are none."""
    if view.trim is None or not view.trim.cups:
        return ""
    if view.count_asked is not None or not numbers_mean_cups(view):
        return words.text("trim.keys_empty")
    return words.text("trim.keys", most=len(view.trim.cups))


def cup_of_last(view: BenchView, words: Words) -> str:
    """Say where the last fruit went or came from, and with which key that is corrected."""
    last = None if view.trim is None else view.trim.last
    if view.trim is None or last is None or not view.trim.cups or last.asked is not None:
        return ""
    weight = last.fruit.weight
    if last.cup is None:
        return words.text("trim.went_to_tub", weight=weight) if last.way is Way.OUT else ""
    name = "trim.went_to" if last.way is Way.OUT else "trim.came_from"
    return words.text(name, weight=weight, cup=last.cup)


def shown_cup(cup: CupView, words: Words) -> ShownCup:
    """Give one cup as it is drawn."""
    weight = "" if cup.weight is None else str(cup.weight)
    note = words.text(_note(cup), minutes=int(cup.age_s // 60))
    return ShownCup(
        number=str(cup.number),
        weight="" if cup.weight is None else cup.weight.number(),
        note=note,
        is_usable=cup.use is CupUse.READY,
        is_next=cup.way is not None,
        said=words.text("trim.cup_said", cup=cup.number, weight=weight, state=note),
    )


def _note(cup: CupView) -> str:
    if cup.way is Way.IN:
        return "trim.cup_put_in"
    if cup.way is Way.OUT:
        return "trim.cup_fill"
    if cup.use is CupUse.READY and cup.age_s < _MINUTE_S:
        return "trim.cup_new"
    return f"trim.cup_{cup.use.value}"
