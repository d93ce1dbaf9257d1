"""The reader on lines that do everything a line can do, in virtual time."""

import errno
import io
import termios
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from scripted import FRAME, Heard, ScriptedLine, Session, quiet, read, stream

from shedstation.devices.capture import CaptureWriter, Mark, read_capture
from shedstation.devices.languages.bits import Bits
from shedstation.devices.languages.decode import decoded_rows
from shedstation.devices.lines import reader as reader_module
from shedstation.domain.errors import WorldFault
from shedstation.domain.line_state import LineNotice, LineState
from shedstation.domain.message import Message
from shedstation.domain.reading import LineBack, LineLost, Reading, ScaleEvent
from shedstation.domain.steadiness import SteadinessJudge

OTHER = b"ST,GS,+   1.64lb\r\n"
GARBLED = b"ST,GS,+  2?.42lb\r\n"
TAIL = b"12lb\r\n"


def hear(*sessions: Session, spoken: str = "status-comma", **rest: Any) -> Heard:
    return read(ScriptedLine(list(sessions)), spoken, **rest)


def stale(heard: Heard) -> int:
    return heard.reader.log.quality().stale


def test_that_a_streaming_scale_is_listened_to_and_then_live() -> None:
    heard = hear(stream(3))
    assert heard.weights == ["25.42 lb"] * 3
    assert heard.states == [LineState.LISTENING, LineState.LIVE]
    assert heard.reader.log.quality().period_s == pytest.approx(0.1)


FAULTS = [
    OSError(5, "gone"), TypeError("closed"), ValueError("closed"), termios.error(5, "gone"),
]  # fmt: skip


@pytest.mark.parametrize("fault", FAULTS, ids=lambda fault: type(fault).__name__)
def test_that_nothing_a_port_raises_ends_the_reader(fault: Exception) -> None:
    heard = hear([*stream(1), (0.1, fault)], fault, stream(1))
    assert heard.weights == ["25.42 lb"] * 2
    assert heard.kinds(LineLost, LineBack) == ["LineBack", "LineLost", "LineBack"]
    assert heard.states[2] is LineState.GONE
    assert heard.line.closed == 3


@pytest.mark.parametrize(
    ("number", "state"),
    [
        (errno.EACCES, LineState.NOT_ALLOWED), (errno.EPERM, LineState.NOT_ALLOWED),
        (errno.EBUSY, LineState.TAKEN), (errno.EAGAIN, LineState.TAKEN),
        (errno.ENOENT, LineState.GONE), (errno.ENXIO, LineState.GONE),
        (errno.ENOTTY, LineState.UNFIT), (errno.ECONNREFUSED, LineState.TURNED_AWAY),
        (errno.EHOSTUNREACH, LineState.NO_ANSWER), (errno.ECONNRESET, LineState.HUNG_UP),
    ],
)  # fmt: skip
def test_that_each_fault_at_opening_has_a_state_and_the_scale_is_read_after_it(
    number: int, state: LineState
) -> None:
    heard = hear(OSError(number, "no"), stream(2))
    assert heard.states == [state, LineState.LISTENING, LineState.LIVE]
    assert heard.weights == ["25.42 lb"] * 2


def test_that_a_fault_of_the_world_at_opening_is_said_as_it_is() -> None:
    heard = hear(WorldFault(Message("scale.bad_port", {"port": "x"})), stream(1))
    assert heard.says[0] == "scale.bad_port"
    assert heard.states[0] is LineState.UNFIT


def test_that_waits_double_until_five_seconds_and_begin_anew_after_a_reading() -> None:
    away = [OSError(errno.ENOENT, "no")] * 7
    heard = hear(*away, [*stream(1), (0.1, OSError(5, "gone"))], *away[:2], stream(1))
    assert heard.line.waits[:7] == [0.25, 0.5, 1.0, 2.0, 4.0, 5.0, 5.0]
    assert heard.line.waits[7:10] == [0.25, 0.5, 1.0]


def test_that_a_repeated_fault_is_told_once() -> None:
    heard = hear(*[OSError(errno.ENOENT, "no")] * 5, stream(1))
    assert heard.states == [LineState.GONE, LineState.LISTENING, LineState.LIVE]


# ---- silence


def test_that_a_stream_that_stops_is_silent_after_a_second_and_opened_anew_after_five() -> None:
    heard = hear([*stream(10), *quiet(5.5)], stream(3))
    assert heard.line.opened == 2
    assert heard.states == [
        LineState.LISTENING, LineState.LIVE, LineState.SILENT, LineState.LISTENING, LineState.LIVE,
    ]  # fmt: skip
    assert heard.says[2] == "line.silent"
    assert heard.kinds(LineLost, LineBack) == ["LineBack", "LineLost", "LineBack"]


