"""Show the bench: the crate, the weight, one sentence, one next step on one key."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import Final

from PySide6.QtCore import QObject, Qt, QTimer, Slot
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QLabel, QPushButton, QWidget

from shedstation.domain.bench_sequence import Step
from shedstation.domain.box import Box
from shedstation.domain.errors import WorldFault
from shedstation.domain.farm import NetOnLabel
from shedstation.domain.message import Message
from shedstation.presenters.bench import BenchScreen as Shown
from shedstation.presenters.count_question import NOT_COUNTED
from shedstation.presenters.typed import typed_shown
from shedstation.station.actions import (
    AbandonBox,
    Action,
    ChoosePerson,
    CloseBox,
    ContinueBox,
    Reprint,
    TareBox,
    TypeWeight,
)
from shedstation.station.bench_view import NextKey
from shedstation.ui import theme
from shedstation.ui.crate import CrateGauge
from shedstation.ui.cup_keys import CupKeys
from shedstation.ui.cups import CupRow
from shedstation.ui.day_boxes import DayBoxes
from shedstation.ui.forms import load_form, retranslate
from shedstation.ui.hub import Hub

REST_S: Final = 0.7
"""Presses within this time after a step are ignored: a bounce, or the same press twice."""

HOLD_MS: Final = 2000
_SCAN_GAP_MS: Final = 60
_LEAST_SCAN: Final = 2


_SENTENCE_PX: Final = ((34, 42), (64, 33), (110, 26), (10_000, 22))
"""Letters of a sentence up to this long; a longer one must still be seen whole."""


@dataclass(frozen=True)
class BenchForm:
    """Widgets of the bench screen."""

    root: QWidget
    crate_title: QLabel
    crate: CrateGauge
    cups: CupRow
    cup_keys: QLabel
    net_title: QLabel
    net: QLabel
    parts: QLabel
    sign: QLabel
    sentence: QLabel
    detail: QLabel
    closed: QLabel
    last: QLabel
    said: QLabel
    step: QPushButton
    day_boxes: DayBoxes
    totals: QLabel
    keys: QLabel


class BenchScreen(QObject):
    """The bench's page."""

    def __init__(self, hub: Hub) -> None:
        """Load the form."""
        super().__init__()
        self._hub = hub
        self.form = load_form("bench", BenchForm, CrateGauge, CupRow, DayBoxes)
        self.root = self.form.root
        self._last_step_s = -REST_S
        self._cup_keys = CupKeys(hub)
        self._keys = ""
        self._hold = QTimer(self, singleShot=True, interval=HOLD_MS)
        self._hold.timeout.connect(self._held)
        self._scan = QTimer(self, singleShot=True, interval=_SCAN_GAP_MS)
        self._scan.timeout.connect(self._typed)
        self.form.step.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.form.step.pressed.connect(self.step_pressed)
        self.form.step.released.connect(self.step_released)

    def retranslate(self) -> None:
        """Say everything anew."""
        retranslate(self.root, self._hub.words)

    def refresh(self) -> None:
        """Nothing of its own: the window shows every reading."""

    def show_screen(self, shown: Shown, boxes: tuple[Box, ...]) -> None:
        """Show a bench."""
        form = self.form
        form.crate.show_gauge(shown.gauge, shown.tone)
        form.cups.show_cups(shown.cups)
        unit = f'<span style="font-size:44px"> {shown.unit}</span>' if shown.unit else ""
        size = "" if shown.unit or len(shown.number) < 6 else ' style="font-size:64px"'  # noqa: PLR2004
        texts = (
            (form.crate_title, shown.crate_title),
            (form.net_title, shown.weight_title),
            (form.net, f"<span{size}>{shown.number}</span>{unit}"),
            (form.parts, shown.parts),
            (form.sign, shown.sign),
            (form.sentence, shown.sentence),
            (form.detail, shown.detail),
            (form.closed, shown.closed),
            (form.last, shown.last),
            (form.totals, shown.totals),
            (form.cup_keys, shown.cup_keys),
            (form.keys, shown.keys),
        )
        for label, text in texts:
            if label.text() != text:
                label.setText(text)
        for label in (form.closed, form.last, form.detail, form.parts, form.cup_keys):
            label.setVisible(bool(label.text()))
        self._show_step(shown)
        self._show_tone(shown)
        form.net.setAccessibleName(f"{shown.weight_title} {shown.number} {shown.unit}")
        form.day_boxes.show_boxes([_mark(box) for box in boxes])

    def _show_tone(self, shown: Shown) -> None:
        size = next(px for most, px in _SENTENCE_PX if len(shown.sentence) <= most)
        style = f"color: {theme.TONES[shown.tone]}; font-size: {size}px"
        warns = f"color: {theme.RUST}; font-weight: bold; font-size: 20px"
        styles = (
            (self.form.sign, style),
            (self.form.sentence, style),
            (self.form.detail, warns if shown.detail_warns else ""),
        )
        for label, wanted in styles:
            if label.styleSheet() != wanted:
                label.setStyleSheet(wanted)

    def _show_step(self, shown: Shown) -> None:
        step = self.form.step
        step.setEnabled(shown.step_ready)
        step.setText(f"{shown.step}\n{shown.step_note}")
        step.setAccessibleName(f"{shown.step}. {shown.step_note}")

    def key_pressed(self, event: QKeyEvent) -> bool:
        """Take a key at the bench; tell whether it meant something."""
        if event.isAutoRepeat():
            return event.key() == Qt.Key.Key_Space
        if event.key() == Qt.Key.Key_Space:
            self.step_pressed()
            return True
        if event.key() == Qt.Key.Key_Escape:
            return self._hub.counting.drop()
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self._entered()
            return True
        if event.text().isprintable() and event.text() and not event.modifiers() & _COMMAND:
            self._keys += event.text()
            self._scan.start()
            return True
        return False

    def key_released(self, event: QKeyEvent) -> bool:
        """Take a key's release."""
        if event.key() != Qt.Key.Key_Space or event.isAutoRepeat():
            return False
        self.step_released()
        return True

    @Slot()
    def step_pressed(self) -> None:
        """Take the step, or start to wait for two seconds where it must be held."""
        now_s = self._hub.desk.now_s()
        if now_s - self._last_step_s < REST_S:
            return
        view = self._hub.desk.station.view(self._hub.bench)
        if view.next_key is NextKey.TARE_HELD:
            self._hold.start()
            return
        if view.count_asked is not None:
            self._last_step_s = now_s
            self._hub.counting.press(NOT_COUNTED)
            return
        actions: dict[NextKey, Callable[..., Action]] = {
            NextKey.TARE: TareBox,
            NextKey.CLOSE: partial(CloseBox, asks=True),
            NextKey.CONTINUE: ContinueBox,
        }
        action = actions.get(view.next_key)
        if action is not None:
            self._last_step_s = now_s
            self._hub.do(action(**self._hub.moment()))

    @Slot()
    def step_released(self) -> None:
        """Give up a hold that was too short."""
        self._hold.stop()

    @Slot()
    def _held(self) -> None:
        self._last_step_s = self._hub.desk.now_s()
        self._hub.do(TareBox(**self._hub.moment(), confirmed=True))

    def _entered(self) -> None:
        keys, self._keys = self._keys, ""
        self._scan.stop()
        if len(keys) >= _LEAST_SCAN:
            self._scanned(keys)
        elif keys:
            self._key(keys)
        else:
            self.step_pressed()
            self.step_released()

    @Slot()
    def _typed(self) -> None:
        keys, self._keys = self._keys, ""
        if len(keys) == 1:
            self._key(keys)

    def _scanned(self, text: str) -> None:
        """Take a badge for a person, anything else for a label."""
        if text in {person.code for person in self._hub.setup.people}:
            self._hub.do(ChoosePerson(**self._hub.moment(), person=text))
            return
        try:
            self._hub.tell(self._hub.desk.records.trace_text(text))
        except WorldFault as fault:
            self._hub.tell(fault.message)

    def _key(self, key: str) -> None:
        if self._hub.counting.press(key):
            return
        if key.isdecimal():
            if not self._cup_keys.number(int(key)):
                self._choose_person(int(key))
            return
        pages = {"c": "culls", "n": "loads", "l": "loads", "p": "loads", "b": "boxes", "d": "day"}
        keys = {"a": self.abandon, "o": self.override, "r": self.reprint, "w": self.type_weight,
                "t": self._cup_keys.empty}  # fmt: skip
        if key.lower() in pages:
            self._hub.go_to(pages[key.lower()])
        elif key.lower() in keys:
            keys[key.lower()]()

    def _choose_person(self, number: int) -> None:
        people = self._hub.setup.people
        if 1 <= number <= len(people):
            person = people[number - 1].code
            self._hub.do(ChoosePerson(**self._hub.moment(), person=person))

    def type_weight(self) -> None:
        """Enter what the display shows by hand; a scale that types like a keyboard does it here too."""
        field = Message("ui.weight_shown")
        self._hub.ask_value(Message("ui.type_weight"), field, self._type_weight)

    def _type_weight(self, text: str, by: str | None) -> None:
        unit = self._hub.setup.bench(self._hub.bench).unit
        try:
            shown = typed_shown(text, unit)
        except ValueError as wrong:
            self._hub.tell(Message("ui.not_understood", {"found": str(wrong)}))
            return
        self._hub.do(TypeWeight(**self._hub.moment(), shown=shown, by=by))

    def abandon(self) -> None:
        """Give up the open box, with a reason."""
        if not self._hub.desk.station.view(self._hub.bench).step.has_open_box:
            self._hub.tell(Message("refused.no_open_box"))
            return
        self._hub.ask_reason(Message("ui.abandon_box"), self._abandon)

    def _abandon(self, reason: str, by: str | None) -> None:
        self._hub.do(AbandonBox(**self._hub.moment(), reason=reason, by=by))

    def override(self) -> None:
        """Close a box outside its window by the lead's word, with a reason."""
        if self._hub.desk.station.view(self._hub.bench).step is not Step.FILLING:
            self._hub.tell(Message("refused.not_tared"))
            return
        self._hub.ask_lead(self._what_override_means(), self._override)

    def _what_override_means(self) -> Message:
        """Say it before it is done: a declared label goes on saying the declared weight."""
        view = self._hub.desk.station.view(self._hub.bench)
        pack = None if view.choice is None else self._hub.setup.pack_or_none(view.choice.pack)
        declared = pack is not None and pack.net_on_label is NetOnLabel.DECLARED
        if pack is None or not declared or view.net is None or view.net >= pack.label_net:
            return Message("ui.override_box")
        return Message("ui.override_light", {"net": view.net, "label": pack.label_net})

    def _override(self, reason: str, by: str | None) -> None:
        close = CloseBox(**self._hub.moment(), override_reason=reason, by=by, asks=True)
        self._hub.do(close)

    def reprint(self) -> None:
        """Print the last box's label again."""
        box = self._hub.desk.station.view(self._hub.bench).last_box
        if box is not None and self._hub.do(Reprint(**self._hub.moment(), serial=box.serial)):
            self._hub.tell(Message("ui.printing_labels", {"number": 1}))


_COMMAND: Final = Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.AltModifier


def _mark(box: Box) -> str:
    return "void" if box.voided else box.verdict.value
