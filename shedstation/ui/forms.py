"""Load forms and bind them to their typed descriptions; say their texts in the person's language."""

from collections.abc import Iterator
from dataclasses import fields
from typing import TYPE_CHECKING, Any, Final, TypeVar, get_type_hints

from PySide6.QtCore import QObject
from PySide6.QtUiTools import QUiLoader
from PySide6.QtWidgets import QGroupBox, QLabel, QPushButton, QTabWidget, QWidget

from shedstation import resources
from shedstation.words import Words

if TYPE_CHECKING:
    from _typeshed import DataclassInstance

F = TypeVar("F", bound="DataclassInstance")

NAME_START: Final = "ui."
"""Texts in forms that begin so are names in the words."""

_KEPT: Final = "words_name"


class BadForm(RuntimeError):
    """A form that does not hold what its description promises."""


def load_form(name: str, form: type[F], *custom: type[QWidget]) -> F:
    """Load a form and look up every widget its description names.

    Args:
        name: The form's file, without ending.
        form: A dataclass with one field per widget; `root` is the form itself.
        custom: Widgets of our own that stand in the form.

    Raises:
        BadForm: if a widget is missing or of another class.
    """
    loader = QUiLoader()
    for each in custom:
        loader.registerCustomWidget(each)
    root = loader.load(str(resources.form(name)))
    hints = get_type_hints(form)
    found = {
        field.name: _widget(root, field.name, hints[field.name], name) for field in fields(form)
    }
    return form(**found)


def _widget(root: QWidget, name: str, kind: type[Any], form: str) -> QObject:
    found = root if name == "root" else root.findChild(QWidget, name)
    # QUiLoader quietly gives a plain QWidget for a class it does not know.
    if not isinstance(found, kind):
        msg = f"Form {form}: {name} is {type(found).__name__}. Expected {kind.__name__}."
        raise BadForm(msg)
    widget: QObject = found
    return widget


def retranslate(root: QWidget, words: Words) -> None:
    """Say every text of a form in a language; can be done again and again."""
    for widget in (root, *root.findChildren(QWidget)):
        for getter, setter in _texts(widget):
            _retranslate_one(widget, getter, setter, words)
        if isinstance(widget, QTabWidget):
            _retranslate_tabs(widget, words)


def _texts(widget: QWidget) -> Iterator[tuple[str, str]]:
    yield "accessibleName", "setAccessibleName"
    if isinstance(widget, QLabel | QPushButton):
        yield "text", "setText"
    if isinstance(widget, QGroupBox):
        yield "title", "setTitle"


def _retranslate_one(widget: QWidget, getter: str, setter: str, words: Words) -> None:
    kept = f"{_KEPT}_{getter}"
    name = widget.property(kept) or getattr(widget, getter)()
    if isinstance(name, str) and name.startswith(NAME_START):
        widget.setProperty(kept, name)
        getattr(widget, setter)(words.text(name))


def _retranslate_tabs(tabs: QTabWidget, words: Words) -> None:
    for index in range(tabs.count()):
        page = tabs.widget(index)
        assert page is not None  # noqa: S101  # the index is in range
        name = page.property(_KEPT) or tabs.tabText(index)
        page.setProperty(_KEPT, name)
        tabs.setTabText(index, words.text(name))
