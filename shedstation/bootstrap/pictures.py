"""Take pictures of every screen on the sample farm, with a practice scale that needs no waiting."""

import tempfile
from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Final

from PySide6.QtCore import QThreadPool
from PySide6.QtWidgets import QApplication, QComboBox, QLineEdit, QPushButton, QTabWidget

from shedstation.bootstrap.audit_pictures import DAYS_LATER, PictureClock, audit_pictures
from shedstation.bootstrap.desktop import make_desk
from shedstation.bootstrap.headless import pack_sample
from shedstation.bootstrap.sample_days import pack_fortnight
from shedstation.bootstrap.teaching import LEARNED, LiveTeacher
from shedstation.bootstrap.trim_pictures import trim_pictures
from shedstation.devices.capture import Chunk
from shedstation.devices.lines.finder import listen_to_capture
from shedstation.domain.line_report import Heard, LineReport, PortChoice, Quality
from shedstation.domain.line_state import LineState
from shedstation.domain.mass import Mass, Unit
from shedstation.domain.message import Message
from shedstation.domain.reading import BadFrame, LineLost, Mode, Reading, State
from shedstation.domain.scale_found import Looking, Step
from shedstation.station.actions import (
    AbandonBox,
    Choose,
    ChoosePerson,
    CloseBox,
    StartScaleCheck,
    TakeCheckPoint,
    TareBox,
)
from shedstation.ui.app import application, make_window
from shedstation.ui.desk import Desk, ScaleLine
from shedstation.ui.keys import PAGES
from shedstation.ui.window import StationWindow

_BAD_PLACE: Final = 9
"""The point of the check that the pictured scale fails."""


def take_screenshots(out: Path) -> int:
    """Write one PNG a screen and a state of the bench.

    Raises:
        WorldFault: if the sample day cannot be carried out.
    """
    out.mkdir(parents=True, exist_ok=True)
    app = application()
    with ExitStack() as stack:
        folder = Path(stack.enter_context(tempfile.TemporaryDirectory()))
        day = pack_sample(folder)
        calendar = PictureClock(day.dates[0])
        desk = make_desk(stack, folder, None, calendar)
        clock = _FastClock(desk.now_s)
        desk = replace(desk, now_s=clock.now_s)
        line = _StillLine(desk.line, desk.now_s())
        lesson = _Lesson()
        teacher = LiveTeacher(lesson, folder / LEARNED, lesson.now_s, lambda: None)
        desk = replace(desk, teacher=teacher)
        desk = replace(desk, today=lambda: day.dates[0], line=line)
        camera = _Camera(app, make_window(desk), out)
        _show_a_search(camera)
        _show_a_lesson(camera, desk, lesson)
        scale = _Hand(desk, camera.window, clock)
        _check_pictures(camera, desk, scale)
        calendar.days_later = DAYS_LATER
        audit_pictures(partial(camera.take, "audit"), camera.window, desk, scale)
        calendar.days_later = 0
        _bench_pictures(camera, desk, scale)
        for name in PAGES[1:]:
            scale.shows("25.35")
            camera.take(name, name)
            if name == "boxes":
                _show_a_correction(camera)
            if name == "scale":
                line.fail()
                camera.snap("scale_wrong_data")
        _trim_pictures(camera, desk, scale)
        camera.window.set_language("es")
        camera.snap("bench_trim_4_es")
        camera.take("loads", "loads_es")
        camera.take("finder", "finder_es")
        scale.shows("25.35")
        camera.take("bench", "bench_es")
        camera.take("culls", "culls_es")
        camera.window.close()
    _filling_pictures(app, out)
    _first_run(app, out)
    return 0


class _FastClock:
    """The clock of the pictures: it can be set ahead, so that nobody waits for fruit."""

    def __init__(self, now_s: Callable[[], float]) -> None:
        self._now_s = now_s
        self.ahead_s = 0.0

    def now_s(self) -> float:
        return self._now_s() + self.ahead_s

    def tick(self) -> float:
        """Go on by a fifth of a second and give the time."""
        self.ahead_s += 0.2
        return self.now_s()


