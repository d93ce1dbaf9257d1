"""Lead a person through a check with test weights, one sentence and one key at a time."""

from dataclasses import dataclass
from typing import Final

from PySide6.QtCore import QObject, Slot
from PySide6.QtWidgets import (
    QComboBox,
    QLabel,
    QLineEdit,
    QPushButton,
    QStackedWidget,
    QTableView,
    QWidget,
)

from shedstation.domain.message import Message
from shedstation.domain.scale_check import ScaleCheck
from shedstation.presenters.bench import scale_state
from shedstation.presenters.scale_check import (
    CheckScreen,
    going_screen,
    rest_screen,
    typed_weights,
)
from shedstation.station.actions import EndScaleCheck, StartScaleCheck, TakeCheckPoint
from shedstation.station.bench_view import BenchView
from shedstation.ui import theme
from shedstation.ui.forms import load_form, retranslate
from shedstation.ui.hub import Hub
from shedstation.ui.pan_picture import PanPicture
from shedstation.ui.table_model import RowsModel, fit

REST_S: Final = 0.7
"""Presses within this time after a point are ignored: a bounce, or the same press twice."""

_DOUBTS: Final = frozenset({"check_other_load", "check_not_empty"})
_SENTENCE_PX: Final = ((60, 34), (90, 28), (10_000, 24))


@dataclass(frozen=True)
class ScaleCheckForm:
    """Widgets of the page for checking the scale."""

    root: QWidget
    parts: QStackedWidget
    weights: QLineEdit
    certificate: QLineEdit
    stage: QComboBox
    start: QPushButton
    check_sentence: QLabel
    reading: QLabel
    reading_state: QLabel
    pan: PanPicture
    progress: QLabel
    take: QPushButton
    end: QPushButton
    points: QTableView
    check_said: QLabel
    replaces_nothing: QLabel


class ScaleCheckScreen(QObject):
    """The page for checking the scale with test weights."""

    def __init__(self, hub: Hub) -> None:
        """Load the form."""
        super().__init__()
        self._hub = hub
        self.form = load_form("scale_check", ScaleCheckForm, PanPicture)
        self.root = self.form.root
        self._model = RowsModel()
        fit(self.form.points, self._model)
        self._shown: ScaleCheck | None = None
        self._last_take_s = -REST_S
        self._doubted: ScaleCheck | None = None
        self._waits = False
        self.form.start.clicked.connect(self.start)
        self.form.weights.returnPressed.connect(self.start)
        self.form.certificate.returnPressed.connect(self.start)
        self.form.take.clicked.connect(self.take)
        self.form.end.clicked.connect(self.end)

    def retranslate(self) -> None:
        """Say everything anew."""
        form, words = self.form, self._hub.words
        retranslate(self.root, words)
        form.replaces_nothing.setText(words.text("check.replaces_nothing"))
        chosen = max(form.stage.currentIndex(), 0)
        form.stage.clear()
        for name in ("in_service", "new"):
            form.stage.addItem(words.text(f"check.stage_{name}"), name)
        form.stage.setCurrentIndex(chosen)

    def refresh(self) -> None:
        """Show the check that is going on, or what the last one found."""
        hub, form = self._hub, self.form
        station, words = hub.desk.station, hub.words
        check = station.check_at(hub.bench)
        self._shown = check
        if check is not None:
            self._show(going_screen(check, words))
            form.parts.setCurrentIndex(1)
            return
        last = station.ledger.last_check(hub.bench)
        self._show(rest_screen(last, hub.setup.packs, words))
        form.parts.setCurrentIndex(0)
        if last is not None and not form.weights.text():
            form.weights.setText("; ".join(map(str, last.check.weights)))
            form.certificate.setText(last.check.certificate or "")

    def _show(self, shown: CheckScreen) -> None:
        form = self.form
        size = next(px for most, px in _SENTENCE_PX if len(shown.sentence) <= most)
        form.check_sentence.setStyleSheet(f"font-size: {size}px")
        form.check_sentence.setText(shown.sentence)
        form.progress.setText(shown.progress)
        front = self._hub.words.text("ui.pan_front")
        form.pan.show_place(shown.place, front)
        self._model.show_table(shown.table)
        form.check_said.setText(shown.said)
        form.check_said.setStyleSheet(f"color: {theme.TONES[shown.tone]}")

    def show_view(self, view: BenchView) -> None:
        """Show what the scale shows, and what became of a press that waited."""
        form, words = self.form, self._hub.words
        mass = None if view.reading is None else view.reading.mass
        form.reading.setText("–" if mass is None else str(mass))  # noqa: RUF001  # a dash
        form.reading_state.setText(
            words.text("ui.armed") if view.armed else scale_state(view, words)
        )
        if self._waits and view.armed is None:
            self._waits = False
            self._note_doubt()
        if self._hub.desk.station.check_at(self._hub.bench) is not self._shown:
            self.refresh()
            self._focus()

    def _focus(self) -> None:
        # Another press of the step key at the end must not begin the next check.
        (self.form.points if self._shown is None else self.form.take).setFocus()

    @Slot()
    def start(self) -> None:
        """Begin a check with the weights that were typed."""
        form, hub = self.form, self._hub
        try:
            weights = typed_weights(form.weights.text(), hub.setup.bench(hub.bench).unit)
        except ValueError as wrong:
            hub.tell(Message("ui.not_understood", {"found": str(wrong)}))
            return
        action = StartScaleCheck(
            **hub.moment(),
            weights=weights,
            certificate=form.certificate.text().strip() or None,
            is_new=form.stage.currentData() == "new",
        )
        if hub.do(action):
            self._focus()

    @Slot()
    def take(self) -> None:
        """Take what the scale shows as the next point."""
        hub = self._hub
        now_s, station = hub.desk.now_s(), hub.desk.station
        if now_s - self._last_take_s < REST_S:
            return
        self._last_take_s = now_s
        check = station.check_at(hub.bench)
        confirmed = check is not None and self._doubted is check
        if not hub.do(TakeCheckPoint(**hub.moment(), confirmed=confirmed)):
            self._note_doubt()
        self._waits = station.view(hub.bench).armed is not None
        self._focus()

    def _note_doubt(self) -> None:
        """Say why no point was taken; the next press confirms what was doubted."""
        station = self._hub.desk.station
        check, refusal = station.check_at(self._hub.bench), station.last_refusal
        if check is None or check is not self._shown or refusal is None:
            return
        self._hub.tell(refusal.message)
        self._doubted = check if refusal.code in _DOUBTS else None

    @Slot()
    def end(self) -> None:
        """Give the check up, with a reason."""
        self._hub.ask_reason(Message("ui.end_check_why"), self._end)

    def _end(self, reason: str, by: str | None) -> None:
        if self._hub.do(EndScaleCheck(**self._hub.moment(), reason=reason, by=by)):
            self._focus()
