"""Print labels in batches and again, answer for lost ones, and scan any label."""

from dataclasses import dataclass

from PySide6.QtCore import QObject, Slot
from PySide6.QtWidgets import (
    QComboBox,
    QLabel,
    QLineEdit,
    QListWidget,
    QPushButton,
    QTableView,
    QWidget,
)

from shedstation.domain.box import Box, JobState
from shedstation.domain.errors import WorldFault
from shedstation.domain.lot import parse_label_code
from shedstation.domain.message import Message
from shedstation.presenters.tables import boxes_table
from shedstation.presenters.times import clock_time
from shedstation.presenters.typed import typed_time
from shedstation.station.actions import LabelCameOut, PrintBatch, Reprint, VoidBox
from shedstation.ui.forms import load_form, retranslate
from shedstation.ui.hub import Hub
from shedstation.ui.loads_screen import fill
from shedstation.ui.table_model import RowsModel, fit


@dataclass(frozen=True)
class LabelsForm:
    """Widgets of the labels screen."""

    root: QWidget
    label_load: QComboBox
    label_from: QLineEdit
    label_to: QLineEdit
    tick_all: QPushButton
    boxes: QTableView
    print_ticked: QPushButton
    reprint: QPushButton
    scan: QLineEdit
    scan_said: QLabel
    void: QPushButton
    asked: QLabel
    came_out: QPushButton
    not_out: QPushButton
    waiting: QListWidget
    pulled: QListWidget


class LabelsScreen(QObject):
    """The labels' page."""

    def __init__(self, hub: Hub) -> None:
        """Load the form."""
        super().__init__()
        self._hub = hub
        self.form = load_form("labels", LabelsForm)
        self.root = self.form.root
        self._model = RowsModel(has_ticks=True)
        fit(self.form.boxes, self._model)
        form = self.form
        form.label_load.currentIndexChanged.connect(self._show_boxes)
        form.label_from.editingFinished.connect(self._show_boxes)
        form.label_to.editingFinished.connect(self._show_boxes)
        form.tick_all.clicked.connect(self._model.tick_all)
        form.print_ticked.clicked.connect(self.print_ticked)
        form.reprint.clicked.connect(self.reprint)
        form.scan.returnPressed.connect(self.scan)
        form.void.clicked.connect(self.void)
        form.came_out.clicked.connect(self.came_out)
        form.not_out.clicked.connect(self.not_out)

    def retranslate(self) -> None:
        """Say everything anew."""
        retranslate(self.root, self._hub.words)

    def refresh(self) -> None:
        """Show boxes, waiting labels and questions as they are now."""
        every = ("", self._hub.words.text("ui.all_loads"))
        loads = sorted({box.load for box in self._boxes()})
        fill(self.form.label_load, [every, *((load, load) for load in loads)])
        self._show_boxes()
        self._show_waiting()
        self._show_pulled()

    def _boxes(self) -> tuple[Box, ...]:
        day = self._hub.day or self._hub.desk.today()
        return self._hub.desk.station.ledger.boxes_on(day)

    @Slot()
    def _show_boxes(self) -> None:
        form, zone = self.form, self._hub.setup.farm.time_zone
        load, start, end = (
            form.label_load.currentData(),
            typed_time(form.label_from.text()),
            typed_time(form.label_to.text()),
        )
        shown = [
            box
            for box in self._boxes()
            if not box.voided
            and (not load or box.load == load)
            and start <= clock_time(box.at, zone) <= (end or "99:99")
        ]
        self._model.show_table(boxes_table(shown, self._hub.setup, self._hub.words))

    def _show_waiting(self) -> None:
        ledger, words, form = self._hub.desk.station.ledger, self._hub.words, self.form
        form.waiting.clear()
        for job in ledger.label_jobs(JobState.QUEUED, JobState.FAILED):
            if job.state is JobState.QUEUED or ledger.label_jobs_of(job.serial)[-1].job == job.job:
                name = f"ui.job_{job.state.value}"
                form.waiting.addItem(words.text(name, serial=job.serial, why=job.why or ""))
        asked = ledger.label_jobs(JobState.SENDING)
        question = (
            Message("store.did_label_come_out", {"serial": asked[0].serial}) if asked else None
        )
        form.asked.setText(
            words.text("ui.nothing_asked") if question is None else words.say(question)
        )
        form.asked.setProperty("serial", asked[0].serial if asked else "")
        form.came_out.setEnabled(bool(asked))
        form.not_out.setEnabled(bool(asked))

    def _show_pulled(self) -> None:
        self.form.pulled.clear()
        for box in self._boxes():
            for revision in range(1, box.revision):
                old = box.serial if revision == 1 else f"{box.serial}/{revision}"
                text = self._hub.words.text("ui.pull_off", old=old, load=box.load)
                self.form.pulled.addItem(text)

    @Slot()
    def print_ticked(self) -> None:
        """Print the ticked boxes' labels."""
        serials = self._model.ticked()
        if not serials:
            self._hub.tell(Message("ui.tick_first"))
            return
        if self._hub.do(PrintBatch(**self._hub.moment(), serials=serials)):
            self._model.untick_all()
            self._hub.tell(Message("ui.printing_labels", {"number": len(serials)}))

    @Slot()
    def reprint(self) -> None:
        """Print the marked box's label again, as a copy."""
        index = self.form.boxes.currentIndex()
        if not index.isValid():
            self._hub.tell(Message("ui.mark_box"))
            return
        serial = self._model.first_text(index.row())
        if self._hub.do(Reprint(**self._hub.moment(), serial=serial)):
            self._hub.tell(Message("ui.printing_labels", {"number": 1}))

    @Slot()
    def scan(self) -> None:
        """Say what the scanned label is."""
        try:
            said = self._hub.desk.records.trace_text(self.form.scan.text())
        except WorldFault as fault:
            said = fault.message
        self.form.scan_said.setText(self._hub.words.say(said))
        self.form.scan.selectAll()

    @Slot()
    def void(self) -> None:
        """Void the scanned box, or the marked one, by the lead's word."""
        index = self.form.boxes.currentIndex()
        marked = self._model.first_text(index.row()) if index.isValid() else ""
        text = self.form.scan.text().strip() or marked
        try:
            serial, _ = parse_label_code(text)
        except ValueError:
            self._hub.tell(Message("ui.mark_box"))
            return
        self._hub.ask_lead(Message("ui.void_which", {"serial": serial}), _Void(self._hub, serial))

    @Slot()
    def came_out(self) -> None:
        """Answer that the label came out."""
        self._answer(yes=True)

    @Slot()
    def not_out(self) -> None:
        """Answer that it did not; it is printed again."""
        self._answer(yes=False)

    def _answer(self, *, yes: bool) -> None:
        serial = str(self.form.asked.property("serial"))
        self._hub.do(LabelCameOut(**self._hub.moment(), serial=serial, yes=yes))


@dataclass(frozen=True)
class _Void:
    """Voids a box once the reason is known."""

    hub: Hub
    serial: str

    def __call__(self, reason: str, by: str | None) -> None:
        self.hub.do(VoidBox(**self.hub.moment(), serial=self.serial, reason=reason, by=by))
