"""Open and close the day, see its sums, write its record, back it up."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from PySide6.QtCore import QObject, Slot
from PySide6.QtWidgets import (
    QComboBox,
    QLabel,
    QLineEdit,
    QProgressBar,
    QPushButton,
    QTableView,
    QWidget,
)

from shedstation.domain.backup_due import is_overdue
from shedstation.domain.day import by_block, by_cultivar, by_lot, sum_boxes
from shedstation.domain.errors import WorldFault
from shedstation.domain.message import Message
from shedstation.presenters.fill import fill_picture
from shedstation.presenters.tables import boxes_table, lots_table, refused_table, sums_table
from shedstation.station.actions import CloseDay, OpenDay
from shedstation.ui.desk import last_safe
from shedstation.ui.fill_chart import FillChart
from shedstation.ui.forms import load_form, retranslate
from shedstation.ui.hub import Hub
from shedstation.ui.table_model import RowsModel, fit
from shedstation.ui.tasks import Task

EXPORT_FILES = 11
"""Files in every record: JSON, PDF, workbook and eight tables; some days have more."""


@dataclass(frozen=True)
class DayForm:
    """Widgets of the day screen."""

    root: QWidget
    day_title: QLabel
    day_total: QLabel
    lots: QTableView
    day_cultivars: QTableView
    day_blocks: QTableView
    day_list: QTableView
    refused: QTableView
    fill_title: QLabel
    fill_said: QLabel
    fill_control: QLabel
    fill: FillChart
    to_fill: QPushButton
    open_day: QPushButton
    close_day: QPushButton
    audit: QPushButton
    left_open: QLabel
    which_day: QComboBox
    export_to: QLineEdit
    export_record: QPushButton
    progress: QProgressBar
    stop: QPushButton
    export_said: QLabel
    backup_state: QLabel
    back_up: QPushButton


class DayScreen(QObject):
    """The day's page."""

    def __init__(self, hub: Hub) -> None:
        """Load the form."""
        super().__init__()
        self._hub = hub
        self.form = load_form("day", DayForm, FillChart)
        self.root = self.form.root
        self._task: Task | None = None
        views = (self.form.lots, self.form.day_cultivars, self.form.day_blocks,
                 self.form.day_list, self.form.refused)  # fmt: skip
        self._models = tuple(RowsModel() for _ in views)
        for view, model in zip(views, self._models, strict=True):
            fit(view, model)
        form = self.form
        form.progress.setRange(0, EXPORT_FILES)
        form.open_day.clicked.connect(self.open_day)
        form.close_day.clicked.connect(self.close_day)
        form.audit.clicked.connect(self.audit)
        form.which_day.currentIndexChanged.connect(self._show_day)
        form.export_record.clicked.connect(self.export)
        form.stop.clicked.connect(self.stop)
        form.back_up.clicked.connect(self.back_up)
        form.to_fill.clicked.connect(self.to_fill)
        form.stop.setEnabled(False)
        for widget in (form.progress, form.export_said, form.fill_title, form.fill):
            widget.hide()

    def retranslate(self) -> None:
        """Say everything anew."""
        retranslate(self.root, self._hub.words)

    def refresh(self) -> None:
        """Show the days, the chosen one's sums, and the backup."""
        form, open_day = self.form, self._hub.day
        days = self._hub.desk.records.days()
        chosen = form.which_day.currentData()
        form.which_day.blockSignals(True)  # noqa: FBT003  # Qt's own
        form.which_day.clear()
        for day in days:
            form.which_day.addItem(self._hub.words.day(day), day.isoformat())
        form.which_day.setCurrentIndex(max(form.which_day.findData(chosen), 0))
        form.which_day.blockSignals(False)  # noqa: FBT003  # Qt's own
        form.open_day.setEnabled(open_day is None)
        form.close_day.setEnabled(open_day is not None)
        if not form.export_to.text():
            form.export_to.setText("~/shed-records")
        self._show_left_open(open_day)
        self._show_day()
        self._show_backup()

    def _show_left_open(self, open_day: date | None) -> None:
        late = open_day is not None and open_day < self._hub.desk.today()
        text = self._hub.words.text("store.day_left_open", day=open_day) if late else ""
        self.form.left_open.setText(text)
        self.form.left_open.setVisible(late)

    @Slot()
    def _show_day(self) -> None:
        form, words = self.form, self._hub.words
        chosen = form.which_day.currentData()
        if not chosen:
            form.day_title.setText(words.text("ui.no_day_yet"))
            return
        record = self._hub.desk.records.day_record(date.fromisoformat(chosen))
        form.day_title.setText(words.text("export.title", day=record.date))
        everything = sum_boxes(record.standing)
        total = "" if everything is None else words.text(
            "export.total", boxes=everything.boxes, net=everything.net
        )  # fmt: skip
        form.day_total.setText(total)
        setup = record.setup
        tables = (
            lots_table(record, by_lot(record), words),
            sums_table(by_cultivar(record), setup.cultivars, "cultivar", words),
            sums_table(by_block(record), setup.blocks, "block", words),
            boxes_table(record.boxes, setup, words),
            refused_table(record.refused, setup.farm.time_zone, words),
        )
        for model, table in zip(self._models, tables, strict=True):
            model.show_table(table)
        picture = fill_picture(tuple(record.standing), setup, words)
        form.fill.show_picture(picture)
        for widget in (form.fill_title, form.fill):
            widget.setVisible(bool(picture.marks))
        form.fill_said.setText(picture.said)
        form.fill_control.setText(picture.control)
        form.fill_control.setVisible(bool(picture.control))

    @Slot()
    def to_fill(self) -> None:
        """Turn to the page about filling."""
        self._hub.go_to("fill")

    def _show_backup(self) -> None:
        words, records = self._hub.words, self._hub.desk.records
        if self._hub.setup.backup_folder is None:
            self.form.backup_state.setText(words.text("ui.no_backup_folder"))
            self.form.back_up.setEnabled(False)
            return
        last = records.last_backup()
        state = (
            words.text("ui.no_backup") if last is None else words.text("ui.last_backup", day=last)
        )
        overdue = is_overdue(last_safe(self._hub.desk), self._hub.desk.today())
        warning = f" {words.text('ui.backup_overdue')}" if overdue else ""
        self.form.backup_state.setText(state + warning)
        self.form.back_up.setEnabled(True)

    @Slot()
    def open_day(self) -> None:
        """Open today."""
        if self._hub.do(OpenDay(**self._hub.moment(), date=self._hub.desk.today())):
            self._hub.go_to("loads")

    @Slot()
    def audit(self) -> None:
        """Turn to the page for audits."""
        self._hub.go_to("audit")

    @Slot()
    def close_day(self) -> None:
        """Close the day and back it up."""
        if not self._hub.do(CloseDay(**self._hub.moment())):
            return
        if self._hub.setup.backup_folder:
            self.back_up()
        else:
            self._hub.tell(Message("ui.closed_without_backup"))

    @Slot()
    def back_up(self) -> None:
        """Make a verified backup now."""
        try:
            file = self._hub.desk.records.back_up()
        except WorldFault as fault:
            self._hub.tell(fault.message)
        else:
            self._hub.tell(Message("ui.backed_up", {"file": file}))
        self._show_backup()

    @Slot()
    def export(self) -> None:
        """Write the chosen day's record, file by file."""
        form = self.form
        if not form.which_day.currentData():
            self._hub.tell(Message("ui.no_day_yet"))
            return
        day = date.fromisoformat(form.which_day.currentData())
        out = Path(form.export_to.text()).expanduser() / day.isoformat()
        form.progress.setValue(0)
        form.progress.show()
        form.stop.setEnabled(True)
        self._task = Task(_Export(self._hub, day, out), self)
        self._task.stepped.connect(self._stepped)
        self._task.finished.connect(self._exported)
        self._task.failed.connect(self._failed)
        self._task.broke.connect(self._broke)
        form.export_said.setText(str(out))
        form.export_said.show()
        self._task.start()

    @Slot()
    def stop(self) -> None:
        """Stop writing after the file that is under way."""
        if self._task is not None:
            self._task.stop()

    @Slot(object)
    def _stepped(self, path: Path) -> None:
        bar = self.form.progress
        bar.setMaximum(max(bar.maximum(), bar.value() + 1))
        bar.setValue(bar.value() + 1)
        self.form.export_said.setText(str(path))

    @Slot()
    def _exported(self) -> None:
        self.form.stop.setEnabled(False)
        count = self.form.progress.value()
        folder = str(Path(self.form.export_said.text()).parent)
        self.form.export_said.setText(
            self._hub.words.text("ui.exported", count=count, folder=folder)
        )

    @Slot(object)
    def _failed(self, fault: WorldFault) -> None:
        self.form.stop.setEnabled(False)
        self._hub.tell(fault.message)

    @Slot(object)
    def _broke(self, fault: Exception) -> None:
        self.form.stop.setEnabled(False)
        raise fault


@dataclass(frozen=True)
class _Export:
    """The steps of writing a day's record."""

    hub: Hub
    day: date
    out: Path

    def __call__(self) -> Iterator[object]:
        yield from self.hub.desk.records.export(self.day, self.out)
