"""Give screens their common ground: the desk, the words, doing things and saying what came of it."""

from collections.abc import Callable
from datetime import date
from typing import Protocol, TypedDict

from PySide6.QtWidgets import QWidget

from shedstation.domain.farm import Setup
from shedstation.domain.message import Message
from shedstation.station.actions import Action
from shedstation.ui.count_panel import CountPanel
from shedstation.ui.desk import Desk
from shedstation.words import Words


class Moment(TypedDict):
    """When and where an action is made."""

    at_s: float
    bench: str


class Screen(Protocol):
    """One page of the window."""

    root: QWidget

    def retranslate(self) -> None:
        """Say everything anew in the hub's language."""

    def refresh(self) -> None:
        """Show what is now; called when the page is turned to and after every action."""


class Hub(Protocol):
    """What a screen can ask of the window that holds it."""

    desk: Desk
    words: Words
    counting: CountPanel

    @property
    def bench(self) -> str:
        """Get the name of the bench the window stands at."""

    @property
    def setup(self) -> Setup:
        """Get the farm's setup."""

    @property
    def day(self) -> date | None:
        """Get the open day."""

    def moment(self) -> Moment:
        """Give second and bench for an action made now."""

    def do(self, action: Action) -> bool:
        """Carry out an action, say why if it is refused, show what changed."""

    def tell(self, message: Message | None) -> None:
        """Say a sentence below the head, or nothing."""

    def ask_lead(self, title: Message, then: Callable[[str, str | None], None]) -> None:
        """Ask for a reason and the lead's PIN, then go on with reason and person; never blocks."""

    def ask_reason(self, title: Message, then: Callable[[str, str | None], None]) -> None:
        """Ask for a reason only, then go on with it and the person at the bench."""

    def ask_value(
        self, title: Message, field: Message, then: Callable[[str, str | None], None]
    ) -> None:
        """Ask for a weight, a count or the like, then go on with its text and the person."""

    def go_to(self, name: str) -> None:
        """Turn to a page."""

    def set_language(self, language: str) -> None:
        """Speak another language from now on."""

    def setup_changed(self) -> None:
        """Take up a setup that was just saved."""
