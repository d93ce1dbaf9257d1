"""Find out what a scale on a port speaks, and at which settings, by listening at each of them.

Nothing is sent unless that was asked for; then only what makes a scale send one reading.
"""

from collections.abc import Callable, Generator, Iterator, Sequence
from dataclasses import dataclass, field, replace
from itertools import product
from typing import Final

from shedstation.devices.capture import Chunk
from shedstation.devices.languages.bits import Bits, with_top_bit
from shedstation.devices.languages.language import Language
from shedstation.devices.languages.rows import LANGUAGES
from shedstation.devices.lines.faults import at_port
from shedstation.devices.lines.judging import judged, text_of, text_share
from shedstation.devices.lines.transport import Transport
from shedstation.domain.message import Message
from shedstation.domain.scale_found import Found, Looking, Step, Sure

SPEEDS: Final = (9600, 2400, 4800, 19200, 1200, 38400, 57600, 115200)
"""The likeliest first."""

_FIRST_SOUND_S: Final = 2.5
"""A stream is heard by then, at whatever speed: as weights at the right one, as rubbish at others."""

_KEY_WAIT_S: Final = 30.0
_GARBLED_S: Final = 0.5
_LONGEST_S: Final = 4.0
_BETWEEN_LOOKS_S: Final = 0.2
_BYTES_TO_GIVE_UP: Final = 12
_PROMISING: Final = 3
"""So many speeds are listened at again with the port checking parity, those with the most text."""

_AFTER_KEY_S: Final = 0.5
_LITTLE_S: Final = 1.2
_UNKNOWN_TEXT_S: Final = 2.0
_GOOD_SHARE: Final = 0.9
_ANSWER_S: Final = 0.4
_ASKS: Final = 5


_SILENT_TRIES: Final = tuple(
    map(Message, ("find.try_print", "find.try_cable", "find.try_ask", "find.try_settings"))
)
_GARBLED_TRIES: Final = tuple(
    map(Message, ("find.try_cable", "find.try_settings", "find.try_teach"))
)


@dataclass(frozen=True, slots=True)
class Setting:
    """How a port is opened."""

    baud: int | None
    """None for a line that has no speed of its own."""

    bits: str = "8N1"
    """`8N1`, or `8E1` or `8O1`, where the port itself checks the parity."""


@dataclass(slots=True)
class _Heard:
    """What came at one setting."""

    setting: Setting
    chunks: list[Chunk] = field(default_factory=list)
    first_s: float | None = None

    def take(self, at_s: float, data: bytes) -> None:
        self.first_s = at_s if self.first_s is None else self.first_s
        self.chunks.append(Chunk(at_s, data))

    @property
    def data(self) -> bytes:
        return b"".join(chunk.data for chunk in self.chunks)

    @property
    def text_share(self) -> float:
        """Get how much of it looks like what scales send."""
        return text_share(self.data)


@dataclass(frozen=True, slots=True)
class _Question:
    """What is sent, and the languages that answer it."""

    sent: bytes
    languages: tuple[Language, ...]


def _questions(languages: Sequence[Language]) -> Iterator[_Question]:
    """Give each question once, its top bits set in each way a scale may want them."""
    for ask in dict.fromkeys(each.ask for each in languages if each.ask is not None):
        who = tuple(each for each in languages if each.ask == ask)
        kinds = (Bits.PLAIN,) if who[0].is_binary else (Bits.PLAIN, Bits.EVEN, Bits.ODD)
        for bits in kinds:
            yield _Question(ask if who[0].is_binary else with_top_bit(ask, bits), who)