def test_that_a_scale_that_prints_on_its_key_is_left_alone_between_two_prints() -> None:
    heard = hear([*quiet(2), (0.1, FRAME), *quiet(40), (0.1, OTHER), *quiet(90), (0.1, FRAME)])
    assert heard.line.opened == 1
    assert heard.weights == ["25.42 lb", "1.64 lb", "25.42 lb"]
    assert heard.kinds(LineLost) == []
    assert heard.says == [
        "line.listening", "line.unheard", "line.live", "line.paused", "line.live", "line.paused",
        "line.live",
    ]  # fmt: skip


def test_that_a_line_that_never_sent_anything_is_opened_anew_now_and_then() -> None:
    heard = hear(quiet(31), quiet(31), [*quiet(3), *stream(2)])
    assert heard.line.opened == 3
    assert heard.weights == ["25.42 lb"] * 2
    assert heard.kinds(LineLost) == []


# ---- garbage


def test_that_garbage_from_the_start_is_wrong_data_after_five_seconds() -> None:
    garbage = stream(60, frame=b"\xf8\x00\x9c\xff\xe0" * 6)
    heard = hear([*garbage, *stream(3)], bits=Bits.PLAIN)
    assert heard.states == [LineState.LISTENING, LineState.WRONG_DATA, LineState.LIVE]
    assert heard.weights == ["25.42 lb"] * 2, "the rest of the garbage spoils the first frame"


def test_that_nothing_is_believed_once_more_than_a_fifth_of_the_frames_is_bad() -> None:
    mixed = [(0.1, frame) for _ in range(20) for frame in (FRAME, OTHER, GARBLED)]
    heard = hear([*stream(30), *mixed, *stream(80)])
    assert heard.states == [
        LineState.LISTENING, LineState.LIVE, LineState.WRONG_DATA, LineState.LIVE,
    ]  # fmt: skip
    wrong = heard.events.index(next(e for e in heard.events if is_state(e, LineState.WRONG_DATA)))
    live = [n for n, e in enumerate(heard.events) if is_state(e, LineState.LIVE)][1]
    assert not any(isinstance(each, Reading) for each in heard.events[wrong:live])


def is_state(event: ScaleEvent, state: LineState) -> bool:
    return getattr(event, "state", None) is state


def test_that_fewer_bad_frames_than_a_fifth_are_put_up_with() -> None:
    mixed = [(0.1, frame) for _ in range(40) for frame in (*[FRAME] * 5, GARBLED)]
    heard = hear(mixed)
    assert heard.states == [LineState.LISTENING, LineState.LIVE]
    assert len(heard.weights) == 200


def test_that_a_scale_set_to_another_speed_while_it_is_read_is_noticed() -> None:
    heard = hear([*stream(10), *stream(70, frame=b"\xf8\x00\x9c\xff\xe0" * 3)])
    assert heard.states == [
        LineState.LISTENING, LineState.LIVE, LineState.LISTENING, LineState.WRONG_DATA,
    ]  # fmt: skip


# ---- what piled up


def test_that_what_piled_up_while_nobody_listened_is_never_a_weight() -> None:
    heard = hear([*stream(10), (30.0, OTHER * 200), *stream(3)])
    assert heard.weights == ["25.42 lb"] * 13
    assert stale(heard) == 200
    assert heard.kinds(LineLost, LineBack) == ["LineBack", "LineLost", "LineBack"]


def test_that_frames_from_before_a_sleep_are_left_out_though_the_clock_stood_still() -> None:
    # A converter's peer keeps sending while this machine sleeps; its clock does not run then.
    late = [(0.01, OTHER * 900), (0.001, OTHER * 900), (0.001, OTHER * 7)]
    heard = hear([*stream(10), *late, *stream(5)])
    assert heard.weights == ["25.42 lb"] * 15
    assert stale(heard) == 1807
    assert heard.kinds(LineLost, LineBack) == ["LineBack", "LineLost", "LineBack"]


def test_that_of_a_converter_that_sends_once_a_second_only_the_last_half_second_counts() -> None:
    bundle = OTHER * 5 + FRAME * 5
    heard = hear([*quiet(0.9), (0.1, bundle)] * 12)
    assert heard.weights[-5:] == ["25.42 lb"] * 5
    assert "1.64 lb" not in heard.weights[-25:]
    assert heard.kinds(LineLost) == []


def test_that_two_prints_in_one_piece_are_both_read() -> None:
    heard = hear([*quiet(1), (0.1, FRAME), *quiet(20), (0.1, OTHER + FRAME)])
    assert heard.weights == ["25.42 lb", "1.64 lb", "25.42 lb"]
    assert stale(heard) == 0


