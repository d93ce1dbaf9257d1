"""Search for a scale's language and settings, and take up what was found."""

from dataclasses import dataclass, replace
from functools import partial

from PySide6.QtCore import QObject, Slot
from PySide6.QtWidgets import QComboBox, QLabel, QProgressBar, QPushButton, QWidget

from shedstation.domain.errors import WorldFault
from shedstation.domain.farm import Bench, Sends
from shedstation.domain.message import Message
from shedstation.domain.scale_found import Found, Looking
from shedstation.presenters.scale_found import finding_screen, looking_sentence
from shedstation.ui.forms import load_form, retranslate
from shedstation.ui.hub import Hub
from shedstation.ui.keep_scale import keep_scale
from shedstation.ui.port_box import chosen_in, fill_ports, show_port
from shedstation.ui.tasks import Task


@dataclass(frozen=True)
class FinderForm:
    """Widgets of the page that searches."""

    root: QWidget
    port: QComboBox
    listen: QPushButton
    ask: QPushButton
    stop: QPushButton
    progress: QProgressBar
    sentence: QLabel
    found: QLabel
    reasons: QLabel
    use: QPushButton


class FinderScreen(QObject):
    """The page that searches for a scale."""

    def __init__(self, hub: Hub) -> None:
        """Load the form."""
        super().__init__()
        self._hub = hub
        self.form = load_form("finder", FinderForm)
        self.root = self.form.root
        self._task: Task | None = None
        self._last: Looking | None = None
        self._found: Found | None = None
        self._port = ""
        form = self.form
        form.progress.setRange(0, 100)
        form.listen.clicked.connect(self.listen)
        form.ask.clicked.connect(self.ask)
        form.stop.clicked.connect(self.stop)
        form.use.clicked.connect(self.use)

    def retranslate(self) -> None:
        """Say everything anew."""
        retranslate(self.root, self._hub.words)
        fill_ports(self.form.port, self._hub.desk.line.ports(), self._hub.words)
        self._show()

    def refresh(self) -> None:
        """Show the ports that exist."""
        desk, bench = self._hub.desk, self._hub.setup.bench(self._hub.bench)
        there = desk.line.ports()
        fill_ports(self.form.port, there, self._hub.words)
        first = there[0].identity if there else None
        known = desk.line.port or bench.port or first
        if known and self._task is None and self._found is None:
            show_port(self.form.port, known)
        self._show()

    @Slot()
    def listen(self) -> None:
        """Search by listening only."""
        self._search(ask=False)

    @Slot()
    def ask(self) -> None:
        """Search by listening, and by asking where nothing comes."""
        self._search(ask=True)

    def _search(self, *, ask: bool) -> None:
        hub, port = self._hub, chosen_in(self.form.port)
        if not port:
            hub.tell(Message("ui.no_port"))
            return
        if hub.desk.station.view(hub.bench).step.has_open_box:
            hub.tell(Message("ui.finish_box_first"))
            return
        # The port can be open only once.
        hub.desk.line.stop()
        self._found, self._last, self._port = None, None, port
        self._task = Task(partial(hub.desk.line.find, port, ask=ask), self)
        self._task.stepped.connect(self._stepped)
        self._task.finished.connect(self._finished)
        self._task.failed.connect(self._failed)
        self._task.broke.connect(self._broke)
        hub.tell(None)
        self._task.start()
        self._show()
        self.form.stop.setFocus()

    @Slot()
    def stop(self) -> None:
        """Stop searching."""
        if self._task is not None:
            self._task.stop()

    @Slot(object)
    def _stepped(self, step: object) -> None:
        if isinstance(step, Found):
            self._found = step
        elif isinstance(step, Looking):
            self._last = step
        self._show()

    @Slot()
    def _finished(self) -> None:
        self._task = None
        try:
            self._hub.desk.line.resume()
        except WorldFault as fault:
            self._hub.tell(fault.message)
        self._show()
        use = self.form.use if self.form.use.isEnabled() else self.form.listen
        use.setFocus()

    @Slot(object)
    def _failed(self, fault: WorldFault) -> None:
        self._finished()
        self._hub.tell(fault.message)

    @Slot(object)
    def _broke(self, fault: Exception) -> None:
        self._finished()
        raise fault

    def _show(self) -> None:
        form, words, is_going = self.form, self._hub.words, self._task is not None
        shown = finding_screen(self._found, words)
        form.sentence.setText(looking_sentence(self._last, words, is_going=is_going))
        form.progress.setValue(round(100 * self._last.done) if is_going and self._last else 0)
        form.progress.setVisible(is_going)
        form.stop.setEnabled(is_going)
        for button in (form.listen, form.ask):
            button.setEnabled(not is_going)
        form.found.setText(shown.title)
        form.reasons.setText(shown.reasons)
        form.use.setEnabled(shown.can_be_used and not is_going)

    @Slot()
    def use(self) -> None:
        """Read the scale with what was found, and offer to keep it; teach it if nobody knows it."""
        hub, wanted = self._hub, self._wanted()
        if wanted is None or wanted.port is None:
            return
        try:
            hub.desk.line.connect(wanted, just_chosen=True)
        except WorldFault as fault:
            hub.tell(fault.message)
            return
        if wanted.scale == "auto":
            hub.go_to("teach")
            return
        hub.go_to("scale")
        keep_scale(hub, wanted, self.form.port.currentText())

    def _wanted(self) -> Bench | None:
        """Give the bench as it would be with what was found."""
        found, hub = self._found, self._hub
        if found is None or not (found.language or found.is_text):
            return None
        bench = hub.setup.bench(hub.bench)
        return replace(
            bench,
            port=self._port,
            scale=found.language or "auto",
            baud=found.baud or bench.baud,
            bits=found.bits or bench.bits,
            sends=_sends(found, bench),
        )


def _sends(found: Found, bench: Bench) -> Sends:
    """Tell when a scale sends; one set to send each load at rest is heard as one with a key."""
    if not found.by_key:
        return Sends.STREAM
    return Sends.ON_KEY if bench.sends is Sends.STREAM else bench.sends
