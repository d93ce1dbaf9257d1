"""Show how the scale does, connect another, look at its bytes, and catch them in a file."""

from dataclasses import dataclass, replace
from pathlib import Path

from PySide6.QtCore import QObject, Slot
from PySide6.QtWidgets import (
    QComboBox,
    QLabel,
    QLineEdit,
    QPushButton,
    QTableView,
    QWidget,
)

from shedstation.domain.errors import WorldFault
from shedstation.domain.farm import LINE_BITS, LINE_SPEEDS, Bench, Sends
from shedstation.domain.line_state import LineState
from shedstation.domain.message import Message
from shedstation.presenters.rows import TextTable
from shedstation.presenters.scale import ScalePage, scale_page
from shedstation.station.bench_view import BenchView
from shedstation.ui import theme
from shedstation.ui.forms import load_form, retranslate
from shedstation.ui.hub import Hub
from shedstation.ui.keep_scale import keep_scale
from shedstation.ui.loads_screen import fill
from shedstation.ui.port_box import chosen_in, fill_ports, show_port
from shedstation.ui.table_model import RowsModel, fit


@dataclass(frozen=True)
class ScaleForm:
    """Widgets of the scale screen."""

    root: QWidget
    scale_state: QLabel
    scale_say: QLabel
    scale_reading: QLabel
    scale_age: QLabel
    scale_quality: QLabel
    port: QComboBox
    baud: QComboBox
    bits: QComboBox
    sends: QComboBox
    language: QComboBox
    connect_it: QPushButton
    use_practice: QPushButton
    find: QPushButton
    teach: QPushButton
    check_weights: QPushButton
    heard: QTableView
    hold: QPushButton
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
        self._read: Bench | None = None
        self._state: LineState | None = None
        self._heard = RowsModel()
        self._shown: TextTable | None = None
        form, desk = self.form, hub.desk
        fit(form.heard, self._heard)
        form.heard.horizontalHeader().setStretchLastSection(True)
        fill(form.baud, [(str(each), str(each)) for each in LINE_SPEEDS])
        form.capture_to.setText(str(desk.line.new_capture()))
        form.use_practice.setEnabled(desk.practice is not None)
        form.connect_it.clicked.connect(self.connect_it)
        form.use_practice.clicked.connect(self.use_practice)
        form.capture.clicked.connect(self.capture)
        form.find.clicked.connect(self.find)
        form.teach.clicked.connect(self.teach)
        form.check_weights.clicked.connect(self.check_weights)

    def retranslate(self) -> None:
        """Say everything anew."""
        words = self._hub.words
        retranslate(self.root, words)
        bits = [
            (each, words.text("ui.bits_auto") if each == "auto" else each) for each in LINE_BITS
        ]
        fill(self.form.bits, bits)
        fill(
            self.form.sends, [(each.value, words.text(f"ui.sends_{each.value}")) for each in Sends]
        )
        fill_ports(self.form.port, self._hub.desk.line.ports(), words)

    def refresh(self) -> None:
        """Show the ports that exist, and at first what the bench is set up with."""
        fill_ports(self.form.port, self._hub.desk.line.ports(), self._hub.words)
        chosen = self.form.language.currentData()
        fill(self.form.language, [(each, each) for each in self._hub.desk.line.languages()])
        self.form.language.setCurrentIndex(max(self.form.language.findData(chosen), 0))
        if self._read != self._hub.desk.line.bench:
            self._read = self._hub.desk.line.bench
            self._is_filled = False
        if not self._is_filled:
            bench = self._read or self._hub.setup.bench(self._hub.bench)
            self.show_settings(bench)
            self._is_filled = True

    def _first_port(self) -> str:
        return next((each.identity for each in self._hub.desk.line.ports()), "")

    def show_settings(self, bench: Bench) -> None:
        """Show a bench's port and settings, ready to be connected."""
        form = self.form
        show_port(form.port, self._hub.desk.line.port or bench.port or self._first_port())
        shown = (
            (form.baud, str(bench.baud)),
            (form.bits, bench.bits),
            (form.language, bench.scale),
            (form.sends, bench.sends.value),
        )
        for box, value in shown:
            box.setCurrentIndex(max(box.findData(value), 0))

    def show_view(self, view: BenchView) -> None:
        """Show the line's state, the last reading and the last bytes."""
        desk = self._hub.desk
        report = desk.line.report()
        self._show(scale_page(report, view, self._hub.words, desk.now_s(), desk.clock_time))
        if report.state is not self._state:
            self._state = report.state
            fill_ports(self.form.port, desk.line.ports(), self._hub.words)
        if report.capture is None and self.form.capture.isChecked():
            self._capture_ended()

    def _show(self, page: ScalePage) -> None:
        form = self.form
        form.scale_state.setText(page.title)
        form.scale_state.setStyleSheet(f"color: {theme.RUST if page.is_trouble else theme.GREEN}")
        form.scale_say.setText(page.sentence)
        form.scale_reading.setText(page.number)
        form.scale_age.setText(page.age)
        form.scale_quality.setText(page.quality)
        if not form.hold.isChecked() and page.heard != self._shown:
            self._shown = page.heard
            self._heard.show_table(page.heard)

    @Slot()
    def connect_it(self) -> None:
        """Read the named port from now on."""
        self._connect(chosen_in(self.form.port))

    @Slot()
    def use_practice(self) -> None:
        """Read the practice scale."""
        practice = self._hub.desk.practice
        if practice is not None:
            self.form.port.setEditText(practice.address)
            self._connect(practice.address)

    def _connect(self, port: str) -> None:
        if not port:
            self._hub.tell(Message("ui.no_port"))
            return
        wanted = self._wanted(port)
        try:
            self._hub.desk.line.connect(wanted, just_chosen=True)
        except WorldFault as fault:
            self._hub.tell(fault.message)
            return
        keep_scale(self._hub, wanted, self.form.port.currentText())

    def _wanted(self, port: str) -> Bench:
        form, bench = self.form, self._hub.setup.bench(self._hub.bench)
        return replace(
            bench,
            port=port,
            scale=form.language.currentData(),
            baud=int(form.baud.currentData()),
            bits=form.bits.currentData(),
            sends=Sends(form.sends.currentData()),
        )

    @Slot()
    def find(self) -> None:
        """Turn to the search for the scale's language and settings."""
        self._hub.go_to("finder")

    @Slot()
    def teach(self) -> None:
        """Turn to the page that is taught at."""
        self._hub.go_to("teach")

    @Slot()
    def check_weights(self) -> None:
        """Turn to the check with test weights."""
        self._hub.go_to("scale_check")

    @Slot(bool)
    def capture(self, on: bool) -> None:  # noqa: FBT001  # Qt's signal
        """Catch the bytes in a file, or stop."""
        path = Path(self.form.capture_to.text()).expanduser()
        try:
            made = self._hub.desk.line.capture(path if on else None)
        except WorldFault as fault:
            self._hub.tell(fault.message)
            self.form.capture.setChecked(False)
            return
        if made is None:
            self._hub.tell(Message("ui.captured", {"file": str(path)}))
            self._capture_ended()
            return
        self.form.capture_to.setText(str(made))
        name = "ui.capturing" if made == path else "ui.capturing_beside"
        self._hub.tell(Message(name, {"file": str(made), "other": str(path)}))

    def _capture_ended(self) -> None:
        """Let go of the button and propose another file."""
        self.form.capture.setChecked(False)
        self.form.capture_to.setText(str(self._hub.desk.line.new_capture()))
