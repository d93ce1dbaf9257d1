"""Turn a scale's bytes into readings, in a language given or found."""

from collections import deque
from collections.abc import Iterable, Iterator, Sequence
from itertools import islice
from pathlib import Path
from typing import Final, Protocol

from shedstation.devices.capture import Chunk, Mark, read_capture
from shedstation.devices.languages.bits import Bits, without_top_bit
from shedstation.devices.languages.framing import First, Frame
from shedstation.devices.languages.language import Language
from shedstation.devices.languages.reading import read_frame
from shedstation.devices.languages.recognise import (
    FRAMES_TO_BE_SURE,
    Candidate,
    candidates,
    is_alike,
    the_one,
)
from shedstation.devices.languages.rows import LANGUAGES
from shedstation.domain.errors import WorldFault
from shedstation.domain.mass import Mass, Unit
from shedstation.domain.message import Message
from shedstation.domain.reading import BadFrame, LineBack, LineLost, Reading, ScaleEvent
from shedstation.domain.steadiness import SteadinessJudge

AUTO: Final = "auto"
_CHUNKS_TO_CHOOSE: Final = 4000
_BYTES_KEPT: Final = 1024
_BAD_IN_A_ROW: Final = 8


class Decoding(Protocol):
    """Readings out of bytes."""

    def feed(self, at_s: float, data: bytes) -> list[Reading | BadFrame]:
        """Give what became whole with these bytes; it exists at the time of the last of them."""

    def idle(self, at_s: float) -> list[Reading | BadFrame]:
        """Give what a silence up to this moment made whole."""

    def restart(self) -> None:
        """Drop a partial frame: the line was lost or opened anew."""


class Decoder:
    """Readings out of bytes in one language."""

    def __init__(
        self, spoken: Language, bits: Bits = Bits.PLAIN, *, in_capture: bool = False
    ) -> None:
        """Start reading a line in a language.

        Args:
            spoken: The language.
            bits: What the top bit of each byte is.
            in_capture: Whether what follows the first frame can be waited for, to see if that was whole.
        """
        self.language = spoken
        self.bits = bits
        unclear = First.HELD if in_capture else First.DROPPED
        self._framer = spoken.framing.framer(First.TAKEN if spoken.shows_its_start else unclear)
        self._last_unit: Unit | None = None

    def feed(self, at_s: float, data: bytes) -> list[Reading | BadFrame]:
        """Give what became whole with these bytes; it exists at the time of the last of them."""
        seen = data if self.language.is_binary else without_top_bit(data, self.bits)
        return self._read(self._framer.feed(at_s, seen))

    def idle(self, at_s: float) -> list[Reading | BadFrame]:
        """Give what a silence up to this moment made whole."""
        return self._read(self._framer.idle(at_s))

    def finish(self) -> list[Reading | BadFrame]:
        """Give what is whole because nothing follows."""
        return self._read(self._framer.finish())

    def restart(self) -> None:
        """Drop a partial frame: the line was lost or opened anew."""
        self._framer.restart()

    def _read(self, frames: Iterable[Frame]) -> list[Reading | BadFrame]:
        events: list[Reading | BadFrame] = []
        for frame in frames:
            event = read_frame(self.language, frame.at_s, frame.raw, frame.cut, self._last_unit)
            if isinstance(event, Reading) and event.mass is not None:
                self._last_unit = event.mass.unit
            events.append(event)
        return events


