"""Turn what was given away into bars: the day, its week, and each packer if the farm wants it."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from shedstation.domain.farm import Setup, name_of
from shedstation.domain.fills import week_of
from shedstation.domain.giveaway import Giveaway, GiveawaySums
from shedstation.domain.mass import Mass
from shedstation.words import Words


@dataclass(frozen=True, slots=True)
class GiveawayPicture:
    """Bars of what a box gave away on the average, with all figures written at their ends."""

    bars: tuple[tuple[str, float, str], ...]
    """Name, nanograms a box, and what to write: weight a box, in all, and in money."""

    said: str
    """Which week it is, and what is not in the figures."""


def giveaway_picture(sums: GiveawaySums, setup: Setup, day: date, words: Words) -> GiveawayPicture:
    """Show a day's and its week's giveaway; a day or week without labelled boxes has no bar."""
    named = [
        (words.day(day), sums.day),
        (words.text("fill.this_week"), sums.week),
        *((_who(person, setup, words), each) for person, each in sums.by_packer),
    ]
    bars = tuple(
        (name, float(each.over_a_box), _figures(each, words))
        for name, each in named
        if each is not None
    )
    return GiveawayPicture(bars, "\n".join(_said(sums, day, words)))


def _who(person: str | None, setup: Setup, words: Words) -> str:
    return words.text("fill.nobody") if person is None else name_of(setup.people, person)


def _figures(given: Giveaway, words: Words) -> str:
    values = {"a_box": _a_box(given), "over": given.over, "count": given.boxes}
    if given.worth is None:
        return words.text("fill.given", **values)
    return words.text("fill.given_worth", worth=given.worth, **values)


def _a_box(given: Giveaway) -> Mass:
    """Give the mean with one decimal more than the scale has."""
    decimals, unit = given.over.decimals + 1, given.over.unit
    return Mass(round(given.over_a_box * 10**decimals / unit.nanograms), decimals, unit)


def _said(sums: GiveawaySums, day: date, words: Words) -> Iterator[str]:
    week, (monday, sunday) = sums.week, week_of(day)
    if week is None:
        yield words.text("fill.nothing_labelled", monday=monday, sunday=sunday)
        return
    name = "fill.week_by_packer" if sums.by_packer else "fill.week"
    yield words.text(name, monday=monday, sunday=sunday)
    if week.worth is None:
        yield words.text("fill.no_price")
    elif week.unpriced:
        yield words.text("fill.unpriced", count=week.unpriced)
