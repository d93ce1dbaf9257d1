"""Let a person teach a scale's language: catch the bytes of each load, learn, try, save."""

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Final, Protocol

from shedstation.devices.capture import Chunk
from shedstation.devices.languages.decode import Decoder
from shedstation.devices.languages.language import Language
from shedstation.devices.languages.rows import LANGUAGES
from shedstation.devices.learning.inference import Taught, learn
from shedstation.devices.learning.lesson import Example, Lesson
from shedstation.devices.learning.shared_file import (
    adopt,
    is_name,
    learned_languages,
    write_language,
)
from shedstation.devices.learning.typed import shown_on_display
from shedstation.domain.errors import WorldFault
from shedstation.domain.lesson import InDoubt, LessonSoFar, LoadShown
from shedstation.domain.mass import Mass, Unit
from shedstation.domain.message import Message
from shedstation.domain.reading import BadFrame, Reading

LEARNED: Final = "scale_languages"
"""The folder in the data that holds what was learned, a file a language."""

_AT_REST_S: Final = 1.5
"""Whoever has typed what the display shows has waited for it to stand for longer than this."""

_BEFORE_S: Final = 12.0
_OLDEST_S: Final = 20.0
"""A load whose bytes came longer ago is shown anew."""

_TRIED_BYTES: Final = 512


def known_languages(
    folder: Path, tell: Callable[[WorldFault], None] = lambda _fault: None
) -> tuple[Language, ...]:
    """Give the languages shipped and those learned in a data folder.

    Args:
        folder: The data folder.
        tell: Is given what is wrong with each learned one that is left out.
    """
    shipped = {each.name for each in LANGUAGES}
    learned = learned_languages(folder / LEARNED, tell)
    return (*LANGUAGES, *(each for each in learned if each.name not in shipped))


class RawLine(Protocol):
    """A line whose last bytes are kept."""

    def raw(self) -> Sequence[tuple[float, bytes]]:
        """Give the last chunks as they came."""


class LiveTeacher:
    """One lesson on the scale that is connected."""

    def __init__(
        self,
        line: RawLine,
        folder: Path,
        now_s: Callable[[], float],
        capacity: Callable[[], Mass | None],
    ) -> None:
        """Start without a load.

        Args:
            line: The scale's line.
            folder: The data folder.
            now_s: The clock that stamps the line's bytes.
            capacity: Gives the scale's capacity, if it is known.
        """
        self._line = line
        self._folder = folder / LEARNED
        self._now_s = now_s
        self._capacity = capacity
        self._examples: list[Example] = []
        self._taught: Taught | None = None

    def start_again(self) -> None:
        """Forget every load."""
        self._examples.clear()
        self._taught = None

    def take_back(self) -> None:
        """Forget the last load."""
        if self._examples:
            self._examples.pop()
            self._learn()

    def take(self, typed: str, unit: Unit) -> None:
        """Take the load that stands on the scale, with what its display shows.

        Args:
            typed: What the display shows.
            unit: The unit of a number typed without one.

        Raises:
            WorldFault: if it is no weight, or nothing came from the scale meanwhile.
        """
        shown = shown_on_display(typed, unit)
        chunks = [Chunk(at_s, data) for at_s, data in self._line.raw()]
        if not chunks or self._now_s() - chunks[-1].at_s > _OLDEST_S:
            raise WorldFault(Message("teach.nothing_came"))
        rest_s = chunks[-1].at_s - _AT_REST_S
        last_s = self._examples[-1].chunks[-1].at_s if self._examples else float("-inf")
        begin_s = max(rest_s - _BEFORE_S, last_s)
        self._examples.append(
            Example(
                shown=shown,
                chunks=tuple(each for each in chunks if each.at_s >= max(rest_s, last_s)),
                before=tuple(each for each in chunks if begin_s < each.at_s < rest_s),
            )
        )
        self._learn()

    def _learn(self) -> None:
        lesson = Lesson(tuple(self._examples), self._capacity())
        self._taught = learn(lesson) if self._examples else None

    def so_far(self) -> LessonSoFar:
        """Say what was shown and learned, and what the language makes of the last bytes."""
        loads = tuple(LoadShown(each.shown, each.chunks[-1].data) for each in self._examples)
        taught = self._taught
        if taught is None:
            return LessonSoFar(loads=loads)
        doubts = tuple(InDoubt(each.about, each.settle, each.blocks) for each in taught.doubts)
        return LessonSoFar(
            loads=loads,
            words=taught.words,
            doubts=doubts,
            may_be_used=taught.may_be_used,
            tried=self._tried(taught),
        )

    def _tried(self, taught: Taught) -> Reading | BadFrame | None:
        if taught.row is None:
            return None
        decoder = Decoder(taught.language, taught.bits, in_capture=True)
        last = None
        for at_s, data in _last_bytes(self._line.raw()):
            last = next(iter(reversed(decoder.feed(at_s, data))), last)
        return last

    def save(self, name: str) -> str:
        """Save the language under a name and give its file.

        Raises:
            WorldFault: if the name will not do, something in doubt blocks, or it cannot be written.
        """
        if not is_name(name) or name in {each.name for each in LANGUAGES}:
            raise WorldFault(Message("teach.bad_name", {"name": name}))
        taught = learn(Lesson(tuple(self._examples), self._capacity()), name)
        if taught.row is None or not taught.may_be_used:
            raise WorldFault(Message("teach.not_ready"))
        return str(write_language(taught.row, self._folder))

    def adopt(self, file: Path) -> str:
        """Take over a language that somebody sent and give its name.

        Raises:
            WorldFault: if the file is not in the form, or its name is taken.
        """
        return adopt(file.expanduser(), self._folder).name


def _last_bytes(chunks: Sequence[tuple[float, bytes]]) -> Sequence[tuple[float, bytes]]:
    """Give the last chunks, as many as hold some frames."""
    count, total = 0, 0
    for _, data in reversed(chunks):
        count, total = count + 1, total + len(data)
        if total >= _TRIED_BYTES:
            break
    return chunks[len(chunks) - count :]