class FindingDecoder:
    """Readings out of bytes in whichever one of several languages reads them."""

    def __init__(self, languages: Sequence[Language] = LANGUAGES) -> None:
        """Start without having found anything; of a single language only the top bits are found."""
        self._languages = languages
        self._chunks: deque[Chunk] = deque()
        self._found: Decoder | None = None
        self._bad_in_row = 0
        self._kept = 0
        self._unseen = 0
        self._is_settled = False
        self._quiet_s: float | None = None

    @property
    def found(self) -> Language | None:
        """Get the language, once it is found."""
        return None if self._found is None else self._found.language

    def feed(self, at_s: float, data: bytes) -> list[Reading | BadFrame]:
        """Give what became whole with these bytes, once enough frames agree on a language."""
        if not self._is_settled:
            self._keep(Chunk(at_s, data))
        if self._found is not None:
            self._unseen += len(data)
            return self._watched(at_s, self._found.feed(at_s, data))
        spoken = self._looked_at_again(len(data))
        if spoken is None:
            return [BadFrame(at_s, data, "no language found yet")]
        return [event for event in self._take_up(spoken) if event.at_s == at_s]

    def idle(self, at_s: float) -> list[Reading | BadFrame]:
        """Give what a silence up to this moment made whole."""
        if self._found is None:
            self._quiet_s = at_s if self._quiet_s is None and not self._chunks else self._quiet_s
            return []
        return self._watched(at_s, self._found.idle(at_s))

    def restart(self) -> None:
        """Drop a partial frame; a language that was found stays."""
        self._forget_chunks()
        self._quiet_s = None
        if self._found is not None:
            self._found.restart()

    def _looked_at_again(self, fresh: int) -> Candidate | None:
        if not self._is_time(fresh):
            return None
        return self._choose(candidates(tuple(self._chunks), self._languages))

    def _is_time(self, fresh: int) -> bool:
        """Tell whether an eighth of what is kept is new: to look at it at every byte costs too much."""
        self._unseen += fresh
        if self._unseen * 8 < self._kept:
            return False
        self._unseen = 0
        return True

    def _choose(self, found: Sequence[Candidate]) -> Candidate | None:
        if len(self._languages) == 1:
            self._is_settled = bool(found)
            return found[0] if found else None
        chosen = the_one(found, least=FRAMES_TO_BE_SURE)
        unproven = [each for each in found if not each.is_proven]
        self._is_settled = chosen is not None and not any(is_alike(chosen, x) for x in unproven)
        return chosen

    def _keep(self, chunk: Chunk) -> None:
        self._chunks.append(chunk)
        self._kept += len(chunk.data)
        while self._kept > _BYTES_KEPT:
            self._kept -= len(self._chunks.popleft().data)

    def _forget_chunks(self) -> None:
        self._chunks.clear()
        self._kept = 0

    def _take_up(self, spoken: Candidate) -> Iterator[Reading | BadFrame]:
        """Read what came so far in the language that was found, and go on with it."""
        self._found = Decoder(spoken.language, spoken.bits)
        if self._quiet_s is not None:
            self._found.idle(self._quiet_s)  # a silence shows that the first frame is whole
        for chunk in self._chunks:
            yield from self._found.feed(chunk.at_s, chunk.data)
        if self._is_settled:
            self._forget_chunks()

    def _watched(self, at_s: float, events: list[Reading | BadFrame]) -> list[Reading | BadFrame]:
        """Look for a language anew: it may be a near relative, or the scale was set otherwise."""
        for event in events:
            self._bad_in_row = 0 if isinstance(event, Reading) else self._bad_in_row + 1
        if self._bad_in_row and not self._is_settled and self._is_time(0):
            return self._turned_out(at_s) or events
        if self._bad_in_row >= _BAD_IN_A_ROW:
            self._found, self._bad_in_row, self._is_settled = None, 0, False
        return events

    def _turned_out(self, at_s: float) -> list[Reading | BadFrame]:
        """Take up the relative that a mark seen for the first time speaks for, if there is one."""
        spoken = self._choose(candidates(tuple(self._chunks), self._languages))
        if spoken is None or self._found is None or spoken.language is self._found.language:
            return []
        self._bad_in_row = 0
        return [event for event in self._take_up(spoken) if event.at_s == at_s]


def language_of(path: Path, name: str, languages: Sequence[Language] = LANGUAGES) -> Candidate:
    """Find out which language a capture is in, or take the named one; and what its top bits are.

    Raises:
        WorldFault: if the name is unknown, or no single language reads the capture.
    """
    wanted = spoken_languages(name, languages)
    found = candidates(_first_chunks(path), wanted)
    if name != AUTO:
        return found[0] if found else _unheard(wanted[0])
    best = the_one(found)
    if best is None:
        known = [each.name for each in languages]
        raise WorldFault(Message("scale.no_language", {"file": str(path), "known": known}))
    return best


def spoken_languages(name: str, languages: Sequence[Language]) -> Sequence[Language]:
    """Give what a scale may speak: the one language of that name, or all for `auto`.

    Raises:
        WorldFault: if none has that name.
    """
    wanted = [each for each in languages if name in (each.name, AUTO)]
    if not wanted:
        known = [each.name for each in languages]
        raise WorldFault(Message("scale.unknown_language", {"language": name, "known": known}))
    return wanted


def _unheard(spoken: Language) -> Candidate:
    return Candidate(language=spoken, bits=Bits.PLAIN, good=0, bad=0, weights=0, is_proven=False)


def _first_chunks(path: Path) -> list[Chunk]:
    chunks = (each for each in read_capture(path) if isinstance(each, Chunk))
    return list(islice(chunks, _CHUNKS_TO_CHOOSE))


def scale_events(path: Path, spoken: Candidate, division: Mass | None) -> Iterator[ScaleEvent]:
    """Give everything a capture holds as the station hears it, in order.

    Args:
        path: The capture.
        spoken: Its language and top bits.
        division: The scale's division, for judging steadiness by time where no mark is sent.

    Raises:
        WorldFault: at the line of the capture that is not in the fixed format.
    """
    decoder = Decoder(spoken.language, spoken.bits, in_capture=True)
    unsaid = spoken.language.may_never_say_steady
    judge = SteadinessJudge(division, mark_may_be_missing=unsaid)
    for chunk in read_capture(path):
        at_s = chunk.at_s
        if isinstance(chunk, Mark):
            yield from map(judge.judged, decoder.finish())
            decoder.restart()
            judge.restart()
            yield LineLost(at_s) if chunk.is_lost else LineBack(at_s)
            continue
        yield from map(judge.judged, decoder.feed(at_s, chunk.data))
    yield from map(judge.judged, decoder.finish())


def decoded_rows(
    path: Path, name: str, languages: Sequence[Language] = LANGUAGES
) -> Iterator[dict[str, object]]:
    """Give one JSON object per reading or bad frame of a capture.

    Raises:
        WorldFault: if the language is unknown or the capture is not in the fixed form.
    """
    spoken = language_of(path, name, languages)
    for event in scale_events(path, spoken, None):
        if isinstance(event, Reading):
            yield _reading_row(event)
        elif isinstance(event, BadFrame):
            raw = event.raw.decode("latin-1")
            yield {"at_s": event.at_s, "bad": raw, "why": event.why}


def _reading_row(reading: Reading) -> dict[str, object]:
    row: dict[str, object] = {
        "at_s": reading.at_s,
        "mass": None if reading.mass is None else str(reading.mass),
        "state": reading.state.value,
        "mode": reading.mode.value,
    }
    return {**row, "judged": True} if reading.judged else row
