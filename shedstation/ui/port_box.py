"""Let a port be chosen by what it is, or typed."""

from collections.abc import Sequence

from PySide6.QtWidgets import QComboBox

from shedstation.domain.line_report import PortChoice
from shedstation.words import Words


def fill_ports(box: QComboBox, ports: Sequence[PortChoice], words: Words) -> None:
    """Fill an editable box with the ports that exist, keeping what was chosen or typed."""
    items = [(words.say(port.title), port.identity) for port in ports]
    # A list that is being looked at is not taken away for an equal one.
    if items == [(box.itemText(row), box.itemData(row)) for row in range(box.count())]:
        return
    before = chosen_in(box)
    box.clear()
    for title, identity in items:
        box.addItem(title, identity)
    show_port(box, before)


def show_port(box: QComboBox, port: str) -> None:
    """Show a port by its title, or as it is if it does not exist now."""
    index = box.findData(port)
    box.setCurrentIndex(index)
    if index < 0:
        box.setEditText(port)


def chosen_in(box: QComboBox) -> str:
    """Give the identity of what is chosen in an editable box, or what is typed in it."""
    text = box.currentText().strip()
    identity = box.itemData(box.findText(text)) if text else None
    return identity if isinstance(identity, str) else text
