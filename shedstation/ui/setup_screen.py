"""Set a farm up in six short steps; a new one gets usual values and needs only its own names."""

import secrets
from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import Final
from zoneinfo import available_timezones

from PySide6.QtCore import QObject, Slot
from PySide6.QtPrintSupport import QPrinterInfo
from PySide6.QtWidgets import (
    QComboBox,
    QLabel,
    QLineEdit,
    QPlainTextEdit,
    QPushButton,
    QStackedWidget,
    QWidget,
)

from shedstation.domain.errors import Refused, WorldFault
from shedstation.domain.farm import Setup
from shedstation.domain.message import Message
from shedstation.domain.pin import pin_hash
from shedstation.domain.scale_fit import setup_warnings
from shedstation.domain.scale_tolerance import Standard
from shedstation.domain.size_codes import SIZE_CODES, SizeStandard
from shedstation.domain.trim_tray import NUMBERS_OF_CUPS
from shedstation.presenters.setup_draft import DEFAULTS, BadDraft, draft_of, setup_of
from shedstation.ui.forms import load_form, retranslate
from shedstation.ui.hub import Hub
from shedstation.ui.loads_screen import fill
from shedstation.ui.port_box import chosen_in, fill_ports
from shedstation.words import LANGUAGES

STEPS: Final = ("farm", "scale", "pack", "fruit", "people", "label")
_UNITS: Final = ("lb", "lb-oz", "kg", "oz", "g")
_SIZES: Final = sorted({each.code for codes in SIZE_CODES.values() for each in codes})
_DPI: Final = ("203", "300", "600")


@dataclass(frozen=True)
class SetupForm:
    """Widgets of the setup screen; fields have the names of `DEFAULTS`."""

    root: QWidget
    setup_title: QLabel
    setup_note: QLabel
    steps: QStackedWidget
    setup_said: QLabel
    back: QPushButton
    next: QPushButton
    save: QPushButton
    farm_name: QLineEdit
    address: QPlainTextEdit
    origin: QLineEdit
    time_zone: QComboBox
    gtin_prefix: QLineEdit
    setup_language: QComboBox
    bench_name: QLineEdit
    bench_port: QComboBox
    bench_scale: QComboBox
    bench_unit: QComboBox
    division: QLineEdit
    capacity: QLineEdit
    bench_cups: QComboBox
    scale_standard: QComboBox
    scale_check_days: QLineEdit
    box_kind: QLineEdit
    tare_least: QLineEdit
    tare_most: QLineEdit
    panel_width: QLineEdit
    panel_height: QLineEdit
    pack_name: QLineEdit
    target: QLineEdit
    under: QLineEdit
    over: QLineEdit
    net_on_label: QComboBox
    gtin: QLineEdit
    size_standard: QComboBox
    size_code: QComboBox
    cultivars: QPlainTextEdit
    blocks: QPlainTextEdit
    grades: QPlainTextEdit
    defects: QPlainTextEdit
    people: QPlainTextEdit
    rooms: QPlainTextEdit
    buyers: QPlainTextEdit
    pin: QLineEdit
    template: QComboBox
    spool: QComboBox
    printer: QComboBox
    printer_dpi: QComboBox
    backup_folder: QLineEdit


