"""Give the tables that several screens show: boxes, culls, loads, sums, refusals."""

from collections.abc import Mapping, Sequence

from shedstation.domain.box import Box
from shedstation.domain.culls import Cull, DefectSum, culls_by_defect
from shedstation.domain.day import BoxSum, DayRecord, Refusal
from shedstation.domain.farm import Coded, Setup, name_of
from shedstation.domain.intake import Load
from shedstation.domain.lot import Lot
from shedstation.domain.mass import Mass
from shedstation.presenters.rows import TextColumn, TextTable, text_table
from shedstation.presenters.times import clock_time
from shedstation.words import Words


def _mass(mass: Mass | None) -> str:
    return "" if mass is None else str(mass)


def _count(count: int | None) -> str:
    return "" if count is None else str(count)


def _title(words: Words, name: str) -> str:
    return words.text(f"export.column_{name}")


def boxes_table(boxes: Sequence[Box], setup: Setup, words: Words) -> TextTable:
    """Give boxes, one a row."""
    zone = setup.farm.time_zone
    columns = (
        TextColumn[Box]("serial", lambda box: box.serial),
        TextColumn[Box]("time", lambda box: clock_time(box.at, zone)),
        TextColumn[Box]("load", lambda box: box.load),
        TextColumn[Box]("cultivar", lambda box: name_of(setup.cultivars, box.cultivar)),
        TextColumn[Box]("pack", lambda box: box.pack),
        TextColumn[Box]("net", lambda box: str(box.net), is_number=True),
        TextColumn[Box]("count", lambda box: _count(box.fruit_count), is_number=True),
        TextColumn[Box]("status", lambda box: box_status(box, setup, words)),
    )
    return text_table(columns, boxes, lambda name: _title(words, name))


def box_status(box: Box, setup: Setup, words: Words) -> str:
    """Say where a box stands."""
    if box.voided:
        return words.text("export.voided_box")
    if box.dispatched_to is not None:
        return words.text("ui.sent_to", buyer=name_of(setup.buyers, box.dispatched_to))
    if box.room is not None:
        return name_of(setup.rooms, box.room)
    if box.override_reason:
        return words.text("ui.override")
    return words.text("export.by_hand") if box.by_hand else ""


def culls_table(culls: Sequence[Cull], setup: Setup, words: Words) -> TextTable:
    """Give cull entries, one a row."""
    zone = setup.farm.time_zone
    columns = (
        TextColumn[Cull]("entry", lambda cull: cull.id),
        TextColumn[Cull]("time", lambda cull: clock_time(cull.at, zone)),
        TextColumn[Cull]("load", lambda cull: cull.load),
        TextColumn[Cull]("block", lambda cull: name_of(setup.blocks, cull.block)),
        TextColumn[Cull]("defect", lambda cull: name_of(setup.defects, cull.defect)),
        TextColumn[Cull]("count", lambda cull: _count(cull.count), is_number=True),
        TextColumn[Cull]("weight", lambda cull: _mass(cull.weight), is_number=True),
        TextColumn[Cull]("where", lambda cull: words.text(f"export.where_{cull.where.value}")),
        TextColumn[Cull](
            "status", lambda cull: words.text("ui.corrected") if cull.corrected else ""
        ),
    )
    return text_table(columns, culls, lambda name: _title(words, name))


def culls_by(culls: Sequence[Cull], field: str, setup: Setup, words: Words) -> TextTable:
    """Give culls summed over blocks or cultivars (`field`) and defects."""
    coded = {"block": setup.blocks, "cultivar": setup.cultivars}[field]
    rows = [
        (name_of(coded, code), summed)
        for code in sorted({getattr(cull, field) for cull in culls})
        for summed in culls_by_defect(cull for cull in culls if getattr(cull, field) == code)
    ]
    columns = (
        TextColumn[tuple[str, DefectSum]](field, lambda row: row[0]),
        TextColumn[tuple[str, DefectSum]](
            "defect", lambda row: name_of(setup.defects, row[1].defect)
        ),
        TextColumn[tuple[str, DefectSum]]("count", lambda row: str(row[1].count), is_number=True),
        TextColumn[tuple[str, DefectSum]](
            "weight", lambda row: _mass(row[1].weight), is_number=True
        ),
    )
    return text_table(columns, rows, lambda name: _title(words, name))


def loads_table(loads: Sequence[Load], setup: Setup, words: Words) -> TextTable:
    """Give loads, one a row."""
    columns = (
        TextColumn[Load]("load", lambda load: load.load),
        TextColumn[Load]("cultivar", lambda load: name_of(setup.cultivars, load.cultivar)),
        TextColumn[Load]("block", lambda load: name_of(setup.blocks, load.block)),
        TextColumn[Load]("picked_on", lambda load: load.picked_on.isoformat()),
        TextColumn[Load]("weight", lambda load: _mass(load.weight), is_number=True),
    )
    return text_table(columns, loads, lambda name: _title(words, name))


def lots_table(record: DayRecord, sums: Mapping[str, BoxSum], words: Words) -> TextTable:
    """Give a day's lots with their boxes."""
    setup = record.setup

    def boxes(lot: Lot) -> str:
        return str(sums[lot.code].boxes) if lot.code in sums else "0"

    def net(lot: Lot) -> str:
        return str(sums[lot.code].net) if lot.code in sums else ""

    columns = (
        TextColumn[Lot]("lot", lambda lot: lot.code),
        TextColumn[Lot]("cultivar", lambda lot: name_of(setup.cultivars, lot.cultivar)),
        TextColumn[Lot]("block", lambda lot: name_of(setup.blocks, lot.block)),
        TextColumn[Lot]("picked_on", lambda lot: lot.picked_on.isoformat()),
        TextColumn[Lot]("boxes", boxes, is_number=True),
        TextColumn[Lot]("net", net, is_number=True),
    )
    return text_table(columns, record.lots, lambda name: _title(words, name))


def sums_table(
    sums: Mapping[str, BoxSum], coded: Sequence[Coded], first: str, words: Words
) -> TextTable:
    """Give sums of boxes by a code."""
    columns = (
        TextColumn[tuple[str, BoxSum]](first, lambda row: name_of(coded, row[0])),
        TextColumn[tuple[str, BoxSum]]("boxes", lambda row: str(row[1].boxes), is_number=True),
        TextColumn[tuple[str, BoxSum]]("net", lambda row: str(row[1].net), is_number=True),
    )
    return text_table(columns, tuple(sums.items()), lambda name: _title(words, name))


def refused_table(refused: Sequence[Refusal], zone: str, words: Words) -> TextTable:
    """Give what was refused."""
    columns = (
        TextColumn[Refusal]("time", lambda each: clock_time(each.at, zone)),
        TextColumn[Refusal]("asked", lambda each: each.do),
        TextColumn[Refusal]("why", lambda each: each.why),
    )
    return text_table(columns, refused, lambda name: _title(words, name))
