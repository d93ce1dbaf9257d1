"""Turn what a pack's aim is made of into a short sum with its reasons, and read what is typed for it."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final, TypeVar

from shedstation.domain.air import celsius, share
from shedstation.domain.control_charts import FIRM_FROM
from shedstation.domain.farm import MOST_DAYS_TO_BUYER, Bench, Coded, Pack, name_of
from shedstation.domain.fill_advice import (
    USUAL_SHARE_BELOW,
    Figures,
    FillAdvice,
    Lacking,
    Way,
    aimed,
)
from shedstation.domain.fill_target import Reason
from shedstation.domain.giveaway import SUBGROUP
from shedstation.domain.limits import limits
from shedstation.domain.mass import Mass
from shedstation.domain.message import Message
from shedstation.domain.moisture import COLDEST_C, ENOUGH_REWEIGHS, WARMEST_C
from shedstation.domain.price import Price, parse_price
from shedstation.presenters.rows import TextTable
from shedstation.presenters.setup_draft import BadDraft
from shedstation.words import Words

T = TypeVar("T")

_LACKING: Final = {
    Lacking.LABEL: "fill.lacks_label",
    Lacking.FILLS: "fill.lacks_fills",
    Lacking.AIR: "fill.lacks_air",
}


@dataclass(frozen=True, slots=True)
class AimShown:
    """The sum row by row, and what to say above and below it."""

    title: str
    table: TextTable
    said: str
    advice: FillAdvice | None
    """None while something is lacking."""


def aim_shown(
    advice: FillAdvice | Lacking,
    pack: Pack,
    bench: Bench,
    figures: Figures,
    *,
    cultivars: Sequence[Coded],
    words: Words,
) -> AimShown:
    """Show an aim with its reasons, or say what is lacking.

    Args:
        advice: The aim, or what is lacking.
        pack: The pack as it is set up.
        bench: The bench it is packed at.
        figures: What the aim was computed from.
        cultivars: The farm's, for their names.
        words: The language.
    """
    titles = (words.text("fill.reason"), words.text("fill.weight"))
    if isinstance(advice, Lacking):
        values = {"pack": pack.name, "boxes": SUBGROUP, "reweighs": ENOUGH_REWEIGHS}
        lacking = words.text(_LACKING[advice], **values)
        title = words.text("ui.aim_title")
        return AimShown(title, TextTable(titles, (), frozenset()), lacking, None)
    rows = tuple(_rows(advice, figures, words))
    window = limits(aimed(pack, advice), bench.division)
    said = [
        *([] if advice.is_firm else [words.text("fill.spread_early", least=FIRM_FROM)]),
        _said_of_loss(advice, cultivars, words),
        words.text("fill.window", now=pack.target, lowest=window.lowest, highest=window.highest),
    ]
    table = TextTable(titles, rows, frozenset({1}))
    title = words.text("fill.aim_at", target=advice.aim.target)
    return AimShown(title, table, "\n".join(said), advice)


def _rows(advice: FillAdvice, figures: Figures, words: Words) -> Iterator[tuple[str, str]]:
    added = dict(advice.aim.additions)
    wish = advice.wish
    label, decimals = advice.aim.label, advice.aim.target.decimals
    yield words.text("fill.sum_label"), str(label.with_decimals(max(label.decimals, decimals)))
    if advice.loss is not None:
        lost = words.text("fill.sum_loss", count=figures.way.days, lost=_percent(wish.loss))
        yield lost, _signed(added[Reason.LOSS])
    spread = f"{wish.spread:.{wish.division.decimals + 1}f} {_unit(wish.label)}"
    below = figures.share_below or USUAL_SHARE_BELOW
    yield (
        words.text("fill.sum_spread", spread=spread, share=below),
        _signed(added[Reason.SPREAD]),
    )
    yield words.text("fill.sum_scale"), _signed(added[Reason.SCALE])
    yield words.text("fill.sum_division", division=wish.division), _signed(added[Reason.DIVISION])
    yield words.text("fill.sum_aim"), str(advice.aim.target)


def _unit(mass: Mass) -> str:
    return mass.unit.value.replace("lb-oz", "oz")


def _signed(mass: Mass) -> str:
    return str(mass) if mass.count < 0 else f"+{mass}"


def _percent(part: float) -> str:
    return f"{part * 100:.2f} %"


def _said_of_loss(advice: FillAdvice, cultivars: Sequence[Coded], words: Words) -> str:
    """Say how the loss is known: by the farm's own boxes, with its interval, or by the model."""
    if advice.loss is None:
        return words.text("fill.no_loss")
    loss, a_day = advice.loss.loss, _percent(advice.loss.loss.share)
    if loss.half_width is None:
        values = {"so_far": advice.reweighed, "reweighs": ENOUGH_REWEIGHS}
        return words.text("fill.loss_by_model", a_day=a_day, **values)
    least, most = max(loss.share - loss.half_width, 0.0), loss.share + loss.half_width
    interval = {"least": _percent(least), "most": _percent(most), "boxes": loss.reweighs}
    if advice.loss.cultivar is None:
        return words.text("fill.loss_by_reweighs", a_day=a_day, **interval)
    cultivar = name_of(cultivars, advice.loss.cultivar)
    return words.text("fill.loss_by_own", a_day=a_day, cultivar=cultivar, **interval)


