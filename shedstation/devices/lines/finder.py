"""Find out what a scale on a port speaks, and at which settings, by listening at each of them.

Nothing is sent unless that was asked for; then only what makes a scale send one reading.
"""

from collections.abc import Callable, Generator, Iterable, Iterator, Sequence
from dataclasses import replace
from math import inf
from typing import Final

from shedstation.devices.capture import Chunk
from shedstation.devices.languages.language import Language
from shedstation.devices.languages.rows import LANGUAGES
from shedstation.devices.lines.asking import TRY_STREAM, asked, questions
from shedstation.devices.lines.faults import LineFault, at_port
from shedstation.devices.lines.hearing import Heard, Setting
from shedstation.devices.lines.judging import GOOD_SHARE, PLAIN_PORT, judged
from shedstation.devices.lines.transport import Transport
from shedstation.domain.line_state import LineState
from shedstation.domain.message import Message
from shedstation.domain.scale_found import Found, Looking, Step, Sure

SPEEDS: Final = (9600, 2400, 4800, 19200, 1200, 38400, 57600, 115200)
"""The likeliest first."""

_FIRST_SOUND_S: Final = 2.5
"""A stream is heard by then, at whatever speed: as weights at the right one, as rubbish at others."""

_KEY_WAIT_S: Final = 30.0
_AGAIN_WAIT_S: Final = 10.0
"""For a key that was pressed before, or a load that is moved."""

_NEXT_SOUND_S: Final = 1.5
"""Of a stream that was heard at another speed. At a slow one, fast bytes may leave no trace at all."""

_BETWEEN_LOOKS_S: Final = 0.2

_SILENT_TRIES: Final = tuple(
    map(Message, ("find.try_print", "find.try_cable", "find.try_ask", "find.try_settings"))
)
_GARBLED_TRIES: Final = tuple(
    map(Message, ("find.try_cable", "find.try_settings", "find.try_teach"))
)


Search = Generator[Step, None, Found]
"""Gives steps and ends with what was found."""


