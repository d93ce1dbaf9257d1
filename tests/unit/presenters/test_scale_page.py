"""What the page of the scale says of a line, without a screen."""

from dataclasses import replace

import pytest
from driving import Driver

from shedstation.devices.languages.framing import Cut
from shedstation.devices.lines.faults import sentence
from shedstation.domain.line_report import Heard, LineReport, Quality
from shedstation.domain.line_state import LineState
from shedstation.domain.mass import parse_mass
from shedstation.domain.reading import BadFrame, Mode, Reading, State
from shedstation.presenters.scale import BAD_REASONS, ScalePage, scale_page, visible
from shedstation.words import Words

RAW = b"ST,GS,+  25.42lb\r\n"
WEIGHT = Reading(100.0, parse_mass("25.42 lb"), State.STEADY, Mode.GROSS)
NO_FRAMES = Quality()
HEARD = Heard(at_s=100.0, raw=RAW, read=(WEIGHT,))


def clock(at_s: float) -> str:
    return f"06:15:{at_s % 60:04.1f}"


def page(
    bench: Driver,
    state: LineState,
    *heard: Heard,
    quality: Quality = NO_FRAMES,
    language: str = "en",
) -> ScalePage:
    say = sentence(state, "COM3", "error 5")
    report = LineReport(state=state, say=say, heard=heard, quality=quality)
    return scale_page(report, bench.view, Words(language), bench.now, clock)


def test_that_a_live_weight_is_shown_with_state_and_age(bench: Driver) -> None:
    bench.hear("25.42 lb")
    bench.now += 0.3
    shown = page(bench, LineState.LIVE, HEARD)
    assert (shown.title, shown.number, shown.age) == (
        "scale is read", "25.42 lb", "steady, 0.3 s ago",
    )  # fmt: skip
    assert not shown.is_trouble


@pytest.mark.parametrize(
    ("seconds", "ago"), [(12.4, "12 s ago"), (119.0, "119 s ago"), (600.0, "10 min ago")]
)
def test_that_a_weight_that_is_current_no_more_is_small_and_tells_its_age(
    bench: Driver, seconds: float, ago: str
) -> None:
    bench.now = 100.0 + seconds
    shown = page(bench, LineState.SILENT, HEARD)
    assert (shown.number, shown.age) == ("–", f"last 25.42 lb, {ago}")  # noqa: RUF001  # a dash
    assert shown.is_trouble


def test_that_no_weight_is_shown_while_nothing_is_believed(bench: Driver) -> None:
    bench.hear("25.42 lb")
    shown = page(bench, LineState.WRONG_DATA, HEARD)
    assert (shown.number, shown.age) == ("–", "")  # noqa: RUF001  # a dash


def test_that_a_weight_that_was_left_out_is_never_the_last_one(bench: Driver) -> None:
    stale = replace(HEARD, is_stale=True)
    assert page(bench, LineState.SILENT, stale).age == ""


def test_that_frames_are_shown_newest_first_with_bytes_and_what_was_read(bench: Driver) -> None:
    net = Reading(101.0, parse_mass("1.64 lb"), State.MOVING, Mode.NET)
    over = Reading(101.5, None, State.OVER)
    shown = page(
        bench,
        LineState.LIVE,
        HEARD,
        Heard(at_s=101.0, raw=b"A", read=(net, over)),
        Heard(at_s=102.0, raw=b"\x02\xff", read=(BadFrame(102.0, b"\x02\xff", "not so"),)),
        Heard(at_s=103.0, raw=RAW, read=(WEIGHT,), is_stale=True),
    )
    assert shown.heard.titles == ("Time", "Bytes", "What was read")
    assert shown.heard.rows == (
        ("06:15:43.0", "ST,GS,+  25.42lb<0D><0A>", "too old, left out"),
        ("06:15:42.0", "<02><FF>", "bad: not in this language"),
        ("06:15:41.0", "A", "1.64 lb moving net; too heavy"),
        ("06:15:40.0", "ST,GS,+  25.42lb<0D><0A>", "25.42 lb steady"),
    )


def test_that_the_figures_of_a_line_are_told(bench: Driver) -> None:
    quality = Quality(frames=1000, bad=2, stale=12, reconnects=1, period_s=0.1)
    shown = page(bench, LineState.LIVE, quality=quality)
    assert shown.quality.splitlines() == [
        "99.8 % good, 2 of 1000 bad",
        "one reading every 0.10 s",
        "too old, left out: 12",
        "port opened again: 1",
    ]
    assert page(bench, LineState.LIVE).quality == "No frame so far."


def test_that_one_bad_frame_of_very_many_is_never_rounded_away(bench: Driver) -> None:
    shown = page(bench, LineState.LIVE, quality=Quality(frames=10_000, bad=1))
    assert shown.quality.startswith("99.9 % good")


def test_that_every_reason_of_a_cut_is_said_in_words() -> None:
    assert {cut.value for cut in Cut} - {Cut.WHOLE.value} <= set(BAD_REASONS)


def test_that_long_bytes_are_shown_by_their_end() -> None:
    assert visible(b"x" * 300) == "…" + "x" * 48


@pytest.mark.parametrize("state", list(LineState))
def test_that_every_state_is_said_in_spanish(bench: Driver, state: LineState) -> None:
    english, spanish = page(bench, state), page(bench, state, language="es")
    assert english.title != spanish.title
    assert english.sentence != spanish.sentence
