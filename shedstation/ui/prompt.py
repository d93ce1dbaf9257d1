"""Ask for a reason and a PIN in a panel below the head: nothing on the bench stops for it."""

from collections.abc import Callable

from PySide6.QtCore import Qt, Slot
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import (
    QApplication,
    QFrame,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QPushButton,
    QWidget,
)

from shedstation.domain.farm import Setup
from shedstation.domain.message import Message
from shedstation.domain.pin import fits_pin
from shedstation.words import Words, without_key

Then = Callable[[str, str | None], None]


class PromptPanel(QFrame):
    """Asks one thing at a time; Enter answers, Escape drops it."""

    def __init__(self, parent: QWidget, tell: Callable[[Message], None]) -> None:
        """Start hidden; `tell` says what is missing."""
        super().__init__(parent)
        self.setProperty("role", "practice")
        self._tell = tell
        self._then: Then | None = None
        self._pin_kept: str | None = None
        self._by: str | None = None
        self._before: QWidget | None = None
        self.title = QLabel(self)
        self.title.setProperty("role", "strong")
        self.reason = QLineEdit(self)
        self.pin = QLineEdit(self)
        self.pin.setEchoMode(QLineEdit.EchoMode.Password)
        self.pin.setMaximumWidth(160)
        self.answer_it = QPushButton(self)
        self.drop_it = QPushButton(self)
        self._lay_out()
        self.hide()

    def _lay_out(self) -> None:
        layout = QHBoxLayout(self)
        layout.setContentsMargins(28, 6, 28, 6)
        for widget in (self.title, self.reason, self.pin, self.answer_it, self.drop_it):
            layout.addWidget(widget, 1 if widget is self.reason else 0)
        self.reason.returnPressed.connect(self.answer)
        self.pin.returnPressed.connect(self.answer)
        self.answer_it.clicked.connect(self.answer)
        self.drop_it.clicked.connect(self.drop)

    def retranslate(self, words: Words) -> None:
        """Say the fixed texts in a language."""
        self.pin.setPlaceholderText(words.text("ui.lead_pin"))
        self.pin.setAccessibleName(words.text("ui.lead_pin"))
        self.answer_it.setText(words.text("ui.do_it"))
        self.drop_it.setText(words.text("ui.leave_it"))

    def ask(
        self, title: str, field: str, then: Then, *, by: str | None, pin_kept: str | None = None
    ) -> None:
        """Ask for a text and, if one is kept, the lead's PIN.

        Args:
            title: The question.
            field: What the text is, such as a reason.
            then: Goes on with the text and the person.
            by: The person.
            pin_kept: The lead's PIN as it is kept.
        """
        self._then, self._by, self._pin_kept = then, by, pin_kept
        self.reason.setPlaceholderText(field)
        self.reason.setAccessibleName(field)
        if not self.isVisible():
            self._before = QApplication.focusWidget()
        self.title.setText(without_key(title))
        self.reason.clear()
        self.pin.clear()
        self.pin.setVisible(pin_kept is not None)
        self.show()
        self.reason.setFocus()

    @Slot()
    def answer(self) -> None:
        """Take the answer if it is complete."""
        reason = self.reason.text().strip()
        if not reason:
            self.reason.setFocus()
            self._tell(Message("ui.fill_in", {"field": self.reason.placeholderText()}))
        elif self._pin_kept is not None and not fits_pin(self.pin.text(), self._pin_kept):
            self.pin.setFocus()
            self.pin.selectAll()
            self._tell(Message("ui.wrong_pin"))
        else:
            then, by = self._then, self._by
            self.drop()
            if then is not None:
                then(reason, by)

    @Slot()
    def drop(self) -> None:
        """Forget the question; the keys go where they went before."""
        if not self.isVisible():
            return
        self._then = None
        self.hide()
        (self._before or self.window()).setFocus()

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802  # Qt's name
        """Drop the question at Escape; Enter was meant for the field that passes it on alone."""
        if event.key() == Qt.Key.Key_Escape:
            self.drop()
        elif event.key() not in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            super().keyPressEvent(event)


def lead_of(setup: Setup, person: str | None) -> str | None:
    """Give who acts as lead: the person at the bench if they are one, else the first lead."""
    leads = [each.code for each in setup.people if each.is_lead]
    return person if person in leads else next(iter(leads), person)
