"""Say how the teaching of a scale's language goes, and what to do next."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from shedstation.domain.lesson import InDoubt, LessonSoFar, LoadShown
from shedstation.domain.reading import BadFrame, Reading
from shedstation.presenters.rows import TextColumn, TextTable, text_table
from shedstation.presenters.scale import visible
from shedstation.words import Words

_NEEDED: Final = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class TeachScreen:
    """What the page shows."""

    sentence: str
    """The next thing to do."""

    loads: TextTable
    learned: str
    """What must be settled first, what is not known, and what is certain, a paragraph each."""

    tried: str
    can_be_saved: bool


def teach_screen(lesson: LessonSoFar, words: Words) -> TeachScreen:
    """Show a lesson."""
    return TeachScreen(
        sentence=_next(lesson, words),
        loads=_loads(lesson, words),
        learned="\n\n".join(filter(None, _learned(lesson, words))),
        tried=tried_sentence(lesson.tried, words),
        can_be_saved=lesson.may_be_used,
    )


def _next(lesson: LessonSoFar, words: Words) -> str:
    left = _NEEDED - len(lesson.loads)
    if left > 0:
        return words.text("teach.next_load", count=left)
    settle = next((each.settle for each in lesson.doubts if each.blocks and each.settle), None)
    if settle is not None:
        return words.say(settle)
    return words.text("teach.next_save" if lesson.may_be_used else "teach.next_other_load")


def _loads(lesson: LessonSoFar, words: Words) -> TextTable:
    columns = (
        TextColumn[LoadShown]("teach.column_load", _shown),
        TextColumn[LoadShown]("teach.column_bytes", lambda load: visible(load.raw)),
    )
    return text_table(columns, lesson.loads[::-1], words.text)


def _shown(load: LoadShown) -> str:
    return "–" if load.shown is None else str(load.shown)  # noqa: RUF001  # a dash


def _learned(lesson: LessonSoFar, words: Words) -> Iterator[str]:
    for blocks in (True, False):
        yield "\n".join(_doubt(each, words) for each in lesson.doubts if each.blocks is blocks)
    yield "\n".join(f"• {words.say(each)}" for each in lesson.words)


def _doubt(doubt: InDoubt, words: Words) -> str:
    mark = "✗" if doubt.blocks else "?"
    settle = "" if doubt.settle is None else f" → {words.say(doubt.settle)}"
    return f"{mark} {words.say(doubt.about)}{settle}"


def tried_sentence(tried: Reading | BadFrame | None, words: Words) -> str:
    """Say what the language makes of the last bytes; nothing before there is one."""
    if tried is None:
        return ""
    if isinstance(tried, BadFrame):
        return words.text("teach.tried_bad", raw=visible(tried.raw))
    shown = "–" if tried.mass is None else str(tried.mass)  # noqa: RUF001  # a dash
    return words.text("teach.tried", shown=shown, state=words.text(f"ui.read_{tried.state.value}"))
