"""The page of the scale by keyboard, in every state of the line and in both languages."""

from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack
from dataclasses import dataclass, field, replace
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLabel, QPushButton, QWidget
from pytestqt.qtbot import QtBot

from shedstation.bootstrap.desktop import make_desk
from shedstation.bootstrap.headless import pack_sample
from shedstation.devices.lines.faults import sentence
from shedstation.domain.bench_sequence import Step
from shedstation.domain.errors import WorldFault
from shedstation.domain.farm import Bench
from shedstation.domain.line_report import Heard, LineReport, PortChoice
from shedstation.domain.line_state import LineChanged, LineNotice, LineState
from shedstation.domain.mass import parse_mass
from shedstation.domain.message import Message
from shedstation.domain.reading import Mode, Reading, ScaleEvent, State
from shedstation.station.actions import Choose, TareBox
from shedstation.ui.app import application, make_window
from shedstation.ui.desk import Desk
from shedstation.ui.scale_screen import ScaleScreen
from shedstation.ui.window import StationWindow

Key = Qt.Key
RAW = b"ST,GS,+  25.42lb\r\n"


@dataclass
class StandIn:
    """A line that is in whatever state a test says."""

    folder: Path
    state: LineState = LineState.CLOSED
    asked: list[tuple[str, str, int, str, bool]] = field(default_factory=list)
    capturing: Path | None = None
    heard: tuple[Heard, ...] = ()
    port: str | None = None
    bench: Bench | None = None
    exists: Sequence[PortChoice] = (
        PortChoice("usb:1234:5678:A1", Message("line.port_plain", {"device": "first"})),
        PortChoice("usb-at:1234:5678:1-1.2", Message("line.port_plain", {"device": "second"})),
    )

    def listen(self, deliver: Callable[[ScaleEvent], None]) -> None:
        del deliver

    def connect(self, bench: Bench, *, just_chosen: bool = False) -> None:
        port = bench.port or ""
        self.bench = bench
        self.asked.append((port, bench.scale, bench.baud, bench.bits, just_chosen))
        if "://" in port:
            raise WorldFault(Message("scale.bad_port", {"port": port}))
        self.port = port

    def stop(self) -> None:
        self.port = None

    def report(self) -> LineReport:
        capture = None if self.capturing is None else str(self.capturing)
        say = sentence(self.state, "/dev/ttyUSB0", "Inappropriate ioctl for device")
        return LineReport(state=self.state, say=say, heard=self.heard, capture=capture)

    def raw(self) -> Sequence[tuple[float, bytes]]:
        return ()

    def new_capture(self) -> Path:
        return self.folder / "scale-20260618-061502.cap"

    def capture(self, path: Path | None) -> Path | None:
        self.capturing = None if path is None else path.with_stem(f"{path.stem}-2")
        return self.capturing

    def ports(self) -> Sequence[PortChoice]:
        return self.exists

    def languages(self) -> Sequence[str]:
        return ("auto", "status-comma")


@dataclass
class At:
    """The window at the page of the scale, and the line it shows."""

    window: StationWindow
    line: StandIn
    desk: Desk

    @property
    def page(self) -> ScaleScreen:
        page = self.window._screens["scale"]
        assert isinstance(page, ScaleScreen)
        return page

    @property
    def said(self) -> str:
        return self.window.form.message.text()

    def press(self, *keys: Key) -> None:
        for key in keys:
            QTest.keyClick(QApplication.focusWidget() or self.window, key)
            QApplication.processEvents()

    def tab_to(self, name: str) -> QWidget:
        for _ in range(40):
            focus = QApplication.focusWidget()
            if focus is not None and focus.objectName() == name:
                return focus
            self.press(Key.Key_Tab)
        raise AssertionError(name)

    def shows(self, state: LineState) -> None:
        self.line.state = state
        self.window.paint_now()


@pytest.fixture(scope="module")
def packed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("packed")
    pack_sample(folder)
    return folder


