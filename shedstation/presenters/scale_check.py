"""Turn a check with test weights into what its page shows."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from shedstation.domain.check_findings import LastCheck, ask, failures, left_out
from shedstation.domain.check_rows import CheckRow, rows_of
from shedstation.domain.farm import Pack
from shedstation.domain.mass import Mass, Unit
from shedstation.domain.scale_check import Outcome, Place, ScaleCheck
from shedstation.presenters.rows import TextColumn, TextTable, text_table
from shedstation.presenters.typed import typed_mass
from shedstation.words import Words

_MIDDLE: Final = "check.place_middle"
_TONES: Final = {Outcome.PASSED: "on", Outcome.FAILED: "trouble", Outcome.UNFINISHED: "wait"}


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckScreen:
    """All that the page shows of a check, going on or over."""

    sentence: str
    progress: str
    place: Place | None
    """Where the load is to stand; none for the empty pan."""

    table: TextTable
    said: str
    tone: str
    """`on`, `trouble` or `wait`: colours follow it, never alone."""


def going_screen(check: ScaleCheck, words: Words) -> CheckScreen:
    """Give the page while a check is going on."""
    task = check.next_task
    number, of = len(check.points) + 1, len(check.plan)
    failed = list(failures(check))
    return CheckScreen(
        sentence="" if task is None else words.say(ask(task)),
        progress=words.text("ui.check_progress", number=number, of=of),
        place=None if task is None or not task.weights else task.place,
        table=points_table(check, words),
        said=words.say(failed[-1]) if failed else "",
        tone="trouble" if failed else "wait",
    )


def rest_screen(last: LastCheck | None, packs: Sequence[Pack], words: Words) -> CheckScreen:
    """Give the page between checks: what the last one found."""
    if last is None:
        table = TextTable(_titles(words), (), frozenset())
        said = words.text("ui.never_checked")
        return CheckScreen(
            sentence="", progress="", place=None, table=table, said=said, tone="wait"
        )
    check = last.check
    outcome = words.text(f"check.outcome_{check.outcome.value}")
    sentences = [
        words.text("ui.last_check", day=last.day, outcome=outcome),
        *map(words.say, failures(check)),
        *map(words.say, left_out(check, packs)),
    ]
    return CheckScreen(
        sentence="",
        progress="",
        place=None,
        table=points_table(check, words),
        said=" ".join(sentences),
        tone=_TONES[check.outcome],
    )


def _titles(words: Words) -> tuple[str, ...]:
    return tuple(words.text(f"export.column_{each.title}") for each in _columns(words))


def points_table(check: ScaleCheck, words: Words) -> TextTable:
    """Give what was looked at, one a row; of a check that is going on the points only, last first."""
    rows = list(rows_of(check))
    if check.next_task is not None:
        rows = rows[: len(check.points)][::-1]
    return text_table(_columns(words), rows, lambda name: words.text(f"export.column_{name}"))


def _columns(words: Words) -> tuple[TextColumn[CheckRow], ...]:
    def result(row: CheckRow) -> str:
        mark, name = ("✓", "passed") if row.passed else ("✗", "failed")
        return f"{mark} {words.text(f'check.outcome_{name}')}"

    def what(row: CheckRow) -> str:
        off_middle = row.place is not None and row.place.name != _MIDDLE
        return words.value(row.place if off_middle else row.what)

    return (
        TextColumn("result", result),
        TextColumn("what", what),
        TextColumn("test_load", lambda row: row.load),
        TextColumn("shown", lambda row: str(row.shown or ""), is_number=True),
        TextColumn("off", lambda row: str(row.off), is_number=True),
        TextColumn("tolerance", lambda row: str(row.tolerance), is_number=True),
    )


def typed_weights(text: str, unit: Unit) -> tuple[Mass, ...]:
    """Read test weights, `10 lb; 25 lb`; a bare number is in the bench's unit.

    Raises:
        ValueError: if one of them is not a mass above zero.
    """
    return tuple(typed_mass(part, unit) for part in text.split(";") if part.strip())
