"""Ask a scale that answers only when asked."""

from collections.abc import Callable
from typing import Final

from shedstation.devices.languages.bits import Bits, with_top_bit

ANSWER_WAIT_S: Final = 0.3
LEAST_PERIOD_S: Final = 0.1
"""Scales weigh anew five to ten times a second; asked more often, some answer nothing at all."""


class Poll:
    """Asks, waits for the answer, and asks again."""

    def __init__(
        self, ask: bytes, bits: Bits | None, *, is_binary: bool, write: Callable[[bytes], None]
    ) -> None:
        """Prepare to ask.

        Args:
            ask: What is sent; it changes nothing at the scale.
            bits: The top bit of each byte; none tries one kind after the other until it is answered.
            is_binary: Whether all eight bits of `ask` are its own.
            write: Sends bytes.
        """
        kinds = (Bits.PLAIN,) if is_binary else tuple(Bits) if bits is None else (bits,)
        self._asks = [ask if is_binary else with_top_bit(ask, kind) for kind in kinds]
        self._write = write
        self._asked_s: float | None = None
        self._is_waiting = False

    def restart(self) -> None:
        """Ask at once: the line was opened anew."""
        self._asked_s, self._is_waiting = None, False

    def answered(self) -> None:
        """Note that a whole frame came."""
        self._is_waiting = False

    def ask_if_due(self, now_s: float) -> None:
        """Ask if the last answer came and it is time, or if none came for too long."""
        wait_s = ANSWER_WAIT_S if self._is_waiting else LEAST_PERIOD_S
        if self._asked_s is not None and round(now_s - self._asked_s, 6) < wait_s:
            return
        if self._is_waiting:
            self._asks = [*self._asks[1:], self._asks[0]]
        self._asked_s, self._is_waiting = now_s, True
        self._write(self._asks[0])