# ---- what is typed

_EXPECTED: Final[Mapping[str, Message]] = {
    "days_to_buyer": Message("files.expect_count", {"least": 0, "most": MOST_DAYS_TO_BUYER}),
    "room_temperature": Message(
        "files.expect_room_temperature", {"least": COLDEST_C, "most": WARMEST_C}
    ),
    "humidity": Message("files.expect_percent"),
    "share_below": Message("files.expect_small_percent"),
    "price": Message("files.expect_price"),
}


def typed_figures(draft: Mapping[str, str]) -> Figures:
    """Read the figures that were typed; an empty field says nothing.

    Args:
        draft: Text by field, `days_to_buyer` and so on as in the station file.

    Raises:
        BadDraft: at the first field that cannot be read.
    """
    way = Way(
        days=_read(draft, "days_to_buyer", _days),
        temperature=_read(draft, "room_temperature", _temperature),
        humidity=_read(draft, "humidity", _percentage),
    )
    return Figures(
        way=way,
        share_below=_read(draft, "share_below", _small_percentage),
        price=_read(draft, "price", _price),
    )


def _read(draft: Mapping[str, str], name: str, parse: Callable[[str], T]) -> T | None:
    text = " ".join(draft[name].split())
    if not text:
        return None
    try:
        return parse(text.replace(",", "."))  # where people write a decimal comma, they type one
    except ValueError:
        values = {"field": Message(f"ui.{name}"), "found": text, "expected": _EXPECTED[name]}
        raise BadDraft(Message("fill.not_read", values)) from None


def _days(text: str) -> int:
    if not text.isdecimal() or int(text) > MOST_DAYS_TO_BUYER:
        raise ValueError(text)
    return int(text)


def _temperature(text: str) -> str:
    spaced = text if " " in text else f"{text[:-1]} {text[-1]}"
    if not COLDEST_C <= celsius(spaced.upper()) <= WARMEST_C:
        raise ValueError(text)
    return spaced.upper()


def _percentage(text: str) -> str:
    """Read a share; in a field that holds nothing else the sign may be left out."""
    spaced = f"{text.removesuffix('%').rstrip()} %"
    share(spaced)
    return spaced


def _small_percentage(text: str) -> str:
    spaced = _percentage(text)
    if not 0 < share(spaced) <= Fraction(1, 2):
        raise ValueError(text)
    return spaced


def _price(text: str) -> Price:
    amount, _, rest = text.partition(" ")
    currency, _, unit = rest.replace(" ", "").partition("/")
    return parse_price(f"{amount} {currency.upper()}/{unit.lower()}")


def drafted(figures: Figures) -> dict[str, str]:
    """Give the texts that `typed_figures` reads back; the usual share stands where none is said."""
    return {
        "days_to_buyer": "" if figures.way.days is None else str(figures.way.days),
        "room_temperature": figures.way.temperature or "",
        "humidity": figures.way.humidity or "",
        "share_below": figures.share_below or USUAL_SHARE_BELOW,
        "price": "" if figures.price is None else str(figures.price),
    }