class ScaleFinder:
    """A search on one port."""

    def __init__(
        self,
        open_at: Callable[[Setting], Transport],
        now_s: Callable[[], float],
        *,
        speeds: Sequence[int | None] = SPEEDS,
        languages: Sequence[Language] = LANGUAGES,
        key_wait_s: float = _KEY_WAIT_S,
    ) -> None:
        """Prepare to search.

        Args:
            open_at: Gives the line at a setting, not yet open.
            now_s: A monotonic clock.
            speeds: Line speeds to listen at; a single none for a line that has none.
            languages: What may be spoken.
            key_wait_s: How long somebody may take to press the scale's print key.
        """
        self._open_at = open_at
        self._now_s = now_s
        self._speeds = speeds
        self._languages = languages
        self._key_wait_s = key_wait_s
        self._by_key = False
        self._asks = False
        self._heard: list[Heard] = []
        self._silent: list[Setting] = []

    def search(self, *, ask: bool = False) -> Iterator[Step]:
        """Search step by step; the last step is what was found. It can be left between two steps.

        Raises:
            LineFault: if the port cannot be opened.
        """
        self._asks = ask
        found = yield from self._listen_at([Setting(speed) for speed in self._speeds])
        if not _is_good(found) and self._heard:
            found = _better(found, (yield from self._listen_again()))
        if found.language is not None:
            streams = any(each.is_stream and each.found == found for each in self._heard)
            yield replace(found, by_key=self._by_key and not streams)
        elif ask and not self._is_console():
            yield replace(self._told((yield from self._ask_at_each())), by_key=False)
        else:
            yield self._told(found)

    def _listen_at(self, settings: Iterable[Setting]) -> Search:
        """Listen at one setting after the other; at no more than the first if nothing comes there."""
        best = _NOTHING
        for setting in settings:
            heard = yield from self._listen(setting)
            if heard.chunks:
                self._heard.append(heard)
            else:
                self._silent.append(setting)
            if heard.found.language is not None:
                best = _better(best, heard.found)
            if _is_good(best) or not self._heard:
                break
        return best

    def _listen_again(self) -> Search:
        """Listen with the port taking a parity off; then where nothing came, with somebody at the scale.

        What came at the right speed looks most like weights even so, and is listened to first. Even and
        odd parity give the same bytes, so one stands for both.
        """
        likeliest = sorted(self._heard, key=lambda heard: -heard.likeness)
        silent = self._silent.copy()
        speeds = [each.setting.baud for each in likeliest if each.setting.baud is not None]
        best = yield from self._listen_at([Setting(baud, "8E1") for baud in speeds])
        if silent and not _is_good(best) and not self._by_key:
            self._by_key = True
            best = _better(best, (yield from self._listen_at(silent)))
        return best

    def _listen(self, setting: Setting) -> Generator[Step, None, Heard]:
        """Listen at one setting no longer than it takes to tell."""
        line, heard = self._open_at(setting), Heard(setting)
        press_s, over_s = self._patience()
        try:
            try:
                with at_port(line):
                    line.open()
            except LineFault as fault:
                if _refuses_only(fault, setting):
                    return heard
                raise
            opened_s = look_s = self._now_s()
            while True:
                with at_port(line):
                    data = line.read_chunk()
                now_s = self._now_s()
                if data:
                    heard.take(now_s, data)
                if now_s < look_s:
                    continue
                look_s = now_s + _BETWEEN_LOOKS_S
                needs_key = not heard.chunks and now_s - opened_s > press_s
                yield self._looking(setting, needs_key=needs_key)
                self._by_key = self._by_key or needs_key
                heard.judge(self._languages)
                is_over = not heard.chunks and now_s - opened_s > over_s
                if is_over or heard.is_enough(now_s, by_key=self._by_key):
                    return heard
        finally:
            line.close()

    def _patience(self) -> tuple[float, float]:
        """Tell after how many silent seconds a key must be pressed, and after how many it is over."""
        if not self._heard:
            wait_s = 0.0 if self._asks else self._key_wait_s
            return _FIRST_SOUND_S, _FIRST_SOUND_S + wait_s
        if self._by_key:
            return 0.0, _AGAIN_WAIT_S
        return inf, _NEXT_SOUND_S

    def _ask_at_each(self) -> Search:
        """Ask as each language that has a question is asked, at each speed."""
        best = _NOTHING
        for number, speed in enumerate(self._speeds):
            for question in questions(speed, self._languages):
                said = _setting_said(question.setting)
                yield Looking(Message("find.asking", said), number / len(self._speeds))
                try:
                    answer = asked(self._open_at(question.setting), question, self._now_s)
                except LineFault as fault:
                    if _refuses_only(fault, question.setting):
                        continue
                    raise
                if TRY_STREAM in answer.to_try:
                    return answer
                best = _better(best, answer)
                if _is_good(best):
                    return best
        return best

    def _looking(self, setting: Setting, *, needs_key: bool) -> Looking:
        name = "find.listening" if setting.baud is not None else "find.listening_network"
        if needs_key:
            name = "find.press_again" if self._heard else "find.press_print"
        tried = len(self._heard) + len(self._silent)
        done = min(tried / (2 * len(self._speeds)), 1.0)
        return Looking(Message(name, _setting_said(setting)), done, needs_a_hand=needs_key)

    def _is_console(self) -> bool:
        return any(Message("find.console") in heard.found.why for heard in self._heard)

    def _told(self, found: Found) -> Found:
        """Say what was seen and what to try when nothing was found by listening."""
        if found.language is not None or found.to_try:
            return found
        if not self._heard:
            return replace(found, why=(Message("find.silent"),), to_try=_SILENT_TRIES)
        best = max(self._heard, key=lambda heard: (bool(heard.found.to_try), heard.likeness)).found
        return best if best.to_try else replace(best, to_try=_GARBLED_TRIES)


def _refuses_only(fault: LineFault, setting: Setting) -> bool:
    """Tell whether a port only refuses to check parity itself; then it is listened to as it is."""
    return fault.state is LineState.UNFIT and setting.bits != PLAIN_PORT


_NOTHING: Final = Found(sure=Sure.NOTHING)
_ORDER: Final = (Sure.SURE, Sure.LIKELY, Sure.NOT_SURE, Sure.NOTHING)


def _better(one: Found, other: Found) -> Found:
    """Give the finding that says more."""
    if one.language is None and other.language is None:
        return one if one.to_try else other
    return min(one, other, key=lambda found: (_ORDER.index(found.sure), -found.share))


def _is_good(found: Found) -> bool:
    """Tell whether the setting is right, even where the language is not sure."""
    return found.sure in {Sure.SURE, Sure.LIKELY} and found.share >= GOOD_SHARE


def _setting_said(setting: Setting) -> dict[str, object]:
    return {"baud": setting.baud or "", "bits": setting.bits}


def listen_to_capture(chunks: Sequence[Chunk], languages: Sequence[Language] = LANGUAGES) -> Found:
    """Say what a capture holds; it knows no speed."""
    found = judged(chunks, languages)
    return (
        found
        if found.language or found.to_try
        else replace(found, to_try=(Message("find.try_teach"),))
    )
