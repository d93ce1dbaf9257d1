"""One sentence for every piece of advice, in both languages, with the fruit named as a packer would."""

from collections.abc import Sequence
from types import SimpleNamespace
from typing import Any, cast

import pytest

from shedstation.domain.mass import Mass, Unit
from shedstation.domain.message import Message
from shedstation.domain.trim import Move, TrimAdvice, Wanted, Way
from shedstation.domain.trim_follow import LastFruit
from shedstation.domain.trim_tray import CupFruit
from shedstation.station.trim_saying import trim_say
from shedstation.station.trimming import Trimming
from shedstation.words import LANGUAGES, Words


def lb(count: int) -> Mass:
    return Mass(count, 2, Unit.LB)


def out(weight: int, from_top: int, cup: int | None) -> Move:
    return Move(way=Way.OUT, weight=lb(weight), cup=cup, from_top=from_top)


def into(cup: int) -> Move:
    return Move(way=Way.IN, weight=lb(99), cup=cup)


def wants(least: int, fruit: int) -> Wanted:
    return Wanted(least=lb(least), most=lb(least + 6), fruit=fruit)


def said(last: LastFruit | None, advice: TrimAdvice | None) -> Message | None:
    """Say what a bench would say that has come to this."""
    return trim_say(cast("Trimming", SimpleNamespace(last=last, advice=advice)))


def sentence(moves: Sequence[Move], wanted: Wanted | None, words: Words) -> str:
    advice = TrimAdvice(moves=tuple(moves), net=lb(2502), over=lb(2), wanted=wanted)
    message = said(None, advice)
    return "" if message is None else words.say(message)


@pytest.mark.parametrize(
    ("moves", "wanted", "wording"),
    [
        ([], None, ""),
        ([], wants(95, 1), "Put in one more fruit of 0.95 lb to 1.01 lb."),
        ([], wants(190, 2), "Put in 2 more fruit, 1.90 lb to 1.96 lb together."),
        ([into(2)], None, "put in the fruit of cup 2: 25.02 lb."),
        (
            [into(2), into(4)],
            None,
            "put in the fruit of cup 2, then put in the fruit of cup 4: 25.02 lb.",
        ),
        (
            [out(95, 1, 3), into(1)],
            None,
            (
                "take out the last fruit (0.95 lb) and put it in cup 3, "
                "then put in the fruit of cup 1: 25.02 lb."
            ),
        ),
        ([out(95, 2, None)], None, "take out the last fruit but one (0.95 lb): 25.02 lb."),
        (
            [out(95, 3, 1)],
            None,
            "take out the third fruit from the last (0.95 lb) and put it in cup 1: 25.02 lb.",
        ),
        (
            [out(142, 1, None)],
            wants(102, 1),
            "take out the last fruit (1.42 lb), then put in one of 1.02 lb to 1.08 lb.",
        ),
        (
            [out(142, 1, 2)],
            wants(202, 2),
            (
                "take out the last fruit (1.42 lb) and put it in cup 2, "
                "then put in 2, 2.02 lb to 2.08 lb together."
            ),
        ),
        (
            [out(110, 1, 1)],
            wants(1604, 16),
            "take out the last fruit (1.10 lb) and put it in cup 1, to swap later.",
        ),
    ],
)
def test_that_advice_is_one_sentence(
    moves: list[Move], wanted: Wanted | None, wording: str, words: Words
) -> None:
    assert sentence(moves, wanted, words) == wording
    for language in LANGUAGES:
        assert "{" not in sentence(moves, wanted, Words(language))


@pytest.mark.parametrize(
    ("last", "name"),
    [
        ({"way": Way.IN, "is_sure": True}, "trim.ask_from"),
        ({"way": Way.OUT, "is_sure": True}, "trim.ask_to"),
        ({"way": Way.OUT, "is_sure": False}, "trim.ask_one"),
    ],
)
def test_that_a_question_comes_before_advice(last: dict[str, Any], name: str) -> None:
    fruit = CupFruit(weight=lb(95), since_s=1.0, load="L1", grade="1")
    asked = LastFruit(fruit=fruit, asked=2, **last)
    advice = TrimAdvice(moves=(into(1),), net=lb(2502), over=lb(2))
    message = said(asked, advice)
    assert message == Message(name, {"weight": lb(95), "cup": 2})


def test_that_where_fruit_are_not_told_nothing_is_said() -> None:
    assert trim_say(None) is None
