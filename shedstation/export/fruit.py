"""List what the scale told of the fruit of a day's boxes, for its record."""

from collections.abc import Sequence
from dataclasses import dataclass

from shedstation.domain.box import Box
from shedstation.domain.day import DayRecord
from shedstation.domain.fruit.told import FruitTold, Lying
from shedstation.export.columns import Cell, Column, Naming, Table, number, unit


@dataclass(frozen=True, slots=True, kw_only=True)
class ToldBox:
    """A box that stands, and what was told of its fruit."""

    box: Box
    told: FruitTold


@dataclass(frozen=True, slots=True, kw_only=True)
class ToldFruit:
    """One fruit of a box, or several that could not be told apart."""

    serial: str
    place: int
    """From 1, in the order they were put in."""

    lying: Lying


def told_boxes(record: DayRecord) -> tuple[ToldBox, ...]:
    """Give the standing boxes whose fruit were told, in order of closing."""
    return tuple(
        ToldBox(box=box, told=box.fruit) for box in record.standing if box.fruit is not None
    )


def told_fruit(boxes: Sequence[ToldBox]) -> tuple[ToldFruit, ...]:
    """Give all that lies in the boxes, one weight a row; the weights of a box sum to its net."""
    return tuple(
        ToldFruit(serial=each.box.serial, place=place, lying=lying)
        for each in boxes
        for place, lying in enumerate(each.told.lying, start=1)
    )


def fruit_tables(record: DayRecord, names: Naming) -> tuple[Table, ...]:
    """Give the tables of the fruit that were told; none on a day on which none were."""
    boxes = told_boxes(record)
    if not boxes:
        return ()
    return (
        Table("fruit", _fruit(names), boxes),
        Table("fruit_weights", _fruit_weights(names), told_fruit(boxes)),
    )


def _fruit(names: Naming) -> tuple[Column, ...]:
    def yes_or_no(told: ToldBox, of: str) -> str:
        size = told.told.size
        return "" if size is None else names.say("export.yes" if getattr(size, of) else "export.no")

    def standard(told: ToldBox) -> str:
        by = told.told.standard
        return "" if by is None else names.say(f"export.size_{by.value}")

    def code(told: ToldBox) -> str:
        return "" if told.told.size is None else told.told.size.code.code

    return (
        Column("serial", lambda each: each.box.serial),
        Column("count", lambda each: each.box.fruit_count),
        Column("told_count", lambda each: each.told.count),
        Column("told_singly", lambda each: len(each.told.singles)),
        Column("not_sure", lambda each: len(each.told.unsure)),
        Column("smallest", lambda each: number(each.told.smallest)),
        Column("largest", lambda each: number(each.told.largest)),
        Column("spread", lambda each: number(each.told.spread)),
        Column("mean", lambda each: number(each.told.mean)),
        Column("unit", lambda each: unit(each.box.net)),
        Column("size_standard", standard),
        Column("size_code", code),
        Column("keeps_size", lambda each: yes_or_no(each, "keeps_size")),
        Column("keeps_spread", lambda each: yes_or_no(each, "keeps_difference")),
    )


def _fruit_weights(names: Naming) -> tuple[Column, ...]:
    def count(each: ToldFruit) -> Cell:
        return "?" if each.lying.fruit is None else each.lying.fruit

    return (
        Column("serial", lambda each: each.serial),
        Column("order", lambda each: each.place),
        Column("time", lambda each: names.clock(each.lying.at)),
        Column("weight", lambda each: number(each.lying.weight)),
        Column("unit", lambda each: unit(each.lying.weight)),
        Column("count", count),
    )
