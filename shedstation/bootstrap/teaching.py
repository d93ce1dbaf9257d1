"""Let a person teach a scale's language: catch the bytes of each load, learn, try, save."""

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Final, Protocol

from shedstation.devices.capture import Chunk
from shedstation.devices.languages.decode import Decoder
from shedstation.devices.languages.language import Language
from shedstation.devices.languages.rows import LANGUAGES
from shedstation.devices.learning.compiling import as_language
from shedstation.devices.learning.inference import Taught, learn
from shedstation.devices.learning.lesson import Example, Lesson
from shedstation.devices.learning.register_file import SUFFIX as REGISTERS
from shedstation.devices.learning.register_file import (
    adopt_registers,
    read_registers,
    register_languages,
)
from shedstation.devices.learning.shared_file import (
    adopt,
    is_name,
    learned_languages,
    read_language,
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

_AT_REST_S: Final = 1.0
"""Whoever has typed what the display shows has waited for it to stand for longer than this."""

_BEFORE_S: Final = 12.0
_OLDEST_S: Final = 20.0
"""A load whose bytes came longer ago is shown anew."""

_TRIED_BYTES: Final = 512


def known_languages(
    *folders: Path, tell: Callable[[WorldFault], None] = lambda _fault: None
) -> tuple[Language, ...]:
    """Give the languages shipped and those learned, by name; what is shipped is never replaced.

    Args:
        folders: Where files of learned languages are; the first that has a name gives it.
        tell: Is given what is wrong with each file that is left out.
    """
    found = {each.name: each for each in LANGUAGES}
    for folder in folders:
        for each in (*learned_languages(folder, tell), *register_languages(folder, tell)):
            found.setdefault(each.name, each)
    return tuple(found.values())


def language_in(file: Path) -> Language:
    """Give the language of a file.

    Raises:
        WorldFault: if it is not in the form.
    """
    if file.name.endswith(REGISTERS):
        return read_registers(file)
    return as_language(read_language(file))


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
            folder: Where learned languages are kept.
            now_s: The clock that stamps the line's bytes.
            capacity: Gives the scale's capacity, if it is known.
        """
        self._line = line
        self._folder = folder
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
        if self._examples and chunks[-1].at_s <= self._examples[-1].chunks[-1].at_s:
            raise WorldFault(Message("teach.nothing_came"))
        rest_s = chunks[-1].at_s - _AT_REST_S
        last_s = self._examples[-1].chunks[-1].at_s if self._examples else float("-inf")
        begin_s = max(rest_s - _BEFORE_S, last_s)
        self._examples.append(
            Example(
                shown=shown,
                chunks=tuple(each for each in chunks if each.at_s >= rest_s and each.at_s > last_s),
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
            return LessonSoFar(doubts=self._broken_files())
        doubts = tuple(InDoubt(each.about, each.settle, each.blocks) for each in taught.doubts)
        return LessonSoFar(
            loads=loads,
            words=taught.words,
            doubts=doubts,
            may_be_used=taught.may_be_used,
            tried=self.tried(),
        )

    def _broken_files(self) -> tuple[InDoubt, ...]:
        """Name the files of learned languages that cannot be used."""
        faults: list[WorldFault] = []
        known_languages(self._folder, tell=faults.append)
        return tuple(InDoubt(each.message, None, blocks=False) for each in faults)

    def tried(self) -> Reading | BadFrame | None:
        """Say what the language makes of the last bytes that came; nothing before there is one."""
        taught = self._taught
        if taught is None or taught.row is None:
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
        if file.name.endswith(REGISTERS):
            return adopt_registers(file.expanduser(), self._folder)
        return adopt(file.expanduser(), self._folder).name


def _last_bytes(chunks: Sequence[tuple[float, bytes]]) -> Sequence[tuple[float, bytes]]:
    """Give the last chunks, as many as hold some frames."""
    count, total = 0, 0
    for _, data in reversed(chunks):
        count, total = count + 1, total + len(data)
        if total >= _TRIED_BYTES:
            break
    return chunks[len(chunks) - count :]