class SetupScreen(QObject):
    """The setup's page."""

    def __init__(self, hub: Hub) -> None:
        """Load the form."""
        super().__init__()
        self._hub = hub
        self.form = load_form("setup", SetupForm)
        self.root = self.form.root
        self._fields = {
            f.name: getattr(self.form, f.name) for f in fields(SetupForm) if f.name in DEFAULTS
        }
        self.form.back.clicked.connect(self.step_back)
        self.form.next.clicked.connect(self.step_on)
        self.form.save.clicked.connect(self.save)
        self.form.pin.setEchoMode(QLineEdit.EchoMode.Password)
        self._is_filled = False
        self._warned: list[Message] = []

    def retranslate(self) -> None:
        """Say everything anew."""
        retranslate(self.root, self._hub.words)
        if self._is_filled and self._hub.desk.station.setup is None:
            # Who turns to another language while setting a new farm up wants to keep it.
            _choose(self.form.setup_language, self._hub.words.language)
        self._show_step()

    def refresh(self) -> None:
        """Show the setup, or a new farm's usual values; what is being typed stays."""
        if not self._is_filled:
            self._fill_choices()
            setup = self._hub.desk.station.setup
            start = {**DEFAULTS, "defects": self._hub.desk.default_defects}
            self.show_draft(start if setup is None else draft_of(setup))
            self._is_filled = True
        self._show_step()

    def _fill_choices(self) -> None:
        form, desk, words = self.form, self._hub.desk, self._hub.words
        form.time_zone.addItems(sorted(available_timezones()))
        fill(form.setup_language, list(LANGUAGES.items()))
        fill_ports(form.bench_port, desk.line.ports(), words)
        fill(form.bench_scale, [(each, each) for each in desk.line.languages()])
        fill(form.bench_unit, [(each, each) for each in _UNITS])
        none = words.text("ui.no_cups")
        fill(form.bench_cups, [(str(each), str(each or none)) for each in NUMBERS_OF_CUPS])
        for standard in Standard:
            name = words.text(f"check.standard_{standard.value}")
            form.scale_standard.addItem(name, standard.value)
        for name in ("declared", "actual"):
            form.net_on_label.addItem(words.text(f"ui.net_{name}"), name)
        standards = [(each.value, words.text(f"export.size_{each.value}")) for each in SizeStandard]
        fill(form.size_standard, [("", words.text("ui.no_size_standard")), *standards])
        fill(
            form.size_code,
            [("", words.text("ui.no_size_code")), *((each, each) for each in _SIZES)],
        )
        fill(form.template, [(each, each) for each in desk.templates])
        for name in ("folder", "printer"):
            form.spool.addItem(words.text(f"ui.spool_{name}"), name)
        form.printer.addItem("", "")
        for printer in QPrinterInfo.availablePrinterNames():
            form.printer.addItem(printer, printer)
        fill(form.printer_dpi, [(each, each) for each in _DPI])

    def show_draft(self, draft: Mapping[str, str]) -> None:
        """Show texts in the fields."""
        for name, widget in self._fields.items():
            text = draft[name]
            if isinstance(widget, QComboBox):
                _choose(widget, text)
            elif isinstance(widget, QPlainTextEdit):
                widget.setPlainText(text)
            else:
                widget.setText(text)

    def draft(self) -> dict[str, str]:
        """Give the texts in the fields."""
        return {name: _text(widget) for name, widget in self._fields.items()}

    def _show_step(self) -> None:
        words, index = self._hub.words, self.form.steps.currentIndex()
        last = index == len(STEPS) - 1
        is_new = self._hub.desk.station.setup is None
        values = {"number": index + 1, "of": len(STEPS), "what": Message(f"ui.step_{STEPS[index]}")}
        self.form.setup_title.setText(words.text("ui.setup_step", **values))
        self.form.setup_note.setText(words.text(f"ui.note_{STEPS[index]}"))
        self.form.back.setEnabled(index > 0)
        self.form.next.setVisible(not last)
        self.form.save.setVisible(last or not is_new)

    @Slot()
    def step_back(self) -> None:
        """Go to the step before."""
        self._go(self.form.steps.currentIndex() - 1)

    @Slot()
    def step_on(self) -> None:
        """Go to the next step."""
        self._go(self.form.steps.currentIndex() + 1)

    def _go(self, index: int) -> None:
        self.form.steps.setCurrentIndex(min(max(index, 0), len(STEPS) - 1))
        self.form.setup_said.clear()
        self._show_step()
        page = self.form.steps.currentWidget()
        first = next(
            (each for each in self._fields.values() if page and page.isAncestorOf(each)), None
        )
        if first is not None:
            first.setFocus()

    @Slot()
    def save(self) -> None:
        """Save the setup by the lead's word, if everything in it fits."""
        setup = self._checked()
        if setup is None or self._is_warned_of(setup):
            return
        if self._hub.desk.station.setup is None:
            self._save(setup, None)
        else:
            self._hub.ask_lead(Message("ui.save_setup"), _Save(self, setup))

    def _checked(self) -> Setup | None:
        pin = self.form.pin.text()
        made = pin_hash(pin, secrets.token_hex(8)) if pin else None
        try:
            setup = setup_of(self.draft(), self._hub.desk.station.setup, made)
        except BadDraft as bad:
            self.form.setup_said.setText(self._hub.words.say(bad.message))
            return None
        findings = self._hub.desk.check_setup(setup)
        self.form.setup_said.setText("\n".join(self._hub.words.say(each) for each in findings))
        return None if findings else setup

    def _is_warned_of(self, setup: Setup) -> bool:
        """Say once what speaks against the setup; the same setup is saved at the next press."""
        warnings, before = setup_warnings(setup), self._warned
        self._warned = warnings
        if not warnings or warnings == before:
            return False
        lines = [*warnings, Message("ui.save_all_the_same")]
        self.form.setup_said.setText("\n".join(map(self._hub.words.say, lines)))
        return True

    def _save(self, setup: Setup, by: str | None) -> None:
        try:
            self._hub.desk.station.set_up(setup, at_s=self._hub.desk.now_s(), by=by)
        except (Refused, WorldFault) as fault:
            self._hub.tell(fault.message)
            return
        self.form.pin.clear()
        self._hub.setup_changed()


@dataclass(frozen=True)
class _Save:
    """Saves once the lead has given the word."""

    screen: SetupScreen
    setup: Setup

    def __call__(self, reason: str, by: str | None) -> None:
        del reason
        self.screen._save(self.setup, by)  # noqa: SLF001  # the same module


def _choose(combo: QComboBox, text: str) -> None:
    index = combo.findData(text)
    index = combo.findText(text) if index < 0 else index
    if index >= 0:
        combo.setCurrentIndex(index)
    elif combo.isEditable():
        combo.setEditText(text)


def _text(widget: QWidget) -> str:
    if isinstance(widget, QComboBox):
        return chosen_in(widget) if widget.isEditable() else str(widget.currentData())
    if isinstance(widget, QPlainTextEdit):
        return widget.toPlainText()
    assert isinstance(widget, QLineEdit)  # noqa: S101  # the form has no other fields
    return widget.text()
