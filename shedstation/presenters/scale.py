"""Turn a line's report into what the page of the scale shows."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Final

from shedstation.domain.line_report import Heard, LineReport, Quality
from shedstation.domain.line_state import LineState
from shedstation.domain.reading import BadFrame, Mode, Reading
from shedstation.presenters.rows import TextColumn, TextTable, text_table
from shedstation.station.bench_view import BenchView
from shedstation.words import Words

SHOWN_ROWS: Final = 40
_MOST_CHARS: Final = 48
_TENTHS_BELOW_S: Final = 10
_MINUTES_FROM_S: Final = 120

BAD_REASONS: Final[Mapping[str, str]] = {
    "longer than any frame": "ui.bad_too_long",
    "shorter than the frame after it, so perhaps its tail only": "ui.bad_tail",
    "between two frames": "ui.bad_between",
    "broken off by a silence": "ui.bad_broken",
    "no language found yet": "ui.bad_no_language",
}
"""How people are told why a frame was not read; any other reason is that it is not in the language."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ScalePage:
    """All that the page of the scale shows at one moment."""

    title: str
    sentence: str
    is_trouble: bool
    number: str
    age: str
    quality: str
    heard: TextTable
    """The last frames, newest first."""


def scale_page(
    report: LineReport, view: BenchView, words: Words, now_s: float, clock: Callable[[float], str]
) -> ScalePage:
    """Give the page of the scale.

    Args:
        report: How the line does.
        view: The bench, for its last reading.
        words: The person's language.
        now_s: The second it is now.
        clock: Gives the local time of a second.
    """
    is_live = report.state is LineState.LIVE
    reading = view.reading if is_live else None
    mass = None if reading is None else reading.mass
    return ScalePage(
        title=words.text(f"ui.line_{report.state.value}"),
        sentence=words.say(report.say),
        is_trouble=report.state not in _CALM,
        number="–" if mass is None else str(mass),  # noqa: RUF001  # a dash stands for no weight
        age=_age(reading, report, words, now_s),
        quality=_quality(report.quality, words),
        heard=_heard_table(report.heard, words, clock),
    )


_CALM: Final = frozenset({LineState.LIVE, LineState.LISTENING, LineState.OPENING, LineState.CLOSED})


def _age(reading: Reading | None, report: LineReport, words: Words, now_s: float) -> str:
    """Say how old the weight is; a weight that came last stands here once it is current no more."""
    if reading is not None:
        state = words.text(f"ui.read_{reading.state.value}")
        return words.text("ui.read_ago", state=state, ago=_ago(now_s - reading.at_s, words))
    last = _last_weight(report)
    if last is None:
        return ""
    return words.text("ui.read_last", mass=last.mass, ago=_ago(now_s - last.at_s, words))


def _last_weight(report: LineReport) -> Reading | None:
    """Find the last weight that was not left out; none while nothing is believed."""
    if report.state is LineState.WRONG_DATA:
        return None
    fresh = (each for heard in reversed(report.heard) if not heard.is_stale for each in heard.read)
    return next((each for each in fresh if isinstance(each, Reading) and each.mass), None)


def _ago(seconds: float, words: Words) -> str:
    if seconds < _TENTHS_BELOW_S:
        return words.text("ui.seconds_ago", seconds=f"{max(seconds, 0.0):.1f}")
    if seconds < _MINUTES_FROM_S:
        return words.text("ui.seconds_ago", seconds=f"{seconds:.0f}")
    return words.text("ui.minutes_ago", minutes=f"{seconds / 60:.0f}")


def _quality(quality: Quality, words: Words) -> str:
    share = quality.good_permille
    if share is None:
        return words.text("ui.quality_none")
    good = f"{share // 10}.{share % 10} %"
    lines = [words.text("ui.quality_good", share=good, frames=quality.frames, bad=quality.bad)]
    if quality.period_s is not None:
        lines.append(words.text("ui.quality_period", seconds=f"{quality.period_s:.2f}"))
    lines.append(words.text("ui.quality_stale", readings=quality.stale))
    lines.append(words.text("ui.quality_reopened", times=quality.reconnects))
    return "\n".join(lines)


def _heard_table(
    heard: tuple[Heard, ...], words: Words, clock: Callable[[float], str]
) -> TextTable:
    columns = (
        TextColumn[Heard]("ui.column_time", lambda each: clock(each.at_s)),
        TextColumn[Heard]("ui.column_bytes", lambda each: visible(each.raw)),
        TextColumn[Heard]("ui.column_read", lambda each: _read(each, words)),
    )
    return text_table(columns, tuple(reversed(heard[-SHOWN_ROWS:])), words.text)


def _read(heard: Heard, words: Words) -> str:
    if heard.is_stale:
        return words.text("ui.read_stale")
    return "; ".join(_one(each, words) for each in heard.read)


def _one(each: Reading | BadFrame, words: Words) -> str:
    if isinstance(each, BadFrame):
        return words.text("ui.read_bad", why=words.text(_reason(each)))
    state = words.text(f"ui.read_{each.state.value}")
    net = words.text("ui.read_net") if each.mode is Mode.NET else ""
    return " ".join(filter(None, ("" if each.mass is None else str(each.mass), state, net)))


def _reason(bad: BadFrame) -> str:
    return BAD_REASONS.get(bad.why, "ui.bad_frame")


def visible(data: bytes) -> str:
    """Give bytes as text, those that are no letters as hexadecimal; long ones without their beginning."""
    text = "".join(chr(byte) if 32 <= byte < 127 else f"<{byte:02X}>" for byte in data)  # noqa: PLR2004  # ASCII
    return text if len(text) <= _MOST_CHARS else f"…{text[-_MOST_CHARS:]}"
