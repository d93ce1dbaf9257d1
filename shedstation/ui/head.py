"""Show what is packed, the weight and the sentence above every page."""

from dataclasses import dataclass

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFrame, QLabel, QStackedWidget, QWidget

from shedstation.presenters.bench import BenchScreen as Shown


@dataclass(frozen=True)
class WindowForm:
    """Widgets of the window around the pages."""

    root: QWidget
    head: QFrame
    head_cultivar: QLabel
    head_block: QLabel
    head_load: QLabel
    head_picked: QLabel
    head_pack: QLabel
    head_window: QLabel
    head_grade: QLabel
    head_person: QLabel
    head_strip: QLabel
    head_state: QLabel
    message: QLabel
    pages: QStackedWidget
    practice: QFrame
    nav: QFrame


def show_head(form: WindowForm, shown: Shown, bench: str) -> None:
    """Show a bench's head, and on every other page its weight and sentence in a strip."""
    strip = form.head_strip.fontMetrics().elidedText(
        f"{shown.number} {shown.unit}  {shown.sign} {shown.sentence}",
        Qt.TextElideMode.ElideRight,
        max(form.head_strip.width() - 4, 100),
    )
    form.head_strip.setToolTip(shown.sentence)
    head = shown.head
    texts = (
        (form.head_cultivar, head.cultivar),
        (form.head_block, head.block),
        (form.head_load, head.load),
        (form.head_picked, head.picked),
        (form.head_pack, head.pack),
        (form.head_window, head.window),
        (form.head_grade, head.grade),
        (form.head_person, head.person),
        (form.head_strip, strip),
        (form.head_state, f"{bench}, {head.state}"),
    )
    for label, text in texts:
        if label.text() != text:
            label.setText(text)