@pytest.fixture
def at(packed: Path, qtbot: QtBot, tmp_path: Path) -> Iterator[At]:
    application()
    with ExitStack() as stack:
        desk = make_desk(stack, packed, None)
        day = desk.station.day
        line = StandIn(tmp_path)
        desk = replace(desk, today=lambda: day, line=line)  # type: ignore[arg-type, return-value]  # open
        window = make_window(desk)
        qtbot.addWidget(window)
        window.show()
        QTest.qWaitForWindowActive(window)
        made = At(window, line, desk)
        made.press(Key.Key_F7)
        yield made
        window.close()


def test_that_a_port_is_chosen_by_what_it_is_and_connected_without_a_mouse(at: At) -> None:
    at.tab_to("port")
    at.press(Key.Key_Down)
    assert at.page.form.port.currentText() == "second"
    at.tab_to("bits")
    at.press(Key.Key_Down, Key.Key_Down)
    at.tab_to("connect_it")
    at.press(Key.Key_Space)
    assert at.line.asked == [("usb-at:1234:5678:1-1.2", "status-comma", 9600, "7E1", True)]
    reason = QApplication.focusWidget()
    assert reason is not None
    QTest.keyClicks(reason, "new adapter")
    at.press(Key.Key_Return)
    bench = at.desk.station.setup.benches[0]  # type: ignore[union-attr]  # set up
    assert (bench.port, bench.bits) == ("usb-at:1234:5678:1-1.2", "7E1")


def test_that_a_plain_name_can_be_typed(at: At) -> None:
    box = at.page.form.port
    at.tab_to("port")
    QTest.keyClick(box, Key.Key_A, Qt.KeyboardModifier.ControlModifier)
    QTest.keyClicks(box, "/dev/ttyS7")
    at.page.form.connect_it.click()
    assert at.line.asked[-1][0] == "/dev/ttyS7"


def test_that_a_name_that_is_not_opened_is_told(at: At) -> None:
    at.page.form.port.setEditText("http://example.com")
    at.page.form.connect_it.click()
    assert "http://example.com is not a port" in at.said


def test_that_the_list_of_ports_follows_what_is_plugged_in(at: At) -> None:
    at.page.form.port.setCurrentIndex(1)
    third = PortChoice("COM9", Message("line.port_plain", {"device": "COM9"}))
    at.line.exists = (third, *at.line.exists[1:])
    at.shows(LineState.GONE)
    box = at.page.form.port
    assert [box.itemText(row) for row in range(box.count())] == ["COM9", "second"]
    assert box.currentText() == "second"


@pytest.mark.parametrize("language", ["en", "es"])
@pytest.mark.parametrize("size", [(1366, 768), (1920, 1080)])
def test_that_no_state_clips_a_word(at: At, language: str, size: tuple[int, int]) -> None:
    at.window.set_language(language)
    at.window.resize(*size)
    at.line.heard = (Heard(at_s=at.desk.now_s(), raw=RAW, read=(reading(at),)),)
    for state in LineState:
        at.shows(state)
        QApplication.processEvents()
        for label in at.page.root.findChildren(QLabel):
            needs = label.heightForWidth(label.width()) if label.wordWrap() else 0
            assert label.height() >= needs, (state, label.objectName())
            assert label.width() >= (0 if label.wordWrap() else label.sizeHint().width())
    for button in at.page.root.findChildren(QPushButton):
        assert button.width() >= button.minimumSizeHint().width(), button.objectName()
    area = at.window.form.pages.currentWidget()
    assert area is not None
    assert at.page.root.height() <= area.height(), "nothing needs to be scrolled to"


def reading(at: At) -> Reading:
    return Reading(at.desk.now_s(), parse_mass("25.42 lb"), State.STEADY)


