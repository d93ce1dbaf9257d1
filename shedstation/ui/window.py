"""Hold the pages, the head, the message line and the keys: the station's one window."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Final, cast

from PySide6.QtCore import QEvent, QObject, Qt, QTimer, Slot
from PySide6.QtGui import QCloseEvent, QKeyEvent, QKeySequence, QShortcut
from PySide6.QtWidgets import (
    QApplication,
    QFrame,
    QLabel,
    QLineEdit,
    QPushButton,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from shedstation.domain.box import Box
from shedstation.domain.day import sum_boxes
from shedstation.domain.errors import Refused, WorldFault
from shedstation.domain.farm import Setup
from shedstation.domain.message import Message
from shedstation.domain.reading import ScaleEvent
from shedstation.presenters.bench import BenchScreen as Shown
from shedstation.presenters.bench import Head, bench_screen
from shedstation.station.actions import Action
from shedstation.ui.bench_screen import BenchScreen
from shedstation.ui.bridge import FeedBridge
from shedstation.ui.desk import Desk
from shedstation.ui.forms import load_form, retranslate
from shedstation.ui.hub import Moment, Screen
from shedstation.ui.prompt import PromptPanel, Then, lead_of
from shedstation.words import LANGUAGES, Words

PAGES: Final = ("bench", "loads", "culls", "labels", "boxes", "day", "scale", "setup")
_PAINT_MS: Final = 66
_TICK_MS: Final = 200
_PRINT_MS: Final = 250
_FAILED_PRINT_MS: Final = 5000
_PRACTICE: Final = {
    "box": "Ctrl+B", "fruit": "Ctrl+F", "little": "Ctrl+D", "out": "Ctrl+O", "lift": "Ctrl+L",
    "tare": "Ctrl+T", "zero": "Ctrl+Z", "hand": "Ctrl+H", "plug": "Ctrl+U",
}  # fmt: skip


@dataclass(frozen=True)
class WindowForm:
    """Widgets of the window around the pages."""

    root: QWidget
    head: QFrame
    head_cultivar: QLabel
    head_block: QLabel
    head_load: QLabel
    head_picked: QLabel
    head_pack: QLabel
    head_window: QLabel
    head_grade: QLabel
    head_person: QLabel
    head_strip: QLabel
    head_state: QLabel
    message: QLabel
    pages: QStackedWidget
    practice: QFrame
    nav: QFrame


class StationWindow(QWidget):
    """The station's window."""

    def __init__(
        self, desk: Desk, make_pages: Mapping[str, Callable[["StationWindow"], Screen]]
    ) -> None:
        """Build the window on a desk.

        Args:
            desk: What it works with.
            make_pages: Makes the pages that are not needed for the first picture, when first shown.
        """
        super().__init__()
        self.desk = desk
        self._make_pages = make_pages
        self._screens: dict[str, Screen] = {}
        self._boxes: tuple[Box, ...] = ()
        self._culled = 0
        self._counted: str | None = None
        setup = desk.station.setup
        self.words = Words("en" if setup is None else setup.language)
        self.form = load_form("window", WindowForm)
        self._prompt = PromptPanel(self, self.tell)
        self._lay_out()
        self.bridge = FeedBridge(self)
        self.bridge.arrived.connect(self.hear)
        desk.line.listen(self.bridge.deliver)
        self._make_keys()
        self.retranslate()
        self._count()
        self.go_to("bench" if setup is not None else "setup")
        self._start_timers()

    def _lay_out(self) -> None:
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(self.form.root)
        root_layout = cast("QVBoxLayout", self.form.root.layout())
        root_layout.insertWidget(2, self._prompt)
        self.form.practice.setVisible(self.desk.practice is not None)
        self.form.message.hide()
        QApplication.instance().installEventFilter(self)  # type: ignore[union-attr]  # there is one
        self.resize(1366, 800)

    def _make_keys(self) -> None:
        for number, name in enumerate((*PAGES, "language"), start=1):
            button = self._button(f"nav_{name}")
            turn = self._next_language if name == "language" else _GoTo(self, name)
            button.clicked.connect(turn)
            QShortcut(QKeySequence(f"F{number}"), self).activated.connect(turn)
        practice = self.desk.practice
        if practice is None:
            return
        calls = {
            "box": practice.put_box, "fruit": practice.add_fruit, "little": practice.add_little,
            "out": practice.take_fruit, "lift": practice.lift_off, "tare": practice.press_tare,
            "zero": practice.press_zero, "hand": practice.shake, "plug": self._plug,
        }  # fmt: skip
        for name, call in calls.items():
            self._button(f"practice_{name}").clicked.connect(call)
            QShortcut(QKeySequence(_PRACTICE[name]), self).activated.connect(call)

    def _button(self, name: str) -> QPushButton:
        return cast("QPushButton", self.form.root.findChild(QPushButton, name))

    def _start_timers(self) -> None:
        self._paint = QTimer(self, interval=_PAINT_MS)
        self._paint.timeout.connect(self.paint_now)
        self._clock = QTimer(self, interval=_TICK_MS)
        self._clock.timeout.connect(self._tick)
        self._printing = QTimer(self, interval=_PRINT_MS)
        self._printing.timeout.connect(self.print_waiting)
        for timer in (self._paint, self._clock, self._printing):
            timer.start()

    @property
    def setup(self) -> Setup:
        """Get the farm's setup.

        Raises:
            Refused: before the station was set up.
        """
        setup = self.desk.station.setup
        if setup is None:
            raise Refused("not_set_up")
        return setup

    @property
    def bench(self) -> str:
        """Get the bench this window stands at."""
        return self.setup.benches[0].name

    @property
    def day(self) -> date | None:
        """Get the open day."""
        return self.desk.station.day

    def moment(self) -> Moment:
        """Give second and bench for an action made now."""
        return Moment(at_s=self.desk.now_s(), bench=self.bench)

    def do(self, action: Action) -> bool:
        """Carry out an action, say why if it is refused, show what changed."""
        try:
            outcome = self.desk.station.carry_out(action)
        except WorldFault as fault:
            self.tell(fault.message)
            return False
        self.tell(None if outcome.refusal is None else outcome.refusal.message)
        self._count()
        self._refresh_page()
        self.paint_now()
        return outcome.refusal is None

    def tell(self, message: Message | None) -> None:
        """Say a sentence below the head, or nothing."""
        label = self.form.message
        label.setText("" if message is None else self.words.say(message))
        label.setVisible(message is not None)

    def ask_lead(self, title: Message, then: Then) -> None:
        """Ask for a reason and the lead's PIN, if one is set."""
        by = lead_of(self.setup, self._person())
        self._prompt.ask(self.words.say(title), then, by, self.setup.lead_pin_hash)

    def ask_reason(self, title: Message, then: Then) -> None:
        """Ask for a reason only."""
        self._prompt.ask(self.words.say(title), then, self._person(), None)

    def _person(self) -> str | None:
        return self.desk.station.view(self.bench).person

    def go_to(self, name: str) -> None:
        """Turn to a page; without a setup there is only the setup's."""
        name = name if self.desk.station.setup is not None else "setup"
        screen = self._screen(name)
        self.form.pages.setCurrentWidget(screen.root)
        for page in PAGES:
            self._button(f"nav_{page}").setChecked(page == name)
        self.form.head_strip.setVisible(name != "bench")
        self.tell(None)
        self._refresh_page()
        self.paint_now()
        if name == "bench":
            self.setFocus()
        else:
            screen.root.setFocus()
            screen.root.focusNextChild()

    def _screen(self, name: str) -> Screen:
        if name not in self._screens:
            made = BenchScreen(self) if name == "bench" else self._make_pages[name](self)
            self._screens[name] = made
            self.form.pages.addWidget(made.root)
            made.retranslate()
        return self._screens[name]

    def _page(self) -> str:
        current = self.form.pages.currentWidget()
        return next((name for name, each in self._screens.items() if each.root is current), "setup")

    def _refresh_page(self) -> None:
        self._screens[self._page()].refresh()

    def set_language(self, language: str) -> None:
        """Speak another language from now on."""
        self.words = Words(language)
        self.retranslate()
        self._refresh_page()
        self.paint_now()

    @Slot()
    def _next_language(self) -> None:
        names = list(LANGUAGES)
        self.set_language(names[(names.index(self.words.language) + 1) % len(names)])
        self._button("nav_language").setChecked(False)

    def retranslate(self) -> None:
        """Say everything anew."""
        self.setWindowTitle(self.words.text("ui.title"))
        retranslate(self.form.root, self.words)
        self._prompt.retranslate(self.words)
        for screen in self._screens.values():
            screen.retranslate()

    def setup_changed(self) -> None:
        """Take up a setup that was just saved."""
        self.set_language(self.setup.language)
        self.tell(Message("ui.setup_saved"))
        self._count()
        setup = self.setup.benches[0]
        if setup.port:
            try:
                self.desk.line.connect(setup.port, setup.scale, setup.baud)
            except WorldFault as fault:
                self.tell(fault.message)
        self.go_to("day" if self.day is None else "bench")

    @Slot(object)
    def hear(self, event: ScaleEvent) -> None:
        """Pass on what the scale sent; the screen follows at its own pace."""
        if self.desk.station.setup is None:
            return
        try:
            self.desk.station.hear(self.bench, event)
        except WorldFault as fault:
            self.tell(fault.message)

    @Slot()
    def _tick(self) -> None:
        if self.desk.station.setup is not None:
            self.desk.station.tick(self.desk.now_s())

    @Slot()
    def print_waiting(self) -> None:
        """Print the next waiting label; after a failure, wait a little and say so."""
        if self.desk.station.setup is None:
            return
        try:
            printed = self.desk.station.print_next(self.desk.now_s())
        except WorldFault as fault:
            self.tell(fault.message)
            self._printing.setInterval(_FAILED_PRINT_MS)
            return
        self._printing.setInterval(_PRINT_MS)
        failed = self.desk.station.last_failure if printed else None
        if failed is not None:
            self.tell(Message("ui.label_later", {"serial": failed.serial, "why": failed.why or ""}))

    def _count(self) -> None:
        """Count the day's boxes and culls anew."""
        day = self.day
        ledger = self.desk.station.ledger
        self._boxes = () if day is None else ledger.boxes_on(day)
        culls = () if day is None else ledger.culls_on(day)
        self._culled = sum(cull.count or 0 for cull in culls)

    @Slot()
    def paint_now(self) -> None:
        """Show the bench as it is now."""
        if self.desk.station.setup is None:
            self.form.head_cultivar.setText(self.words.text("ui.new_station"))
            return
        view = self.desk.station.view(self.bench)
        closed = None if view.last_box is None else view.last_box.serial
        if closed != self._counted:
            self._counted = closed
            self._count()
        today = sum_boxes(box for box in self._boxes if not box.voided)
        shown = bench_screen(view, self.setup, self.words, today, self._culled)
        self._show_head(shown.head, shown)
        page = self._screens.get(self._page())
        if isinstance(page, BenchScreen):
            page.show_screen(shown, self._boxes)
        elif self._page() == "scale":
            page.show_view(view, shown.head.state)  # type: ignore[union-attr]  # the scale's page

    def _show_head(self, head: Head, shown: Shown) -> None:
        form = self.form
        strip = form.head_strip.fontMetrics().elidedText(
            f"{shown.number} {shown.unit}  {shown.sign} {shown.sentence}",
            Qt.TextElideMode.ElideRight,
            max(form.head_strip.width() - 4, 100),
        )
        form.head_strip.setToolTip(shown.sentence)
        texts = (
            (form.head_cultivar, head.cultivar), (form.head_block, head.block),
            (form.head_load, head.load), (form.head_picked, head.picked),
            (form.head_pack, head.pack), (form.head_window, head.window),
            (form.head_grade, head.grade), (form.head_person, head.person),
            (form.head_strip, strip), (form.head_state, f"{self.bench}, {head.state}"),
        )  # fmt: skip
        for label, text in texts:
            if label.text() != text:
                label.setText(text)

    @Slot()
    def _plug(self) -> None:
        practice = self.desk.practice
        if practice is not None:
            practice.plug(out=practice.is_plugged)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802  # Qt's name
        """Give the bench its keys, unless something is being typed into a field."""
        del watched
        kinds = (QEvent.Type.KeyPress, QEvent.Type.KeyRelease)
        if event.type() not in kinds or self._page() != "bench" or not self.isActiveWindow():
            return False
        if isinstance(QApplication.focusWidget(), QLineEdit):
            return False
        bench = self._screens["bench"]
        if not isinstance(bench, BenchScreen) or not isinstance(event, QKeyEvent):
            return False
        pressed = event.type() == QEvent.Type.KeyPress
        return bench.key_pressed(event) if pressed else bench.key_released(event)

    def closeEvent(self, event: QCloseEvent) -> None:  # noqa: N802  # Qt's name
        """Stop reading, back up, and leave; a backup that fails is said and does not hold."""
        for timer in (self._paint, self._clock, self._printing):
            timer.stop()
        QApplication.instance().removeEventFilter(self)  # type: ignore[union-attr]  # there is one
        self.desk.line.stop()
        if self.desk.station.setup is not None and self.setup.backup_folder:
            try:
                self.desk.records.back_up()
            except WorldFault as fault:
                self.tell(fault.message)
        event.accept()


class _GoTo:
    """Turns to a page; a key's own plain call, made in the GUI thread."""

    def __init__(self, window: StationWindow, name: str) -> None:
        self._window = window
        self._name = name

    def __call__(self) -> None:
        self._window.go_to(self._name)