class _StillLine:
    """A line that has sent what the pictures show; everything else is the real one's."""

    def __init__(self, line: ScaleLine, now_s: float) -> None:
        self.listen, self.connect, self.stop = line.listen, line.connect, line.stop
        self.capture, self.raw, self.resume = line.capture, line.raw, line.resume
        self.languages, self.bench = line.languages, line.bench
        self.port: str | None = None
        self.state, self.say = LineState.LIVE, Message("line.live", {"port": "COM3"})
        self._now_s = now_s

    def new_capture(self) -> Path:
        return Path("scale-20260618-061502.cap")

    def fail(self) -> None:
        self.state = LineState.WRONG_DATA
        self.say = Message("line.wrong_data", {"port": "COM3"})

    def report(self) -> LineReport:
        heard = tuple(self._heard(number) for number in range(40))
        quality = Quality(frames=1000, bad=2, stale=12, reconnects=1, period_s=0.1)
        return LineReport(state=self.state, say=self.say, quality=quality, heard=heard)

    def _heard(self, number: int) -> Heard:
        at_s = self._now_s + number / 10
        if number % 15 == 7:  # noqa: PLR2004  # one in a screenful
            raw = b"ST,GS,+   2\xf0.80lb\r\n"
            return Heard(at_s=at_s, raw=raw, read=(BadFrame(at_s, raw, "not in the language"),))
        count = (164, 280, 391, 502, 2535)[number * 5 // 40]
        read = Reading(at_s, Mass(count, 2, Unit.LB), State.STEADY, Mode.GROSS)
        raw = f"ST,GS,+{count / 100:>7.2f}lb\r\n".encode("ascii")
        return Heard(at_s=at_s, raw=raw, read=(read,))

    def find(self, port: str, *, ask: bool) -> Iterator[Step]:
        del port, ask
        yield Looking(Message("find.listening", {"baud": 2400, "bits": "8N1"}), 0.3)
        heard = [self._heard(number) for number in range(40)]
        chunks = [Chunk(each.at_s, each.raw) for each in heard]
        yield replace(listen_to_capture(chunks), baud=9600)

    def ports(self) -> Sequence[PortChoice]:
        values = {"kind": "1234:5678", "serial": "A1", "device": "COM3"}
        return (
            PortChoice("usb:1234:5678:A1", Message("line.port_usb", values)),
            PortChoice("COM4", Message("line.port_plain", {"device": "COM4"})),
        )


def _show_a_search(camera: "_Camera") -> None:
    """Let the station find the scale of the pictures."""
    camera.take("finder", "finder_1_before")
    listen = camera.window.findChild(QPushButton, "listen")
    if listen is not None:
        listen.click()
    QThreadPool.globalInstance().waitForDone()
    camera.snap("finder_2_found")


def _show_a_lesson(camera: "_Camera", desk: Desk, lesson: "_Lesson") -> None:
    """Teach the station the language of a scale that nobody has listed."""
    for count in lesson.counts:
        lesson.shown += 1
        desk.teacher.take(f"{count / 100:.2f}", Unit.LB)
    camera.take("teach", "teach")
    camera.window.set_language("es")
    camera.snap("teach_es")
    camera.window.set_language("en")


class _Lesson:
    """What an invented scale sends of each load, moving and then at rest."""

    counts = (164, 2679, 1052, 838)

    def __init__(self) -> None:
        self.shown = 0

    def now_s(self) -> float:
        return self.shown * 10.0

    def raw(self) -> Sequence[tuple[float, bytes]]:
        return [each for load in range(self.shown) for each in self._of_load(load)]

    def _of_load(self, load: int) -> Iterator[tuple[float, bytes]]:
        for frame in range(30):
            at_rest = frame >= 6  # noqa: PLR2004  # it moves at first
            shown = self.counts[load] * (6 if at_rest else frame) // 6
            text = f"W{shown:06d}{'=' if at_rest else '~'}L\r\n"
            yield load * 10 + frame / 10, text.encode("ascii")


def _show_a_correction(camera: "_Camera") -> None:
    """Fill the page for corrections in, as a lead would."""
    page = camera.window
    for name, text in (("first", "B1-000054"), ("last", "B1-000061")):
        field = page.findChild(QLineEdit, name)
        if field is not None:
            field.setText(text)
    load = page.findChild(QComboBox, "new_load")
    show = page.findChild(QPushButton, "preview")
    if load is not None and show is not None:
        load.setCurrentIndex(load.findData("L1"))
        show.click()
    camera.snap("boxes")


class _Camera:
    """Takes pictures of a window."""

    def __init__(self, app: QApplication, window: StationWindow, out: Path) -> None:
        self._app = app
        self.window = window
        self._out = out
        window.show()

    def take(self, page: str, name: str) -> None:
        self.window.go_to(page)
        self.snap(name)

    def snap(self, name: str) -> None:
        self.window.paint_now()
        for _ in range(4):
            self._app.processEvents()
        self.window.grab().save(str(self._out / f"{name}.png"))


def _bench_pictures(camera: _Camera, desk: Desk, scale: "_Hand") -> None:
    """Lead a box through its steps with readings made here, a picture at each."""
    camera.window.go_to("bench")
    desk.station.carry_out(ChoosePerson(**camera.window.moment(), person="ana"))
    desk.station.carry_out(
        Choose(**camera.window.moment(), load="L1", pack="Flat 25 lb", grade="1")
    )
    states: Sequence[tuple[str, Sequence[Callable[[], None]]]] = (
        ("bench_1_put_box_on", [partial(scale.shows, "0.00")]),
        ("bench_2_tare", [partial(scale.shows, "1.64")]),
        ("bench_3_under", [scale.tare, scale.fills]),
        ("bench_4_over", [partial(scale.shows, "26.97")]),
        ("bench_5_on_weight", [partial(scale.shows, each) for each in ("25.35", "26.75")]),
        ("bench_6_line_lost", [scale.unplug]),
        ("bench_7_changed", [partial(scale.shows, "24.10")]),
        ("bench_8_closed", [partial(scale.shows, "26.75"), scale.close]),
    )
    for name, acts in states:
        for act in acts:
            act()
        camera.snap(name)
    scale.shows("0.00")
    scale.shows("3.91")
    camera.snap("bench_9_unusual_box")
    scale.shows("0.00")
    scale.shows("1.64")
    scale.tare()
    scale.fills()
    _show_a_question(camera, desk, scale)


def _show_a_question(camera: _Camera, desk: Desk, scale: "_Hand") -> None:
    """Close a box with two fruit that went in at once, and leave it open after all."""
    scale.shows("26.75")
    scale.close(asks=True)
    for language in ("es", "en"):
        camera.window.set_language(language)
        camera.snap(f"bench_10_how_many_{language}")
    desk.station.forget_count(camera.window.bench)


def _trim_pictures(camera: _Camera, desk: Desk, scale: "_Hand") -> None:
    """Show the trim tray on a box of its own."""
    camera.window.go_to("bench")
    scale.abandons()
    trim_pictures(desk.station, camera.window.moment, scale.rests_at, scale.tare, camera.snap)
    camera.take("loads", "loads")
    camera.window.go_to("bench")


def _check_pictures(camera: _Camera, desk: Desk, scale: "_Hand") -> None:
    """Check the scale with test weights: before, under way, with a place that fails, and rightly."""
    camera.take("scale_check", "scale_check_1_before")
    for off in (3, 0):
        start = StartScaleCheck(
            **camera.window.moment(),
            weights=(Mass(10, 0, Unit.LB), Mass(25, 0, Unit.LB)),
            certificate="set 4",
            by="noor",
        )
        desk.station.carry_out(start)
        _lay_weights_on(camera, desk, scale, off)
        camera.take("scale_check", f"scale_check_3_{'failed' if off else 'passed'}")


def _lay_weights_on(camera: _Camera, desk: Desk, scale: "_Hand", off: int) -> None:
    """Lay on what the check asks for; one place of the pan is off by so many divisions."""
    taken = 0
    while (check := desk.station.check_at(camera.window.bench)) is not None:
        task = check.next_task
        assert task is not None  # noqa: S101  # a check that is going on has one
        shown = task.load(Unit.LB).in_unit(Unit.LB, 2).count + off * (taken == _BAD_PLACE)
        scale.shows("3.33")
        scale.shows(f"{shown / 100:.2f}")
        if off and taken in (1, _BAD_PLACE + 1):
            camera.snap(f"scale_check_2_point_{taken + 1:02d}")
        desk.station.carry_out(TakeCheckPoint(**camera.window.moment()))
        taken += 1


class _Hand:
    """Makes readings as a scale would send them."""

    fruit = "118 96 131 104 88 142 109 121 97 126 113 214 135 92 117 128 101 139 95 105"
    """Invented weights in hundredths of a pound, one of two fruit at once; with the box 25.35 lb."""

    def __init__(self, desk: Desk, window: StationWindow, clock: _FastClock) -> None:
        self._desk = desk
        self._window = window
        self._clock = clock

    def fills(self) -> None:
        """Lay the fruit into the tared box, one after the other."""
        load = 164
        for weight in self.fruit.split():
            load += int(weight)
            self._moves_to(Mass(load, 2, Unit.LB))

    def shows(self, pounds: str) -> None:
        whole, _, part = pounds.partition(".")
        self._moves_to(Mass(int(whole + part), 2, Unit.LB))

    def rests_at(self, mass: Mass) -> None:
        """Let the scale show a mass for longer than a hand rests on a box."""
        self._moves_to(mass)
        for _ in range(16):
            self._clock.ahead_s += 0.1
            self._window.pulse.hear(Reading(self._desk.now_s(), mass, State.STEADY, Mode.GROSS))

    def abandons(self) -> None:
        self._desk.station.carry_out(AbandonBox(**self._window.moment(), reason="picture"))

    def _moves_to(self, mass: Mass) -> None:
        for state in (State.MOVING, *[State.STEADY] * 4):
            self._clock.ahead_s += 0.1
            self._window.pulse.hear(Reading(self._desk.now_s(), mass, state, Mode.GROSS))

    def tare(self) -> None:
        self._desk.station.carry_out(TareBox(**self._window.moment()))

    def close(self, *, asks: bool = False) -> None:
        self._desk.station.carry_out(CloseBox(**self._window.moment(), asks=asks))

    def unplug(self) -> None:
        self._window.pulse.hear(LineLost(self._desk.now_s(), "unplugged"))


def _filling_pictures(app: QApplication, out: Path) -> None:
    """Take the page about filling after a fortnight's packing, its pictures one after the other."""
    with ExitStack() as stack:
        folder = Path(stack.enter_context(tempfile.TemporaryDirectory()))
        pack_sample(folder)
        desk = make_desk(stack, folder, None)
        clock = _FastClock(desk.now_s)
        desk = replace(desk, now_s=clock.now_s)
        pack_fortnight(desk.station, clock.tick)
        camera = _Camera(app, make_window(desk), out)
        scale = _Hand(desk, camera.window, clock)
        camera.window.go_to("fill")
        for language in ("en", "es"):
            camera.window.set_language(language)
            tabs = camera.window.findChild(QTabWidget, "fill_tabs")
            for number, name in enumerate(("given", "fills", "culls"), start=1):
                if tabs is not None:
                    tabs.setCurrentIndex(number - 1)
                scale.shows("0.00")
                camera.snap(f"fill_{number}_{name}{'_es' if language == 'es' else ''}")
        camera.window.close()


def _first_run(app: QApplication, out: Path) -> None:
    """Take each step of setting a new farm up."""
    with ExitStack() as stack:
        folder = Path(stack.enter_context(tempfile.TemporaryDirectory()))
        desk = make_desk(stack, folder, None)
        camera = _Camera(app, make_window(desk), out)
        onward = camera.window.findChild(QPushButton, "next")
        for number in range(1, 7):
            camera.snap(f"first_run_{number}")
            if onward is not None:
                onward.click()
        camera.window.close()
