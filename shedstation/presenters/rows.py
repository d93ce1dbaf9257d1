"""Describe tables of text for screens, a column at a time."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

T = TypeVar("T")


@dataclass(frozen=True)
class TextColumn(Generic[T]):
    """One column: the name of its title in the words, its text, and whether it is a number."""

    title: str
    text: Callable[[T], str]
    is_number: bool = False


@dataclass(frozen=True, slots=True)
class TextTable:
    """Titles and rows ready to be shown."""

    titles: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    numbers: frozenset[int]
    """Columns whose text stands to the right."""


def text_table(
    columns: Sequence[TextColumn[T]], rows: Sequence[T], title: Callable[[str], str]
) -> TextTable:
    """Make the text of a table; `title` says a column's name in words."""
    return TextTable(
        titles=tuple(title(column.title) for column in columns),
        rows=tuple(tuple(column.text(row) for column in columns) for row in rows),
        numbers=frozenset(n for n, column in enumerate(columns) if column.is_number),
    )
