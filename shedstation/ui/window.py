"""Hold the pages, the head, the message line and the keys: the station's one window."""

from collections.abc import Callable, Mapping
from datetime import date
from typing import Final, cast

from PySide6.QtCore import QEvent, QObject, Qt, Slot
from PySide6.QtGui import QCloseEvent, QResizeEvent
from PySide6.QtWidgets import (
    QFrame,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from shedstation.domain.errors import Refused, WorldFault
from shedstation.domain.farm import Setup
from shedstation.domain.message import Message
from shedstation.presenters.bench import bench_screen
from shedstation.station.actions import Action
from shedstation.ui import theme
from shedstation.ui.bench_screen import BenchScreen
from shedstation.ui.count_panel import CountPanel
from shedstation.ui.day_count import DayCount
from shedstation.ui.desk import Desk
from shedstation.ui.forms import load_form, retranslate
from shedstation.ui.head import WindowForm, show_head
from shedstation.ui.hub import Moment, Screen
from shedstation.ui.keys import INNER_PAGES, PAGES, KeyFilter, connect_keys
from shedstation.ui.prompt import PromptPanel, Then, lead_of
from shedstation.ui.pulse import Pulse
from shedstation.ui.waiting import waiting
from shedstation.words import LANGUAGES, Words

_GOOD_NEWS: Final = frozenset({
    "ui.setup_saved", "ui.backed_up", "ui.capturing", "ui.capturing_beside", "ui.captured",
    "ui.printing_labels", "ui.port_kept", "teach.saved", "teach.adopted",
    "fill.target_used", "fill.figures_kept", "fill.packers_shown", "fill.packers_hidden",
})  # fmt: skip
"""Messages that something went well."""

_SHOW_READINGS: Final = ("scale", "scale_check", "teach", "audit")


class _Scrolled(QScrollArea):
    """A page as large as there is room, scrolled where a small screen would lose its lower edge."""

    def __init__(self, page: QWidget) -> None:
        """Take the page in."""
        super().__init__()
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setWidget(page)
        self._page = page

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802  # Qt's name
        """Fill the room; Qt's own way asks for the wished height of wrapped words, not the least."""
        super().resizeEvent(event)
        self._fit()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802  # Qt's name
        """Make room for what a page shows only now and then, rather than squeeze its fields."""
        done = super().eventFilter(watched, event)
        if watched is self.widget() and event.type() == QEvent.Type.LayoutRequest:
            self._fit()
        return done

    def _fit(self) -> None:
        self._page.resize(self.viewport().size().expandedTo(self._page.minimumSizeHint()))


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
        self._frames: dict[str, QWidget] = {}
        self._told_no_backup = False
        self._today = DayCount(desk.station)
        self._advice: Message | None = None
        setup = desk.station.setup
        self.words = Words("en" if setup is None else setup.language)
        self.form = load_form("window", WindowForm)
        self._prompt = PromptPanel(self, self.tell)
        self.counting = CountPanel(self, self)
        self._lay_out()
        connect_keys(self)
        self.retranslate()
        self.go_to("bench" if setup is not None else "setup")
        self.pulse = Pulse(self)
        self.tell(waiting(desk))

    def _lay_out(self) -> None:
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(self.form.root)
        root_layout = cast("QVBoxLayout", self.form.root.layout())
        root_layout.insertWidget(2, self._prompt)
        root_layout.insertWidget(2, self.counting)
        self.form.practice.setVisible(self.desk.practice is not None)
        self.form.message.hide()
        self._keys = KeyFilter(self)
        self.resize(1366, 800)

    def button(self, name: str) -> QPushButton:
        """Find a button around the pages."""
        return cast("QPushButton", self.form.root.findChild(QPushButton, name))

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
        self._advice = outcome.advice
        self.tell(outcome.advice if outcome.refusal is None else outcome.refusal.message)
        self._today.count()
        self._refresh_page()
        self.paint_now()
        return outcome.refusal is None

    def tell(self, message: Message | None) -> None:
        """Say a sentence below the head, or nothing; what went well does not look like trouble."""
        label = self.form.message
        colour = theme.GREEN if message is not None and message.name in _GOOD_NEWS else theme.RUST
        label.setStyleSheet(f"background: {colour}")
        label.setText("" if message is None else self.words.say(message))
        label.setVisible(message is not None)

    def ask_lead(self, title: Message, then: Then) -> None:
        """Ask for a reason and the lead's PIN, if one is set."""
        by = lead_of(self.setup, self._person())
        reason, kept = self.words.text("ui.reason"), self.setup.lead_pin_hash
        self._prompt.ask(self.words.say(title), reason, then, by=by, pin_kept=kept)

    def ask_reason(self, title: Message, then: Then) -> None:
        """Ask for a reason only."""
        reason = self.words.text("ui.reason")
        self._prompt.ask(self.words.say(title), reason, then, by=self._person())

    def ask_value(self, title: Message, field: Message, then: Then) -> None:
        """Ask for a weight, a count or the like."""
        self._prompt.ask(self.words.say(title), self.words.say(field), then, by=self._person())

    def _person(self) -> str | None:
        return self.desk.station.view(self.bench).person

    def go_to(self, name: str) -> None:
        """Turn to a page; without a setup there is only the setup's."""
        name = name if self.desk.station.setup is not None else "setup"
        self._prompt.drop()
        screen = self._screen(name)
        self.form.pages.setCurrentWidget(self._frames[name])
        outer = INNER_PAGES[name][0] if name in INNER_PAGES else name
        for page in PAGES:
            self.button(f"nav_{page}").setChecked(page == outer)
        self.form.head_strip.setVisible(name != "bench")
        self.tell(self._advice)
        self._advice = None
        self._refresh_page()
        self.paint_now()
        if name == "bench":
            self.setFocus()
        else:
            screen.root.setFocus()
            screen.root.focusNextChild()
        if name == "day" and self.day is None:
            # Who turns to this page before the day is open wants to open it.
            self.button("open_day").setFocus()

    def _screen(self, name: str) -> Screen:
        if name not in self._screens:
            made = BenchScreen(self) if name == "bench" else self._make_pages[name](self)
            self._screens[name] = made
            self._frames[name] = made.root if name == "bench" else _Scrolled(made.root)
            self.form.pages.addWidget(self._frames[name])
            made.retranslate()
        return self._screens[name]

    def _page(self) -> str:
        current = self.form.pages.currentWidget()
        return next((name for name, each in self._frames.items() if each is current), "setup")

    def _refresh_page(self) -> None:
        self._screens[self._page()].refresh()

    def printed(self) -> None:
        """Show that a label went out, where labels are listed."""
        if self._page() == "labels":
            self._refresh_page()

    def set_language(self, language: str) -> None:
        """Speak another language from now on."""
        self.words = Words(language)
        self.retranslate()
        self._refresh_page()
        self.paint_now()

    @Slot()
    def next_language(self) -> None:
        """Speak the next language."""
        names = list(LANGUAGES)
        self.set_language(names[(names.index(self.words.language) + 1) % len(names)])
        self.button("nav_language").setChecked(False)

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
        self._today.count()
        self.go_to("day" if self.day is None else "bench")
        self.tell(Message("ui.setup_saved"))
        setup = self.setup.benches[0]
        if setup.port:
            try:
                self.desk.line.connect(setup)
            except WorldFault as fault:
                self.tell(fault.message)

    @Slot()
    def paint_now(self) -> None:
        """Show the bench as it is now."""
        if self.desk.station.setup is None:
            self.form.head_cultivar.setText(self.words.text("ui.new_station"))
            return
        view = self.desk.station.view(self.bench)
        self._today.follow(view.last_box)
        today = self._today
        shown = bench_screen(view, self.setup, self.words, today.sum, today.culled)
        show_head(self.form, shown, self.bench)
        page = self._screens.get(self._page())
        at_bench = isinstance(page, BenchScreen) and not self._prompt.isVisible()
        self.counting.show_question(view.count_asked if at_bench else None)
        if isinstance(page, BenchScreen):
            page.show_screen(shown, today.boxes)
        elif self._page() in _SHOW_READINGS:
            page.show_view(view)  # type: ignore[union-attr]  # they all can

    def bench_page(self) -> BenchScreen | None:
        """Get the bench's page if it is the one shown."""
        shown = self._screens["bench"] if self._page() == "bench" else None
        return shown if isinstance(shown, BenchScreen) else None

    def is_answering(self, widget: QWidget) -> bool:
        """Tell whether a widget belongs to the question that is asked."""
        return self._prompt.isAncestorOf(widget)

    def closeEvent(self, event: QCloseEvent) -> None:  # noqa: N802  # Qt's name
        """Back up, stop reading and leave; a backup that fails holds once, so that it is read."""
        if not self._backed_up() and not self._told_no_backup:
            self._told_no_backup = True
            event.ignore()
            return
        self.pulse.stop()
        self._keys.stop()
        self.desk.line.stop()
        event.accept()

    def _backed_up(self) -> bool:
        """Back up if a folder is chosen; tell whether nothing went wrong."""
        if self.desk.station.setup is None or not self.setup.backup_folder:
            return True
        try:
            self.desk.records.back_up()
        except WorldFault as fault:
            self.tell(Message("ui.leave_without_backup", {"why": fault.message}))
            return False
        return True
