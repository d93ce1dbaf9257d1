"""Check at set-up whether a template can print every label this farm will need."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from fractions import Fraction
from typing import Final

from shedstation.domain.box import Box, TareBy
from shedstation.domain.farm import NetOnLabel, Pack, Setup
from shedstation.domain.fruit.told import FruitTold, Lying
from shedstation.domain.label_fields import label_fields
from shedstation.domain.limits import Verdict, limits
from shedstation.domain.mass import Mass, Unit
from shedstation.domain.message import Message
from shedstation.domain.net_statement import letter_height_in
from shedstation.domain.size_codes import SizeStandard
from shedstation.labels.render import fitted, missing_letters, register_fonts, symbol_width_mm
from shedstation.labels.template import MM, CodeItem, Template, TextItem, read_template

CAPITAL_SHARE: Final = 0.668
"""Height of a capital in Atkinson Hyperlegible as a share of the font size (from its OS/2 table)."""

_POINTS: Final = 72
_DAY: Final = date(2026, 12, 28)
_MANY: Final = 200
"""More fruit than any box holds."""

_BIG_FRUIT: Final = FruitTold(
    lying=tuple(
        Lying(weight=Mass(grams, 0, Unit.G), fruit=1, at="") for grams in (1000, 1000, 1009)
    ),
    standard=SizeStandard.UNECE,
)
"""Fruit whose size code and weights are as wide as any."""


def check_template(setup: Setup) -> list[Message]:
    """Give all reasons why the setup's template does not serve its packs, cultivars and blocks.

    Raises:
        WorldFault: if the template cannot be read.
    """
    register_fonts()
    layout = read_template(setup.label_template).layout
    found = list(_outside(layout))
    for pack in setup.packs:
        found += _letters(layout, pack, setup)
        for fields in _widest(pack, setup):
            found += _too_wide(layout, fields, setup.printer_dpi)
    return _once(found)


def _once(found: list[Message]) -> list[Message]:
    seen: dict[str, Message] = {}
    for message in found:
        seen.setdefault(str(message), message)
    return list(seen.values())


def _outside(layout: Template) -> Iterator[Message]:
    for item in (*layout.text, *layout.code):
        low = item.y_mm + (item.height_mm if isinstance(item, CodeItem) else 0)
        if item.x_mm + item.width_mm > layout.width_mm or low > layout.height_mm:
            yield Message("labels.outside", {"field": item.field})


def _letters(layout: Template, pack: Pack, setup: Setup) -> Iterator[Message]:
    needed = letter_height_in(setup.box(pack.box).panel_in)
    for item in layout.text:
        if item.field != "net":
            continue
        least = item.least_pt or item.size_pt
        if Fraction(least) * Fraction(CAPITAL_SHARE) / _POINTS < needed:
            values = {"pack": pack.name, "needed": f"{needed} in"}
            yield Message("labels.letters_small", values)


def _too_wide(layout: Template, fields: dict[str, str], dpi: int) -> Iterator[Message]:
    for item in layout.text:
        text = fields.get(item.field, "")
        missing = missing_letters(item.before + text)
        if missing:
            yield Message("labels.no_letters", {"field": item.field, "letters": missing})
        if text and not _fits(item, item.before + text):
            yield Message("labels.text_too_wide", {"field": item.field, "text": text})
    for code in layout.code:
        text = fields.get(code.field, "")
        if text and symbol_width_mm(code, text, dpi) > code.width_mm:
            yield Message("labels.code_too_wide", {"field": code.field, "text": text})


def _fits(item: TextItem, text: str) -> bool:
    _, width, _ = fitted(item, text)
    return width <= item.width_mm * MM + 0.01  # rounding of the shrunk size


def _widest(pack: Pack, setup: Setup) -> Iterator[dict[str, str]]:
    """Give the fields of made-up boxes that together show every name the farm can print."""
    box = _made_up_box(pack, setup)
    yield _fields(replace(box, count=_MANY), setup)
    yield _fields(replace(box, fruit=_BIG_FRUIT), setup)
    for cultivar in setup.cultivars:
        yield _fields(replace(box, cultivar=cultivar.code), setup)
    for block in setup.blocks:
        yield _fields(replace(box, block=block.code), setup)
    for grade in setup.grades:
        yield _fields(replace(box, grade=grade.code), setup)


def _fields(box: Box, setup: Setup) -> dict[str, str]:
    return label_fields(box, setup, revision=10, copy_no=10)


def _made_up_box(pack: Pack, setup: Setup) -> Box:
    bench = setup.benches[0]
    net = _heaviest(pack, setup)
    tare = Mass(0, 0, net.unit)
    return Box(
        serial=f"{bench.name}-000000",
        lot="636299",
        load="",
        block="",
        cultivar="",
        picked_on=_DAY,
        packed_on=_DAY,
        pack=pack.name,
        grade="",
        gross=net,
        tare=tare,
        tare_by=TareBy.STATION,
        net=net,
        net_on_label=pack.label_net if pack.net_on_label is NetOnLabel.DECLARED else net,
        verdict=Verdict.ON,
        override_reason=None,
        count=None,
        bench=bench.name,
    )


def _heaviest(pack: Pack, setup: Setup) -> Mass:
    return limits(pack, setup.benches[0].division).highest