def test_that_a_fast_scale_in_pieces_of_a_slow_chip_is_read_whole() -> None:
    # A USB chip hands its bytes over every 16 ms: at 50 frames a second one frame or two at a time.
    heard = hear([(0.016, FRAME), (0.032, FRAME * 2), (0.016, FRAME)] * 100)
    assert len(heard.weights) == 400
    assert stale(heard) == 0


# ---- our own faults


def test_that_a_fault_of_our_own_is_told_and_the_scale_is_read_on(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    told: list[str] = []

    def report(fault: Exception) -> str:
        told.append(repr(fault))
        return "fault-1.txt"

    broken = iter([True, False, True, False, False])

    class Judge(SteadinessJudge):
        def judged(self, event: ScaleEvent) -> ScaleEvent:
            if next(broken):
                raise KeyError("ours")
            return super().judged(event)

    monkeypatch.setattr(reader_module, "SteadinessJudge", Judge)
    heard = hear(stream(1), stream(2), stream(2), report=report)
    assert heard.weights == ["25.42 lb"] * 3
    assert told == ["KeyError('ours')"], "the same fault is reported once"
    assert heard.states.count(LineState.OUR_FAULT) == 2
    assert heard.line.closed == 3


def test_that_even_a_delivery_that_fails_does_not_end_the_reader() -> None:
    events: list[ScaleEvent] = []

    def deliver(event: ScaleEvent) -> None:
        events.append(event)
        if len(events) < 4:
            raise RuntimeError

    heard = hear(stream(2), stream(2), stream(2), deliver=deliver)
    assert heard.line.opened == 3
    assert any(isinstance(each, Reading) for each in events)


# ---- asking


def test_that_a_scale_is_asked_no_more_than_ten_times_a_second_and_only_after_its_answer() -> None:
    answer = b"\n25.42 lb\r\nS00\r\x03"
    heard = hear([(0.02, answer)] * 100, spoken="bracketed-reply", bits=Bits.EVEN)
    times = [at for at, _ in heard.line.sent]
    gaps = [later - sooner for sooner, later in pairwise(times)]
    assert min(gaps) >= 0.1 - 1e-9
    assert len(times) == 21, "two seconds"
    assert {data for _, data in heard.line.sent} == {b"\xd7\x8d"}, "W and CR with even parity"


def test_that_a_scale_that_does_not_answer_is_asked_three_times_more_before_it_is_silent() -> None:
    heard = hear(quiet(1.2), spoken="bracketed-reply", bits=Bits.PLAIN)
    silent_s = next(e.at_s for e in heard.events if is_state(e, LineState.SILENT))
    assert [at for at, _ in heard.line.sent if at < silent_s] == [100.0, 100.3, 100.6, 100.9]


def test_that_a_scale_whose_bits_are_unknown_is_asked_in_each_way() -> None:
    heard = hear(quiet(1.2), spoken="bracketed-reply")
    assert [data for _, data in heard.line.sent[:4]] == [
        b"W\r", b"\xd7\x8d", b"W\r", b"\xd7\x8d",
    ]  # fmt: skip


def test_that_a_scale_that_sends_by_itself_is_never_asked() -> None:
    assert hear([*stream(10), *quiet(3)]).line.sent == []


# ---- captures


class Full(io.StringIO):
    name = "scale.cap"

    def write(self, text: str) -> int:
        raise OSError(28, "No space left on device", text)


def test_that_a_full_disk_ends_a_capture_with_a_word_and_not_the_reading() -> None:
    heard = hear(stream(3), capture=CaptureWriter(Full(), zero_s=0.0))
    assert heard.weights == ["25.42 lb"] * 3
    notices = [each.say for each in heard.events if isinstance(each, LineNotice)]
    assert notices == [
        Message("line.capture_stopped", {"file": "scale.cap", "why": "No space left on device"})
    ]
    assert not heard.reader.is_capturing


def test_that_a_capture_replays_to_what_was_heard_with_its_breaks(tmp_path: Path) -> None:
    path = tmp_path / "scale.cap"
    with path.open("w", encoding="utf-8") as file:
        piled = [(20.0, OTHER * 50), *stream(2)]
        heard = hear(
            [*stream(3), *piled, (0.1, OSError(5, "gone"))],
            stream(2),
            capture=CaptureWriter(file, zero_s=100.0),
        )
    rows = list(decoded_rows(path, "status-comma"))
    assert [row["mass"] for row in rows] == heard.weights
    marks = [each.is_lost for each in read_capture(path) if isinstance(each, Mark)]
    assert marks == [False, True, False, True, False]


def test_that_frames_before_the_language_is_known_say_nothing_about_the_line() -> None:
    line = ScriptedLine([stream(20)])
    heard = read(line, "auto")
    quality = heard.reader.log.quality()
    assert quality.bad == 0
    assert 0 < quality.frames <= 20
    assert heard.reader.language == "status-comma"
