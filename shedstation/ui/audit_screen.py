"""Lead a person through an audit: draw boxes, weigh them again one by one, see what it comes to."""

from typing import Final

from PySide6.QtCore import QObject, Slot

from shedstation.domain.audit import AuditSoFar
from shedstation.domain.audit_findings import OWN_CONTROL, ask
from shedstation.domain.lot import parse_label_code
from shedstation.domain.message import Message
from shedstation.presenters.audit import (
    AuditShown,
    going_screen,
    loss_said,
    rest_screen,
    single_said,
)
from shedstation.presenters.bench import scale_state
from shedstation.station.actions import EndAudit, ReplaceBox, Reweigh
from shedstation.station.bench_view import BenchView
from shedstation.ui import theme
from shedstation.ui.audit_choice import AuditChoice
from shedstation.ui.audit_form import AuditForm
from shedstation.ui.forms import load_form, retranslate
from shedstation.ui.hub import Hub
from shedstation.ui.table_model import RowsModel, fit

REST_S: Final = 0.7
"""Presses within this time after a box are ignored: a bounce, or the same press twice."""

_SENTENCE_PX: Final = ((60, 34), (90, 28), (10_000, 24))


class AuditScreen(QObject):
    """The page for audits, and for single boxes weighed again."""

    def __init__(self, hub: Hub) -> None:
        """Load the form."""
        super().__init__()
        self._hub = hub
        self.form = load_form("audit", AuditForm)
        self.root = self.form.root
        self._choice = AuditChoice(hub, self.form)
        self._figures, self._boxes = RowsModel(), RowsModel()
        fit(self.form.figures, self._figures)
        fit(self.form.audit_boxes, self._boxes)
        self._shown: AuditSoFar | None = None
        self._last_press_s = -REST_S
        self._doubted: str | None = None
        self._waits_for: str | None = None
        self._before, self._is_alone = 0, False
        self._connect()

    def _connect(self) -> None:
        form = self.form
        form.start_audit.clicked.connect(self.start)
        form.single.returnPressed.connect(self.weigh_single)
        form.weigh_single.clicked.connect(self.weigh_single)
        form.audit_box.returnPressed.connect(self.choose_box)
        form.weigh.clicked.connect(self.weigh)
        form.not_found.clicked.connect(self.replace)
        form.end_audit.clicked.connect(self.end)

    def retranslate(self) -> None:
        """Say everything anew."""
        retranslate(self.root, self._hub.words)
        self.form.own_control.setText(self._hub.words.text(OWN_CONTROL))
        self.form.single_said.setText(self._hub.words.text("ui.single_how"))

    def refresh(self) -> None:
        """Show the audit that is going on, or what the last one came to."""
        hub, form = self._hub, self.form
        ledger, going = hub.desk.station.ledger, hub.desk.station.audit_at(hub.bench)
        if going is not self._shown and going is not None and self._chosen() not in going.left:
            form.audit_box.setText(going.left[0])
        self._shown = going
        form.parts.setCurrentIndex(0 if going is None else 1)
        form.loss_said.setVisible(going is None)
        if going is None:
            self._choice.refresh()
            form.loss_said.setText(loss_said(ledger.reweighs(), hub.setup, hub.words))
            self._show(rest_screen(ledger.last_audit(hub.bench), hub.words))
            return
        key = going.audit.key
        boxes = {box.serial: box for box in ledger.boxes_on(key.packed_on)}
        self._show(going_screen(going, boxes, self._chosen(), hub.words))
        if self._chosen() in going.audit.picks:
            row = going.audit.picks.index(self._chosen())
            form.audit_boxes.scrollTo(self._boxes.index(row, 0))
        self._show_sentence()

    def _show(self, shown: AuditShown) -> None:
        form = self.form
        form.audit_said.setText(shown.said)
        form.audit_said.setStyleSheet(f"color: {theme.TONES[shown.tone]}")
        form.audit_tabs.setVisible(bool(shown.boxes.titles))
        is_new = not form.audit_tabs.isTabVisible(0) and shown.figures is not None
        form.audit_tabs.setTabVisible(0, shown.figures is not None)
        if is_new:
            form.audit_tabs.setCurrentIndex(0)
        if shown.figures is not None:
            self._figures.show_table(shown.figures)
        self._boxes.show_table(shown.boxes)
        form.audit_of.setText(shown.of)
        form.audit_progress.setText(shown.progress)

    def _chosen(self) -> str:
        """Give the serial in the field, or what stands there if it is none."""
        text = self.form.audit_box.text()
        try:
            return parse_label_code(text)[0]
        except ValueError:
            return text.strip()

    def _show_sentence(self) -> None:
        if self._shown is None:
            return
        hub, label = self._hub, self.form.audit_sentence
        was_zero = hub.desk.station.shows_whole(hub.bench)
        said = hub.words.say(ask(self._shown, self._chosen(), was_zero=was_zero))
        if said == label.text():
            return
        size = next(px for most, px in _SENTENCE_PX if len(said) <= most)
        label.setStyleSheet(f"font-size: {size}px")
        label.setText(said)

    def show_view(self, view: BenchView) -> None:
        """Show what the scale shows, and what became of a press that waited."""
        form, words = self.form, self._hub.words
        mass = None if view.reading is None else view.reading.mass
        form.reading.setText("–" if mass is None else str(mass))  # noqa: RUF001  # a dash
        armed = view.armed is not None
        form.reading_state.setText(words.text("ui.armed") if armed else scale_state(view, words))
        if self._waits_for is not None and not armed:
            self._pressed(self._waits_for)
        if self._hub.desk.station.audit_at(self._hub.bench) is not self._shown:
            self.refresh()
            self._focus()
        self._show_sentence()

    def _focus(self) -> None:
        # Another press of the step key at the end must not begin the next audit.
        (self.form.figures if self._shown is None else self.form.weigh).setFocus()

    @Slot()
    def start(self) -> None:
        """Draw the sample of what was chosen."""
        action = self._choice.action()
        if action is not None and self._hub.do(action):
            self._focus()

    @Slot()
    def choose_box(self) -> None:
        """Take the box whose label was scanned as the next one."""
        self.form.audit_box.setText(self._chosen())
        self.refresh()
        if self._shown is not None and self._chosen() in self._shown.left:
            self.form.weigh.setFocus()
        else:
            self.form.audit_box.selectAll()

    @Slot()
    def weigh(self) -> None:
        """Take what the scale shows as the weight of the audit's next box."""
        self._press(self._chosen())
        self._focus()

    @Slot()
    def weigh_single(self) -> None:
        """Take what the scale shows as the weight of a box on its own."""
        self.form.single_said.setText(self._hub.words.text("ui.single_how"))
        self._press(self.form.single.text().strip())

    def _press(self, serial: str) -> None:
        hub, now_s = self._hub, self._hub.desk.now_s()
        if now_s - self._last_press_s < REST_S:
            return
        self._last_press_s = now_s
        confirmed = self._doubted == serial
        self._is_alone = hub.desk.station.audit_at(hub.bench) is None
        self._doubted, self._before = None, hub.desk.station.ledger.reweighs_so_far()
        hub.do(Reweigh(**hub.moment(), serial=serial, confirmed=confirmed))
        waits = hub.desk.station.view(hub.bench).armed is not None
        self._waits_for = serial if waits else None
        if not waits:
            self._pressed(serial)

    def _pressed(self, serial: str) -> None:
        """Say what became of a press; the next one confirms what was doubted."""
        self._waits_for = None
        ledger = self._hub.desk.station.ledger
        if ledger.reweighs_so_far() == self._before:
            self._refused(serial)
        elif self._is_alone:
            said = single_said(ledger.reweighs()[-1], self._hub.words)
            self.form.single_said.setText(said)
            self.form.single.clear()

    def _refused(self, serial: str) -> None:
        refusal = self._hub.desk.station.last_refusal
        if refusal is not None:
            self._hub.tell(refusal.message)
            self._doubted = serial if refusal.code == "reweigh_odd" else None

    @Slot()
    def replace(self) -> None:
        """Take another box in place of the one in the field, with a reason."""
        self._hub.ask_reason(Message("ui.not_found_why", {"serial": self._chosen()}), self._replace)

    def _replace(self, reason: str, by: str | None) -> None:
        moment, serial = self._hub.moment(), self._chosen()
        if self._hub.do(ReplaceBox(**moment, serial=serial, reason=reason, by=by)):
            self._focus()

    @Slot()
    def end(self) -> None:
        """Give the audit up, with a reason."""
        self._hub.ask_reason(Message("ui.end_audit_why"), self._end)

    def _end(self, reason: str, by: str | None) -> None:
        if self._hub.do(EndAudit(**self._hub.moment(), reason=reason, by=by)):
            self._focus()
