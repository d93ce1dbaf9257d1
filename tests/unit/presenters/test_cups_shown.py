"""What the bench shows of the cups, and how many the setup page gives a bench."""

from typing import Any

import pytest

from shedstation.domain.farm import Setup
from shedstation.domain.mass import Mass, Unit
from shedstation.domain.trim import Way
from shedstation.presenters.cups import shown_cup
from shedstation.presenters.setup_draft import DEFAULTS, draft_of, setup_of
from shedstation.station.trim_view import CupUse, CupView
from shedstation.words import Words

WEIGHT = Mass(110, 2, Unit.LB)


@pytest.mark.parametrize(
    ("cup", "note", "usable"),
    [
        ({"use": CupUse.EMPTY}, "empty", False),
        ({"use": CupUse.EMPTY, "way": Way.OUT}, "here", False),
        ({"use": CupUse.READY, "weight": WEIGHT, "age_s": 59.9}, "just weighed", True),
        ({"use": CupUse.READY, "weight": WEIGHT, "age_s": 60.0}, "1 min ago", True),
        ({"use": CupUse.READY, "weight": WEIGHT, "age_s": 1799.0}, "29 min ago", True),
        ({"use": CupUse.READY, "weight": WEIGHT, "way": Way.IN}, "put in", True),
        ({"use": CupUse.OLD, "weight": WEIGHT, "age_s": 1801.0}, "too old", False),
        ({"use": CupUse.DOUBTED, "weight": WEIGHT}, "scale fault", False),
        ({"use": CupUse.OTHER, "weight": WEIGHT}, "other load", False),
    ],
)
def test_that_a_cup_says_whether_it_is_used_and_why_not(
    cup: dict[str, Any], note: str, words: Words, *, usable: bool
) -> None:
    shown = shown_cup(CupView(number=3, **cup), words)
    assert (shown.number, shown.note, shown.is_usable) == ("3", note, usable)
    assert shown.is_next == ("way" in cup)
    assert shown.weight == ("1.10" if "weight" in cup else "")


def test_that_the_setup_page_keeps_and_changes_the_cups(sample_setup: Setup) -> None:
    draft = draft_of(sample_setup)
    assert draft["bench_cups"] == DEFAULTS["bench_cups"] == "0"
    changed = setup_of({**draft, "bench_cups": "5"}, sample_setup, None)
    assert changed.benches[0].cups == 5
    assert draft_of(changed)["bench_cups"] == "5"
    assert setup_of(draft_of(changed), changed, None) == changed
