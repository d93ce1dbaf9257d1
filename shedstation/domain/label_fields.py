"""List what a label can print: one row a field, with its title, a sample and how to compute it."""

from collections.abc import Callable
from dataclasses import dataclass
from math import ceil, floor
from typing import Final

from shedstation.domain import gs1
from shedstation.domain.box import Box
from shedstation.domain.farm import NetOnLabel, Setup, name_of
from shedstation.domain.lot import label_code
from shedstation.domain.mass import Unit
from shedstation.domain.net_statement import net_statement


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelOf:
    """What a label is printed from."""

    box: Box
    setup: Setup
    revision: int
    copy_no: int


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelField:
    """One printable field."""

    name: str
    title: str
    sample: str
    text: Callable[[LabelOf], str]
    added_later: bool = False
    """Left out while empty, so that labels of days from before it keep their hashes."""


def _elements(of: LabelOf) -> tuple[tuple[str, str], ...]:
    """Give (01)(10) when the pack has a GTIN for a fixed measure, else nothing."""
    pack = of.setup.pack_or_none(of.box.pack)
    gtin = None if pack is None else pack.gtin
    if gtin is None or of.setup.farm.gtin_prefix is None or gtin.startswith("9"):
        return ()
    return (("01", gtin), ("10", of.box.lot))


def _net(of: LabelOf) -> str:
    pack = of.setup.pack_or_none(of.box.pack)
    if pack is None:
        # The pack is set up no more, but its boxes still say what they were labelled with.
        own = of.box.net_on_label == of.box.net
        return net_statement(of.box.net_on_label, NetOnLabel.ACTUAL if own else NetOnLabel.DECLARED)
    return net_statement(of.box.net_on_label, pack.net_on_label)


def _size_code(of: LabelOf) -> str:
    """Give the code the pack claims, or the one its fruit keep; none that the fruit speak against."""
    pack = of.setup.pack_or_none(of.box.pack)
    claimed = "" if pack is None else pack.size_code or ""
    told = of.box.fruit
    if told is None or not told.is_sized or told.count != of.box.fruit_count:
        return claimed
    kept = told.kept_code or ""
    return kept if claimed in ("", kept) else ""


def _size_range(of: LabelOf) -> str:
    """Give the lightest and the heaviest fruit in whole grams, outwards, if each was told singly.

    Codex 184 wants a size code or a weight range in grams (section 6, from memory).
    """
    told = of.box.fruit
    if told is None or told.unsure or told.count != of.box.fruit_count:
        return ""
    if told.smallest is None or told.largest is None:
        return ""
    least = floor(told.smallest.measured_in(Unit.G))
    return f"{least}-{ceil(told.largest.measured_in(Unit.G))} g"


FIELDS: Final = (
    LabelField(name="commodity", title="Commodity", sample="MANGOS", text=lambda _of: "MANGOS"),
    LabelField(
        name="cultivar",
        title="Cultivar",
        sample="Kent",
        text=lambda of: name_of(of.setup.cultivars, of.box.cultivar),
    ),
    LabelField(
        name="block",
        title="Field block",
        sample="Windbreak Row",
        text=lambda of: name_of(of.setup.blocks, of.box.block),
    ),
    LabelField(
        name="packed_on",
        title="Pack date",
        sample="2026-06-18",
        text=lambda of: of.box.packed_on.isoformat(),
    ),
    LabelField(
        name="picked_on",
        title="Picked on",
        sample="2026-06-17",
        text=lambda of: of.box.picked_on.isoformat(),
    ),
    LabelField(name="net", title="Net weight", sample="NET WT 25 LB (11.3 kg)", text=_net),
    LabelField(name="lot", title="Lot", sample="616901", text=lambda of: of.box.lot),
    LabelField(name="serial", title="Serial", sample="B1-000123", text=lambda of: of.box.serial),
    LabelField(
        name="serial_code",
        title="Code of the serial",
        sample="B1-000123/2",
        text=lambda of: label_code(of.box.serial, of.revision),
    ),
    LabelField(
        name="grade",
        title="Grade",
        sample="No. 1",
        text=lambda of: name_of(of.setup.grades, of.box.grade),
    ),
    LabelField(name="pack", title="Pack", sample="Flat 25 lb", text=lambda of: of.box.pack),
    LabelField(
        name="count",
        title="Count",
        sample="22",
        text=lambda of: "" if of.box.fruit_count is None else str(of.box.fruit_count),
    ),
    LabelField(name="size_code", title="Size code", sample="B", text=_size_code, added_later=True),
    LabelField(
        name="size_range",
        title="Lightest and heaviest fruit",
        sample="412-498 g",
        text=_size_range,
        added_later=True,
    ),
    LabelField(
        name="origin",
        title="Origin",
        sample="Product of Example Island",
        text=lambda of: of.setup.farm.origin,
    ),
    LabelField(
        name="packer", title="Packer", sample="Hillside Farm", text=lambda of: of.setup.farm.name
    ),
    LabelField(
        name="address",
        title="Packer's place",
        sample="1 Example Road, Example Town",
        text=lambda of: ", ".join(of.setup.farm.address),
    ),
    LabelField(
        name="gs1_text",
        title="GS1 element strings, as read",
        sample="(01)19521234000010(10)616901",
        text=lambda of: gs1.bracketed(_elements(of)),
    ),
    LabelField(
        name="copy",
        title="Mark of a copy",
        sample="COPY 1",
        text=lambda of: f"COPY {of.copy_no}" if of.copy_no else "",
    ),
)
"""Every field; a template names them, a label job keeps their text."""


def label_fields(box: Box, setup: Setup, *, revision: int, copy_no: int) -> dict[str, str]:
    """Give the text of every printable field for a box's label.

    Args:
        box: The closed box.
        setup: The farm's setup.
        revision: Which label of the box this is: 2 and more once a correction replaced the first.
        copy_no: 0 for an original, else the number of the copy.
    """
    of = LabelOf(box=box, setup=setup, revision=revision, copy_no=copy_no)
    texts = ((field, field.text(of)) for field in FIELDS)
    return {field.name: text for field, text in texts if text or not field.added_later}
