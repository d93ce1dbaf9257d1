"""Sizes on the setup page, the question's answers, and what is said of a box's fruit."""

from dataclasses import replace

import pytest

from shedstation.domain.box import Box
from shedstation.domain.farm import Setup
from shedstation.domain.fruit.told import FruitTold, Lying
from shedstation.domain.mass import parse_mass
from shedstation.domain.message import Message
from shedstation.domain.size_codes import SizeStandard
from shedstation.presenters.count_question import (
    count_keys,
    count_title,
    likely_counts,
    parse_count,
)
from shedstation.presenters.setup_draft import draft_of, setup_of
from shedstation.presenters.told import with_fruit
from shedstation.station.actions import CloseBox
from shedstation.station.bench_view import CountQuestion
from shedstation.words import Words

WHAT = {"serial": "B1-000001", "cultivar": "Kent", "block": "A", "lot": "616901", "net": "3 lb"}


def question(likely: int, *unsure: str) -> CountQuestion:
    close = CloseBox(at_s=1.0, bench="B1", asks=True)
    return CountQuestion(close=close, likely=likely, unsure=tuple(map(parse_mass, unsure)))


def test_that_the_setup_page_says_and_keeps_a_packs_size(sample_setup: Setup) -> None:
    first = replace(sample_setup.packs[0], size_standard=SizeStandard.UNECE, size_code="B")
    setup = replace(sample_setup, packs=(first, *sample_setup.packs[1:]), tells_fruit=True)
    draft = draft_of(setup)
    assert (draft["size_standard"], draft["size_code"]) == ("unece", "B")
    again = setup_of(draft, setup, None)
    assert again.packs[0] == first
    assert again.tells_fruit
    without = setup_of({**draft, "size_standard": "", "size_code": ""}, setup, None)
    assert (without.packs[0].size_standard, without.packs[0].size_code) == (None, None)


@pytest.mark.parametrize(
    ("likely", "counts"), [(24, [23, 24, 25]), (2, [1, 2, 3]), (1, [1, 2, 3]), (0, [1, 2, 3])]
)
def test_that_the_likely_counts_are_around_the_guess_and_above_nothing(
    likely: int, counts: list[int]
) -> None:
    assert list(likely_counts(question(likely)).values()) == counts
    marked = [each.key for each in count_keys(question(likely), Words("en")) if each.is_likeliest]
    assert marked == [
        key for key, each in likely_counts(question(likely)).items() if each == likely
    ]


def test_that_a_long_list_of_lumps_is_cut() -> None:
    said = count_title(question(9, "2 lb", "3 lb", "4 lb", "5 lb"), Words("en"))
    assert "2 lb, 3 lb, 4 lb, ..." in said


@pytest.mark.parametrize("text", ["", "0", "-3", "2.5", "1000", "two"])
def test_that_what_is_no_count_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match=text or ".*"):
        parse_count(text)


def test_that_a_count_is_read() -> None:
    assert [parse_count(text) for text in ("1", "24", "999")] == [1, 24, 999]


PIECES = {"single": ("1.02 lb", 1), "other": ("0.95 lb", 1), "lump": ("2.10 lb", None)}


@pytest.mark.parametrize(
    ("names", "count", "said"),
    [
        (None, None, "Box."),
        (None, 12, "Box. 12 fruit."),
        (
            ["single", "other"],
            None,
            "Box. 2 fruit. The lightest 0.95 lb, the heaviest 1.02 lb. Size B.",
        ),
        (["single", "lump"], None, "Box. The scale could not tell every fruit singly."),
        (["single", "lump"], 3, "Box. 3 fruit. The scale could not tell every fruit singly."),
    ],
)
def test_that_a_traced_box_says_what_is_known_of_its_fruit(
    box: Box, names: list[str] | None, count: int | None, said: str
) -> None:
    lying = [
        Lying(weight=parse_mass(weight), fruit=fruit, at="")
        for weight, fruit in (PIECES[name] for name in names or [])
    ]
    told = FruitTold(lying=tuple(lying), standard=SizeStandard.CODEX)
    known = replace(box, count=count, fruit=None if names is None else told)
    words = Words("en")
    sentence = with_fruit(Message("ui.traced_box", WHAT), known)
    assert words.say(sentence).replace(words.say(Message("ui.traced_box", WHAT)), "Box.") == said
