"""Move a range of boxes to another load, pack or grade in one step, before and after in sight."""

from dataclasses import dataclass

from PySide6.QtCore import QObject, Slot
from PySide6.QtWidgets import QComboBox, QLabel, QLineEdit, QPushButton, QTableView, QWidget

from shedstation.domain.box import Box
from shedstation.domain.message import Message
from shedstation.presenters.corrections import Wanted, before_and_after, in_range
from shedstation.station.actions import Correct
from shedstation.ui.forms import load_form, retranslate
from shedstation.ui.hub import Hub
from shedstation.ui.loads_screen import coded, fill
from shedstation.ui.table_model import RowsModel, fit


@dataclass(frozen=True)
class BoxesForm:
    """Widgets of the boxes screen."""

    root: QWidget
    first: QLineEdit
    last: QLineEdit
    new_load: QComboBox
    new_pack: QComboBox
    new_grade: QComboBox
    preview: QPushButton
    change: QTableView
    boxes_said: QLabel
    move: QPushButton


class BoxesScreen(QObject):
    """The page for correcting boxes."""

    def __init__(self, hub: Hub) -> None:
        """Load the form."""
        super().__init__()
        self._hub = hub
        self.form = load_form("boxes", BoxesForm)
        self.root = self.form.root
        self._model = RowsModel()
        fit(self.form.change, self._model)
        self.form.preview.clicked.connect(self.preview)
        self.form.move.clicked.connect(self.move)
        self.form.last.returnPressed.connect(self.preview)
        for choice in (self.form.new_load, self.form.new_pack, self.form.new_grade):
            choice.currentIndexChanged.connect(self.preview)

    def retranslate(self) -> None:
        """Say everything anew."""
        retranslate(self.root, self._hub.words)

    def refresh(self) -> None:
        """Show what boxes can become, and the range as it is now."""
        setup, form = self._hub.setup, self.form
        same = ("", self._hub.words.text("ui.as_it_is"))
        loads = self._hub.desk.station.ledger.loads()
        fill(form.new_load, [same, *((each.load, each.load) for each in loads)])
        fill(form.new_pack, [same, *((pack.name, pack.name) for pack in setup.packs)])
        fill(form.new_grade, [same, *coded(setup.grades)])
        last = self._hub.desk.station.view(self._hub.bench).last_box
        if last is not None and not form.first.text():
            form.first.setText(last.serial)
            form.last.setText(last.serial)
        self.preview()

    def _chosen(self) -> tuple[tuple[Box, ...], Wanted]:
        form, ledger = self.form, self._hub.desk.station.ledger
        day = self._hub.day or self._hub.desk.today()
        boxes = in_range(ledger.boxes_on(day), form.first.text().strip(), form.last.text().strip())
        load = form.new_load.currentData()
        wanted = Wanted(
            load=ledger.load(load) if load else None,
            pack=form.new_pack.currentData() or None,
            grade=form.new_grade.currentData() or None,
        )
        return boxes, wanted

    @Slot()
    def preview(self) -> None:
        """Show each box before and after."""
        boxes, wanted = self._chosen()
        words = self._hub.words
        self._model.show_table(before_and_after(boxes, wanted, self._hub.setup, words))
        name = "ui.boxes_will_change" if wanted.changes else "ui.boxes_in_range"
        self.form.boxes_said.setText(words.text(name, count=len(boxes)))

    def forget_changes(self) -> None:
        """Set every choice back, so that the next range is not changed by mistake."""
        for choice in (self.form.new_load, self.form.new_pack, self.form.new_grade):
            choice.setCurrentIndex(0)
        self.preview()

    @Slot()
    def move(self) -> None:
        """Make the change by the lead's word."""
        boxes, wanted = self._chosen()
        if not boxes or not wanted.changes:
            self._hub.tell(Message("ui.nothing_to_change"))
            return
        serials = tuple(box.serial for box in boxes)
        title = Message("ui.boxes_will_change", {"count": len(boxes)})
        self._hub.ask_lead(title, _Move(self, self._hub, serials, wanted.changes))


@dataclass(frozen=True)
class _Move:
    """Makes the change once the reason is known."""

    screen: BoxesScreen
    hub: Hub
    serials: tuple[str, ...]
    changes: dict[str, str]

    def __call__(self, reason: str, by: str | None) -> None:
        done = self.hub.do(
            Correct(
                **self.hub.moment(),
                what="box",
                which=self.serials,
                set=self.changes,
                reason=reason,
                by=by,
            )
        )
        if done:
            self.screen.forget_changes()
            self.hub.tell(Message("ui.pull_old_labels", {"count": len(self.serials)}))
