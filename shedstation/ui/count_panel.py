"""Ask how many fruit are in the box that is being closed: one key answers, nothing is held up."""

from dataclasses import replace
from typing import TYPE_CHECKING, Final

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QPushButton, QWidget

from shedstation.domain.message import Message
from shedstation.presenters.count_question import (
    ANOTHER,
    NOT_COUNTED,
    CountKey,
    count_keys,
    count_title,
    likely_counts,
    parse_count,
)
from shedstation.station.bench_view import CountQuestion

if TYPE_CHECKING:
    from shedstation.ui.hub import Hub

_ANSWERS: Final = ("1", "2", "3", ANOTHER, NOT_COUNTED)


class CountPanel(QFrame):
    """The question, and a button for each answer; the bench's number keys press them."""

    def __init__(self, parent: QWidget, hub: "Hub") -> None:
        """Start hidden."""
        super().__init__(parent)
        self.setProperty("role", "practice")
        self._hub = hub
        self._title = QLabel(self)
        self._title.setProperty("role", "strong")
        self._title.setWordWrap(True)
        self._buttons = {key: self._button(key) for key in _ANSWERS}
        layout = QHBoxLayout(self)
        layout.setContentsMargins(28, 6, 28, 6)
        layout.addWidget(self._title, 1)
        for button in self._buttons.values():
            layout.addWidget(button)
        self.hide()

    def _button(self, key: str) -> QPushButton:
        button = QPushButton(self)
        button.setObjectName(f"count_{key}")
        # The number keys press it; the focus stays where the step key is heard.
        button.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        button.clicked.connect(_Press(self, key))
        return button

    def show_question(self, question: CountQuestion | None) -> None:
        """Show the question as it is now, or hide."""
        self.setVisible(question is not None)
        if question is None:
            return
        words = self._hub.words
        self._title.setText(count_title(question, words))
        for answer in count_keys(question, words):
            self._show(self._buttons[answer.key], answer)

    def _show(self, button: QPushButton, answer: CountKey) -> None:
        role = "main" if answer.is_likeliest else ""
        if button.property("role") != role:
            button.setProperty("role", role)
            button.style().unpolish(button)
            button.style().polish(button)
        if button.text() != answer.text:
            button.setText(answer.text)
            button.setAccessibleName(answer.text)

    def press(self, key: str) -> bool:
        """Answer with a key; tell whether it is asked and the key is an answer."""
        question = self._question()
        if question is None or key not in _ANSWERS:
            return False
        if key == ANOTHER:
            self.show_question(None)
            self._hub.ask_value(Message("ui.count_title"), Message("ui.count_field"), self._typed)
        else:
            self._answer(question, likely_counts(question).get(key))
        return True

    def drop(self) -> bool:
        """Leave the box open after all; tell whether anything was asked."""
        if self._question() is None:
            return False
        self._hub.desk.station.forget_count(self._hub.bench)
        self.show_question(None)
        return True

    def _question(self) -> CountQuestion | None:
        return self._hub.desk.station.view(self._hub.bench).count_asked

    def _answer(self, question: CountQuestion, count: int | None) -> None:
        at_s = self._hub.moment()["at_s"]
        self._hub.do(replace(question.close, at_s=at_s, count=count, asks=False))

    def _typed(self, text: str, by: str | None) -> None:
        del by  # who closes is known from the press
        question = self._question()
        try:
            count = parse_count(text)
        except ValueError:
            self._hub.tell(Message("ui.not_a_count", {"found": text}))
            self.show_question(question)
            return
        if question is not None:
            self._answer(question, count)


class _Press:
    """Gives an answer; a plain call, made in the GUI thread."""

    def __init__(self, panel: CountPanel, key: str) -> None:
        self._panel = panel
        self._key = key

    def __call__(self) -> None:
        self._panel.press(self._key)
