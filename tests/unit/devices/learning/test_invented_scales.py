"""Languages that nobody makes, each drawn by a seed: taught, and tried on frames never seen."""

import os
from collections import Counter
from collections.abc import Callable, Iterable

import pytest
from invented_scales import Scale, hard_scale, scale
from teacher import Verdict, judged

IS_LONG = bool(os.environ.get("SHEDSTATION_LONG"))
SEEDS = range(1000) if IS_LONG else range(60)
HARD_SEEDS = range(200) if IS_LONG else range(20)


def verdicts(
    make: Callable[[int], Scale], seeds: Iterable[int], *, follows_advice: bool = True
) -> list[Verdict]:
    return [judged(make(seed), seed, follows_advice=follows_advice) for seed in seeds]


def figures(found: list[Verdict]) -> Counter[str]:
    return Counter(verdict.outcome for verdict in found)


def told_wrong(found: list[Verdict]) -> list[str]:
    return [f"{each.seed}: {each.wrong[0]}" for each in found if each.wrong]


def test_that_languages_never_seen_are_learned_right_and_none_wrong(
    record_property: Callable[[str, object], None],
) -> None:
    found = verdicts(scale, SEEDS)
    counts = figures(found)
    record_property("learned", dict(counts))
    print(f"{len(found)} invented languages: {dict(counts)}")
    assert told_wrong(found) == []
    assert counts["right"] >= 0.9 * len(found)
    # What is not read although the like of it was shown was announced.
    assert counts["INCOMPLETE"] <= 0.01 * len(found)


def test_that_the_first_twenty_give_eighteen_at_least() -> None:
    assert figures(verdicts(scale, range(20)))["right"] >= 18


def test_that_nothing_is_wrong_when_advice_is_not_followed() -> None:
    found = verdicts(scale, SEEDS, follows_advice=False)
    assert told_wrong(found) == []
    unsettled = [each.seed for each in found if not each.is_warned and each.outcome != "right"]
    assert len(unsettled) <= 0.01 * len(found)


def test_that_numbers_nobody_could_read_off_are_not_learned() -> None:
    found = verdicts(hard_scale, HARD_SEEDS)
    assert told_wrong(found) == []
    assert not any(each.taught.may_be_used and not each.is_warned for each in found)
    assert figures(found)["not learned"] >= 0.9 * len(found)


@pytest.mark.parametrize("seed", range(6))
def test_that_a_language_is_learned_the_same_way_each_time(seed: int) -> None:
    one, other = (judged(scale(seed), seed).taught for _ in range(2))
    assert one == other