def test_that_the_sentence_of_a_state_is_on_the_page_and_at_the_bench(at: At) -> None:
    at.shows(LineState.TAKEN)
    assert "Another program has /dev/ttyUSB0 open" in at.page.form.scale_say.text()
    say = Message("line.taken", {"port": "COM3"})
    at.window.pulse.hear(LineChanged(at.desk.now_s(), LineState.TAKEN, say))
    at.window.paint_now()
    assert "F7" in at.window.form.head_strip.text()


def test_that_what_a_line_has_to_tell_is_told_on_any_page(at: At) -> None:
    at.press(Key.Key_F3)
    say = Message("line.capture_stopped", {"file": "scale.cap", "why": "No space left on device"})
    at.window.pulse.hear(LineNotice(at.desk.now_s(), say))
    assert "no longer caught in scale.cap" in at.said
    at.window.pulse.hear(
        LineChanged(
            at.desk.now_s(), LineState.OUR_FAULT, Message("line.our_fault", {"why": "r.txt"})
        )
    )
    assert "r.txt" in at.said


def test_that_rows_can_be_held_still_while_the_weight_goes_on(at: At) -> None:
    model = at.page._heard
    at.line.heard = (Heard(at_s=1.0, raw=b"first", read=()),)
    at.shows(LineState.LIVE)
    at.tab_to("hold")
    at.press(Key.Key_Space)
    at.line.heard = (Heard(at_s=2.0, raw=b"second", read=()),)
    at.window.pulse.hear(reading(at))
    at.window.paint_now()
    assert model._table.rows[0][1] == "first"
    assert at.page.form.scale_reading.text() == "25.42 lb"
    at.press(Key.Key_Space)
    at.window.paint_now()
    assert model._table.rows[0][1] == "second"


def test_that_a_capture_takes_a_free_name_and_says_so(at: At) -> None:
    at.line.state = LineState.LIVE
    assert at.page.form.capture_to.text().endswith("scale-20260618-061502.cap")
    at.tab_to("capture")
    at.press(Key.Key_Space)
    assert "scale-20260618-061502.cap is there already" in at.said
    assert at.page.form.capture_to.text().endswith("scale-20260618-061502-2.cap")
    at.window.paint_now()
    assert at.page.form.capture.isChecked()
    at.press(Key.Key_Space)
    assert at.said.startswith("Caught in")
    assert not at.page.form.capture.isChecked()


def test_that_the_button_comes_up_again_when_a_capture_ends_by_itself(at: At) -> None:
    at.page.form.capture.click()
    assert at.page.form.capture.isChecked()
    at.line.capturing = None
    at.window.paint_now()
    assert not at.page.form.capture.isChecked()


@pytest.mark.parametrize(("name", "page"), [("find", "finder"), ("check_weights", "scale_check")])
def test_that_what_else_can_be_done_about_a_scale_is_one_button_away(
    at: At, name: str, page: str
) -> None:
    at.tab_to(name)
    at.press(Key.Key_Space)
    assert at.window._page() == page


def test_that_looking_at_the_line_never_stops_an_open_box(at: At) -> None:
    station, window = at.desk.station, at.window
    station.carry_out(Choose(**window.moment(), load="L1", pack="Flat 25 lb", grade="1"))
    for pounds in ("0.00", "1.64"):
        weigh(at, pounds)
    station.carry_out(TareBox(**window.moment()))
    weigh(at, "21.64")
    at.press(Key.Key_F1, Key.Key_F7)
    for state in (LineState.LISTENING, LineState.LIVE):
        window.pulse.hear(LineChanged(at.desk.now_s(), state, Message(f"line.{state.value}")))
        at.shows(state)
    view = station.view(window.bench)
    assert (view.step, str(view.net)) == (Step.FILLING, "20.00 lb")
    assert at.page.form.scale_reading.text() == "21.64 lb"
    assert "Add 5.00 lb" in window.form.head_strip.text()


def weigh(at: At, pounds: str) -> None:
    for state in (State.MOVING, State.STEADY):
        mass = parse_mass(f"{pounds} lb")
        at.window.pulse.hear(Reading(at.desk.now_s(), mass, state, Mode.GROSS))
