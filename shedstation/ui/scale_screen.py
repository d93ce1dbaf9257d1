"""Show how the scale does, connect another, look at its bytes, and catch them in a file."""

from dataclasses import dataclass, replace
from pathlib import Path

from PySide6.QtCore import QObject, Slot
from PySide6.QtWidgets import (
    QComboBox,
    QLabel,
    QLineEdit,
    QPlainTextEdit,
    QPushButton,
    QWidget,
)

from shedstation.domain.errors import Refused, WorldFault
from shedstation.domain.farm import Bench
from shedstation.domain.message import Message
from shedstation.station.bench_view import BenchView
from shedstation.ui.forms import load_form, retranslate
from shedstation.ui.hub import Hub
from shedstation.ui.loads_screen import fill

_SPEEDS = ("1200", "2400", "4800", "9600", "19200", "38400", "57600", "115200")
_SHOWN_CHUNKS = 24


@dataclass(frozen=True)
class ScaleForm:
    """Widgets of the scale screen."""

    root: QWidget
    scale_state: QLabel
    scale_reading: QLabel
    scale_quality: QLabel
    port: QComboBox
    baud: QComboBox
    language: QComboBox
    connect_it: QPushButton
    use_practice: QPushButton
    check_weights: QPushButton
    raw: QPlainTextEdit
    capture_to: QLineEdit
    capture: QPushButton


class ScaleScreen(QObject):
    """The scale's page."""

    def __init__(self, hub: Hub) -> None:
        """Load the form."""
        super().__init__()
        self._hub = hub
        self.form = load_form("scale", ScaleForm)
        self.root = self.form.root
        self._is_filled = False
        form, desk = self.form, hub.desk
        form.port.addItems(list(desk.line.ports()))
        fill(form.baud, [(each, each) for each in _SPEEDS])
        fill(form.language, [(each, each) for each in desk.line.languages()])
        form.capture_to.setText("~/scale.cap")
        form.use_practice.setEnabled(desk.practice is not None)
        form.connect_it.clicked.connect(self.connect_it)
        form.use_practice.clicked.connect(self.use_practice)
        form.capture.toggled.connect(self.capture)
        form.check_weights.clicked.connect(self.check_weights)

    def retranslate(self) -> None:
        """Say everything anew."""
        retranslate(self.root, self._hub.words)

    def refresh(self) -> None:
        """Show what is connected."""
        if not self._is_filled:
            bench, form = self._hub.setup.bench(self._hub.bench), self.form
            form.port.setEditText(bench.port or form.port.currentText())
            form.baud.setCurrentIndex(max(form.baud.findData(str(bench.baud)), 0))
            form.language.setCurrentIndex(max(form.language.findData(bench.scale), 0))
            self._is_filled = True

    def show_view(self, view: BenchView, state: str) -> None:
        """Show the line's state, the last reading and the last bytes."""
        form, words = self.form, self._hub.words
        mass = None if view.reading is None else view.reading.mass
        form.scale_state.setText(state)
        form.scale_reading.setText("–" if mass is None else str(mass))  # noqa: RUF001  # a dash
        quality = words.text("ui.frames", readings=view.readings, bad=view.bad_frames)
        form.scale_quality.setText(quality)
        chunks = list(self._hub.desk.line.raw())[-_SHOWN_CHUNKS:]
        lines = [f"{at_s:10.2f} s  {_visible(data)}" for at_s, data in chunks]
        form.raw.setPlainText("\n".join(lines))
        bar = form.raw.verticalScrollBar()
        bar.setValue(bar.maximum())

    @Slot()
    def connect_it(self) -> None:
        """Read the named port from now on."""
        self._connect(self.form.port.currentText().strip())

    @Slot()
    def use_practice(self) -> None:
        """Read the practice scale."""
        practice = self._hub.desk.practice
        if practice is not None:
            self.form.port.setEditText(practice.address)
            self._connect(practice.address)

    def _connect(self, port: str) -> None:
        form = self.form
        if not port:
            self._hub.tell(Message("ui.no_port"))
            return
        try:
            self._hub.desk.line.connect(
                port, form.language.currentData(), int(form.baud.currentData())
            )
        except WorldFault as fault:
            self._hub.tell(fault.message)
            return
        self._keep(port)

    def _keep(self, port: str) -> None:
        """Offer to read this port at the next start too."""
        hub, form = self._hub, self.form
        practice, bench = hub.desk.practice, hub.setup.bench(hub.bench)
        wanted = replace(
            bench, port=port, scale=form.language.currentData(), baud=int(form.baud.currentData())
        )
        is_practice = practice is not None and port == practice.address
        if is_practice or wanted == bench or hub.desk.station.view(hub.bench).step.has_open_box:
            return
        benches = tuple(wanted if each == bench else each for each in hub.setup.benches)
        hub.ask_lead(Message("ui.keep_port", {"port": port}), _Keep(hub, benches))

    @Slot()
    def check_weights(self) -> None:
        """Turn to the check with test weights."""
        self._hub.go_to("scale_check")

    @Slot(bool)
    def capture(self, on: bool) -> None:  # noqa: FBT001  # Qt's signal
        """Catch the bytes in a file, or stop."""
        path = Path(self.form.capture_to.text()).expanduser()
        try:
            self._hub.desk.line.capture(path if on else None)
        except WorldFault as fault:
            self._hub.tell(fault.message)
            self.form.capture.setChecked(False)
            return
        self._hub.tell(Message("ui.capturing" if on else "ui.captured", {"file": str(path)}))


@dataclass(frozen=True)
class _Keep:
    """Keeps a port in the setup once the lead has given the word."""

    hub: Hub
    benches: tuple[Bench, ...]

    def __call__(self, reason: str, by: str | None) -> None:
        del reason
        desk = self.hub.desk
        try:
            setup = replace(self.hub.setup, benches=self.benches)
            desk.station.set_up(setup, at_s=desk.now_s(), by=by)
        except (Refused, WorldFault) as fault:
            self.hub.tell(fault.message)
        else:
            self.hub.tell(Message("ui.port_kept"))


def _visible(data: bytes) -> str:
    return "".join(chr(byte) if 32 <= byte < 127 else f"<{byte:02X}>" for byte in data)  # noqa: PLR2004  # ASCII
