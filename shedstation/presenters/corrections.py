"""Show a correction of boxes before it is made: what each would become."""

from collections.abc import Sequence
from dataclasses import dataclass

from shedstation.domain.box import Box
from shedstation.domain.farm import Setup, name_of
from shedstation.domain.intake import Load
from shedstation.presenters.rows import TextColumn, TextTable, text_table
from shedstation.words import Words


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """What boxes are to become; none leaves it as it is."""

    load: Load | None = None
    pack: str | None = None
    grade: str | None = None

    @property
    def changes(self) -> dict[str, str]:
        """Get the fields of a correction."""
        load = None if self.load is None else self.load.load
        given = {"load": load, "pack": self.pack, "grade": self.grade}
        return {name: value for name, value in given.items() if value is not None}


def in_range(boxes: Sequence[Box], first: str, last: str) -> tuple[Box, ...]:
    """Give the standing boxes from one serial to another, both included."""
    end = last or first
    return tuple(box for box in boxes if first <= box.serial <= end and not box.voided)


def before_and_after(boxes: Sequence[Box], wanted: Wanted, setup: Setup, words: Words) -> TextTable:
    """Give each box as it is and as it would be."""

    def arrow(before: str, after: str | None) -> str:
        return before if after is None or after == before else f"{before}  →  {after}"

    def fruit(box: Box) -> str:
        load = wanted.load
        after = None if load is None else f"{_cultivar(load.cultivar)}, {_block(load.block)}"
        return arrow(f"{_cultivar(box.cultivar)}, {_block(box.block)}", after)

    def _cultivar(code: str) -> str:
        return name_of(setup.cultivars, code)

    def _block(code: str) -> str:
        return name_of(setup.blocks, code)

    load_after = None if wanted.load is None else wanted.load.load
    columns = (
        TextColumn[Box]("serial", lambda box: box.serial),
        TextColumn[Box]("load", lambda box: arrow(box.load, load_after)),
        TextColumn[Box]("cultivar", fruit),
        TextColumn[Box]("pack", lambda box: arrow(box.pack, wanted.pack)),
        TextColumn[Box]("grade", lambda box: arrow(box.grade, wanted.grade)),
        TextColumn[Box]("net", lambda box: str(box.net), is_number=True),
    )
    return text_table(columns, boxes, lambda name: words.text(f"export.column_{name}"))
