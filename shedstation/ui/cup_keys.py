"""Take the keys that belong to the cups beside the scale."""

from typing import Final

from shedstation.domain.message import Message
from shedstation.presenters.cups import numbers_mean_cups
from shedstation.station.actions import EmptyCups, TellCup
from shedstation.ui.hub import Hub

EMPTYING_S: Final = 6.0
"""So long a number, or the key again, says which cups are emptied."""


class CupKeys:
    """Numbers say where the last fruit went or came from; one key empties cups."""

    def __init__(self, hub: Hub) -> None:
        """Start with no cup to be emptied."""
        self._hub = hub
        self._emptying_s: float | None = None

    def number(self, number: int) -> bool:
        """Take a number; tell whether it was meant for a cup: not before a box is tared."""
        view = self._hub.desk.station.view(self._hub.bench)
        if view.trim is None or not view.trim.cups:
            return False
        if self._is_emptying():
            self._emptying_s = None
            self._hub.do(EmptyCups(**self._hub.moment(), cups=(number,)))
            return True
        if not numbers_mean_cups(view):
            return False
        self._hub.do(TellCup(**self._hub.moment(), cup=number))
        return True

    def empty(self) -> None:
        """Ask which cups are emptied; pressed again soon, all of them."""
        view = self._hub.desk.station.view(self._hub.bench)
        if view.trim is None or not view.trim.cups:
            self._hub.tell(Message("refused.no_cups", {"bench": self._hub.bench}))
        elif self._is_emptying():
            self._emptying_s = None
            self._hub.do(EmptyCups(**self._hub.moment()))
        else:
            self._emptying_s = self._hub.desk.now_s()
            self._hub.tell(Message("trim.empty_which"))

    def _is_emptying(self) -> bool:
        since_s = self._emptying_s
        return since_s is not None and self._hub.desk.now_s() - since_s <= EMPTYING_S