def _asked_settings(speed: int | None) -> Sequence[Setting]:
    return (Setting(speed),) if speed is None else (Setting(speed), Setting(speed, "8E1"))


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
        self._is_silent = False
        self._by_key = False
        self._heard: list[_Heard] = []

    def search(self, *, ask: bool = False) -> Iterator[Step]:
        """Search step by step; the last step is what was found. It can be left between two steps.

        Raises:
            LineFault: if the port cannot be opened.
        """
        found = yield from self._listen_at_each()
        if not _is_good(found) and self._heard and not self._by_key:
            found = _better(found, (yield from self._with_parity()))
        if found.language is None and ask:
            found = _better(found, (yield from self._ask_at_each()))
        yield (replace(found, by_key=self._by_key) if found.language else self._told_nothing(found))

    def _listen_at_each(self) -> Search:
        best = Found(sure=Sure.NOTHING)
        for number, speed in enumerate(self._speeds):
            found = yield from self._listen(Setting(speed), number / len(self._speeds))
            best = _better(best, found)
            if _is_good(found) or self._is_silent:
                break
        return best

    def _with_parity(self) -> Search:
        """Listen again with the port checking parity, where most of what came looked like text."""
        likeliest = sorted(self._heard, key=lambda heard: -heard.text_share)[:_PROMISING]
        best = Found(sure=Sure.NOTHING)
        for heard, bits in product(likeliest, ("8E1", "8O1")):
            found = yield from self._listen(replace(heard.setting, bits=bits), 0.9)
            best = _better(best, found)
            if _is_good(found):
                break
        return best

    def _listen(self, setting: Setting, done: float) -> Search:
        """Listen at one setting no longer than it takes to tell."""
        line, heard = self._open_at(setting), _Heard(setting)
        try:
            with at_port(line):
                line.open()
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
                needs_key = not heard.chunks and now_s - opened_s > self._sound_wait_s()
                yield self._looking(setting, done, needs_key=needs_key)
                if needs_key and self._is_over(now_s - opened_s):
                    self._is_silent = True
                    return Found(sure=Sure.NOTHING)
                self._by_key = self._by_key or needs_key
                found = self._judged(heard)
                if heard.chunks and self._has_heard_enough(heard, found, now_s):
                    self._heard.append(heard)
                    return found
        finally:
            line.close()

    def _sound_wait_s(self) -> float:
        return 0.0 if self._by_key else _FIRST_SOUND_S

    def _is_over(self, waited_s: float) -> bool:
        return waited_s > _FIRST_SOUND_S + self._key_wait_s

    def _judged(self, heard: _Heard) -> Found:
        found = judged(heard.chunks, self._languages)
        setting = heard.setting
        bits = found.bits if setting.bits == "8N1" else setting.bits
        return replace(found, baud=setting.baud, bits=bits if found.language else None)

    def _has_heard_enough(self, heard: _Heard, found: Found, now_s: float) -> bool:
        first_s, last_s = heard.chunks[0].at_s, heard.chunks[-1].at_s
        listened_s = now_s - first_s
        if self._by_key:
            return now_s - last_s > _AFTER_KEY_S
        if found.sure is Sure.SURE or listened_s > _LONGEST_S:
            return True
        if found.language is not None:
            return False
        if text_of(heard.data) is not None:
            return listened_s > _UNKNOWN_TEXT_S
        enough = len(heard.data) >= _BYTES_TO_GIVE_UP
        return listened_s > (_GARBLED_S if enough else _LITTLE_S)

    def _ask_at_each(self) -> Search:
        """Ask as each language that has a question is asked, at each speed."""
        best = Found(sure=Sure.NOTHING)
        for number, speed in enumerate(self._speeds):
            for setting, question in product(_asked_settings(speed), _questions(self._languages)):
                yield self._looking(setting, number / len(self._speeds), asks=True)
                best = _better(best, self._asked(setting, question))
                if _is_good(best):
                    return best
        return best

    def _asked(self, setting: Setting, question: _Question) -> Found:
        """Ask several times while it is answered, and judge the answers."""
        line, heard = self._open_at(setting), _Heard(setting)
        with at_port(line):
            try:
                line.open()
                for number in range(_ASKS):
                    line.write(question.sent)
                    until_s = self._now_s() + _ANSWER_S
                    while self._now_s() < until_s:
                        data = line.read_chunk()
                        if data:
                            heard.take(self._now_s(), data)
                    if len(heard.chunks) <= number:
                        break
            finally:
                line.close()
        found = judged(heard.chunks, question.languages)
        bits = found.bits if setting.bits == "8N1" else setting.bits
        return replace(found, baud=setting.baud, bits=bits if found.language else None)

    def _looking(
        self, setting: Setting, done: float, *, needs_key: bool = False, asks: bool = False
    ) -> Looking:
        values: dict[str, object] = {"baud": setting.baud or "", "bits": setting.bits}
        name = "find.asking" if asks else "find.listening"
        if needs_key:
            name = "find.press_again" if self._heard else "find.press_print"
        elif setting.baud is None:
            name = "find.listening_network"
        return Looking(Message(name, values), done, needs_a_hand=needs_key)

    def _told_nothing(self, found: Found) -> Found:
        """Say what to try when nothing was found."""
        if self._is_silent and not self._heard:
            return replace(found, why=(Message("find.silent"),), to_try=_SILENT_TRIES)
        return found if found.to_try else replace(found, to_try=_GARBLED_TRIES)


_ORDER: Final = (Sure.SURE, Sure.LIKELY, Sure.NOT_SURE, Sure.NOTHING)


def _better(one: Found, other: Found) -> Found:
    """Give the finding that says more; the later one where both say as much."""
    if one.language is None and other.language is None:
        return other if other.to_try or not one.to_try else one
    return min(other, one, key=lambda found: (_ORDER.index(found.sure), -found.share))


def _is_good(found: Found) -> bool:
    """Tell whether the setting is right, even where the language is not sure."""
    return found.language is not None and found.share >= _GOOD_SHARE


def listen_to_capture(chunks: Sequence[Chunk], languages: Sequence[Language] = LANGUAGES) -> Found:
    """Say what a capture holds; it knows no speed."""
    found = judged(chunks, languages)
    return (
        found
        if found.language or found.to_try
        else replace(found, to_try=(Message("find.try_teach"),))
    )
