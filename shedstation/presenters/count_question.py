"""Turn the question how many fruit are in the box into a sentence and one key for each answer."""

from dataclasses import dataclass
from typing import Final

from shedstation.station.bench_view import CountQuestion
from shedstation.words import Words

NOT_COUNTED: Final = "0"
"""Closes the box without a count."""

ANOTHER: Final = "4"
"""Asks for a number that is none of the likely ones."""

MOST_COUNTED: Final = 999
"""More fruit than any box holds."""

_SHOWN: Final = 3


@dataclass(frozen=True, slots=True)
class CountKey:
    """One answer and the key that gives it."""

    key: str
    text: str
    is_likeliest: bool = False


def likely_counts(question: CountQuestion) -> dict[str, int]:
    """Give the likeliest count and its neighbours by their keys, smallest first."""
    least = max(question.likely - 1, 1)
    return {str(place + 1): least + place for place in range(_SHOWN)}


def count_title(question: CountQuestion, words: Words) -> str:
    """Say what could not be told singly."""
    shown = [str(each) for each in question.unsure[:_SHOWN]]
    more = ["..."] if len(question.unsure) > _SHOWN else []
    return words.text("ui.count_unsure", weights=[*shown, *more])


def count_keys(question: CountQuestion, words: Words) -> tuple[CountKey, ...]:
    """Give every answer in the order in which they are shown."""
    return (
        *(
            CountKey(
                key, words.text("ui.count_fruit", key=key, count=count), count == question.likely
            )
            for key, count in likely_counts(question).items()
        ),
        CountKey(ANOTHER, words.text("ui.count_another", key=ANOTHER)),
        CountKey(NOT_COUNTED, words.text("ui.count_none", key=NOT_COUNTED)),
    )


def parse_count(text: str) -> int:
    """Read a typed number of fruit.

    Raises:
        ValueError: if it is no whole number from 1 to 999.
    """
    if not text.isdecimal() or not 1 <= int(text) <= MOST_COUNTED:
        raise ValueError(text)
    return int(text)
