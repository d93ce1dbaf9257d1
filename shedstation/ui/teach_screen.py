"""Teach a scale's language by example: put a load on, type what its display shows, again."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path

from PySide6.QtCore import QObject, Slot
from PySide6.QtWidgets import (
    QLabel,
    QLineEdit,
    QPlainTextEdit,
    QPushButton,
    QTableView,
    QWidget,
)

from shedstation.domain.errors import WorldFault
from shedstation.domain.message import Message
from shedstation.presenters.teach import teach_screen, tried_sentence
from shedstation.station.bench_view import BenchView
from shedstation.ui.forms import load_form, retranslate
from shedstation.ui.hub import Hub
from shedstation.ui.keep_scale import keep_scale
from shedstation.ui.table_model import RowsModel, fit
from shedstation.ui.tasks import Task


@dataclass(frozen=True)
class TeachForm:
    """Widgets of the page that is taught at."""

    root: QWidget
    sentence: QLabel
    shown: QLineEdit
    take_load: QPushButton
    take_back: QPushButton
    start_again: QPushButton
    loads: QTableView
    learned: QPlainTextEdit
    tried: QLabel
    language_name: QLineEdit
    save_language: QPushButton
    language_file: QLineEdit
    adopt: QPushButton


class TeachScreen(QObject):
    """The page that is taught at."""

    def __init__(self, hub: Hub) -> None:
        """Load the form."""
        super().__init__()
        self._hub = hub
        self.form = load_form("teach", TeachForm)
        self.root = self.form.root
        self._model = RowsModel()
        self._task: Task | None = None
        fit(self.form.loads, self._model)
        form = self.form
        form.shown.returnPressed.connect(self.take)
        form.take_load.clicked.connect(self.take)
        form.take_back.clicked.connect(self.take_back)
        form.start_again.clicked.connect(self.start_again)
        form.language_name.returnPressed.connect(self.save)
        form.save_language.clicked.connect(self.save)
        form.language_file.returnPressed.connect(self.adopt)
        form.adopt.clicked.connect(self.adopt)

    def retranslate(self) -> None:
        """Say everything anew."""
        retranslate(self.root, self._hub.words)
        self.refresh()

    def refresh(self) -> None:
        """Show the lesson so far."""
        form, lesson = self.form, self._hub.desk.teacher.so_far()
        shown = teach_screen(lesson, self._hub.words)
        form.sentence.setText(shown.sentence)
        form.learned.setPlainText(shown.learned)
        form.tried.setText(shown.tried)
        self._model.show_table(shown.loads)
        is_busy = self._task is not None
        form.take_load.setEnabled(not is_busy)
        form.take_back.setEnabled(bool(lesson.loads) and not is_busy)
        form.start_again.setEnabled(bool(lesson.loads) and not is_busy)
        form.save_language.setEnabled(shown.can_be_saved and not is_busy)

    def show_view(self, view: BenchView) -> None:
        """Try what was learned on what comes now."""
        del view
        if self._task is None:
            self.form.tried.setText(tried_sentence(self._hub.desk.teacher.tried(), self._hub.words))

    @Slot()
    def take(self) -> None:
        """Take the load that stands on the scale."""
        unit = self._hub.setup.bench(self._hub.bench).unit
        self._work(partial(self._hub.desk.teacher.take, self.form.shown.text(), unit))

    @Slot()
    def take_back(self) -> None:
        """Forget the last load."""
        self._work(self._hub.desk.teacher.take_back)

    @Slot()
    def start_again(self) -> None:
        """Forget every load."""
        self._hub.desk.teacher.start_again()
        self.refresh()

    def _work(self, do: Callable[[], None]) -> None:
        """Learn off the GUI thread: it may take a moment."""
        if self._task is not None:
            return
        self._hub.tell(None)
        self._task = Task(_Once(do), self)
        self._task.finished.connect(self._learned)
        self._task.failed.connect(self._failed)
        self._task.broke.connect(self._broke)
        self._task.start()
        for button in (self.form.take_load, self.form.take_back, self.form.start_again):
            button.setEnabled(False)
        self.form.save_language.setEnabled(False)

    @Slot()
    def _learned(self) -> None:
        self._task = None
        self.form.shown.clear()
        self.form.shown.setFocus()
        self.refresh()

    @Slot(object)
    def _failed(self, fault: WorldFault) -> None:
        self._task = None
        self.refresh()
        self._hub.tell(fault.message)

    @Slot(object)
    def _broke(self, fault: Exception) -> None:
        self._task = None
        self.refresh()
        raise fault

    @Slot()
    def save(self) -> None:
        """Save the language under its name and read the scale with it."""
        if self._task is not None:
            return
        hub, name = self._hub, self.form.language_name.text().strip()
        try:
            file = hub.desk.teacher.save(name)
        except WorldFault as fault:
            hub.tell(fault.message)
            return
        self._use(name)
        hub.tell(Message("teach.saved", {"name": name, "file": file}))

    @Slot()
    def adopt(self) -> None:
        """Take over a language that a neighbour sent."""
        hub = self._hub
        try:
            name = hub.desk.teacher.adopt(Path(self.form.language_file.text().strip()))
        except WorldFault as fault:
            hub.tell(fault.message)
            return
        hub.tell(Message("teach.adopted", {"name": name}))

    def _use(self, name: str) -> None:
        """Read the port that is read now in the new language, and offer to keep that."""
        hub = self._hub
        port, bench = hub.desk.line.port, hub.desk.line.bench
        if port is None or bench is None or hub.desk.station.view(hub.bench).step.has_open_box:
            return
        wanted = replace(bench, port=port, scale=name)
        hub.desk.line.connect(wanted, just_chosen=True)
        keep_scale(hub, wanted, port)


@dataclass(frozen=True)
class _Once:
    """Does one thing as a task of one step."""

    do: Callable[[], None]

    def __call__(self) -> Iterator[object]:
        self.do()
        yield None
