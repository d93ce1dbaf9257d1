"""Turn a scale's bytes into readings, in a language given or found."""

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path
from typing import Final

from shedstation.devices.capture import Chunk, Mark, read_capture
from shedstation.devices.languages.framing import Cut, First, LineFramer
from shedstation.devices.languages.rows import LANGUAGES, Language, language
from shedstation.domain.errors import WorldFault
from shedstation.domain.mass import Mass
from shedstation.domain.message import Message
from shedstation.domain.reading import BadFrame, LineBack, LineLost, Reading, ScaleEvent
from shedstation.domain.steadiness import SteadinessJudge

AUTO: Final = "auto"
_FRAMES_TO_CHOOSE: Final = 50
_FRAMES_TO_TRUST: Final = 5


class Decoder:
    """Readings out of bytes in one language."""

    def __init__(self, spoken: Language, *, in_capture: bool = False) -> None:
        """Start reading a line in a language; a capture can wait and see whether it began whole."""
        self.language = spoken
        unclear = First.HELD if in_capture else First.DROPPED
        self._framer = LineFramer(First.TAKEN if spoken.shows_its_start else unclear)
        self._held_s = 0.0

    def feed(self, at_s: float, data: bytes) -> list[Reading | BadFrame]:
        """Give what became whole with these bytes; it exists at the time of the last of them."""
        held_before = self._framer.is_holding
        cut = list(self._framer.feed(data))
        times = [at_s] * len(cut)
        if held_before and cut:
            times[0] = self._held_s
        elif not held_before:
            self._held_s = at_s
        return [
            read_frame(self.language, each_s, frame, how)
            for each_s, (frame, how) in zip(times, cut, strict=True)
        ]

    def finish(self) -> list[Reading | BadFrame]:
        """Give a first frame that was held and after which nothing came."""
        return [
            read_frame(self.language, self._held_s, frame, cut)
            for frame, cut in self._framer.finish()
        ]

    def restart(self) -> None:
        """Drop a partial frame: the line was lost or opened anew."""
        self._framer.restart()


class FindingDecoder:
    """Readings out of bytes in whichever one language reads them; until then, bad frames."""

    def __init__(self) -> None:
        """Start without a language."""
        self._framer = LineFramer()
        self._frames: list[bytes] = []
        self._found: Decoder | None = None

    def feed(self, at_s: float, data: bytes) -> list[Reading | BadFrame]:
        """Give what became whole with these bytes, once enough frames agree on a language."""
        if self._found is not None:
            return self._found.feed(at_s, data)
        fresh = [frame for frame, cut in self._framer.feed(data) if cut is Cut.WHOLE]
        self._frames = [*self._frames, *fresh][-_FRAMES_TO_CHOOSE:]
        spoken = _best(self._frames) if len(self._frames) >= _FRAMES_TO_TRUST else None
        if spoken is None:
            return [BadFrame(at_s, frame, "no language found yet") for frame in fresh]
        # The line goes on in the middle of a frame at worst; that one is dropped like any tail.
        self._found = Decoder(spoken)
        return [read_frame(spoken, at_s, frame) for frame in fresh]

    def restart(self) -> None:
        """Drop a partial frame; a language that was found stays."""
        self._framer.restart()
        if self._found is not None:
            self._found.restart()


def read_frame(
    spoken: Language, at_s: float, frame: bytes, cut: Cut = Cut.WHOLE
) -> Reading | BadFrame:
    """Read one frame; what is not wholly in the language is a bad frame, never a number."""
    if cut is not Cut.WHOLE:
        return BadFrame(at_s, frame, cut.value)
    found = spoken.grammar.fullmatch(frame)
    meaning = spoken.parse(found) if found else None
    if meaning is None:
        return BadFrame(at_s, frame, f"not in the language {spoken.name}")
    mass, state, mode = meaning
    return Reading(at_s, mass, state, mode)


def find_language(chunks: Iterable[Chunk | Mark]) -> Language | None:
    """Find the one language that reads more than half of the first frames; none if none or two do."""
    return _best(_first_frames(chunks))


def _best(frames: Sequence[bytes]) -> Language | None:
    hits: Counter[str] = Counter()
    for spoken in LANGUAGES:
        read = sum(isinstance(read_frame(spoken, 0.0, frame), Reading) for frame in frames)
        hits[spoken.name] = read
    best = hits.most_common(2)
    if best[0][1] * 2 <= len(frames) or best[0][1] == best[1][1]:
        return None
    return language(best[0][0])


def _first_frames(chunks: Iterable[Chunk | Mark]) -> list[bytes]:
    framer = LineFramer(First.HELD)
    frames: list[bytes] = []
    for chunk in chunks:
        if isinstance(chunk, Chunk):
            frames.extend(frame for frame, cut in framer.feed(chunk.data) if cut is Cut.WHOLE)
        if len(frames) >= _FRAMES_TO_CHOOSE:
            break
    return frames or [frame for frame, _ in framer.finish()]


def language_of(path: Path, name: str) -> Language:
    """Give the named language, or find out which one a capture is in.

    Raises:
        WorldFault: if the name is unknown, or no single language reads the capture.
    """
    known = [each.name for each in LANGUAGES]
    if name == AUTO:
        found = find_language(read_capture(path))
        if found is None:
            raise WorldFault(Message("scale.no_language", {"file": str(path), "known": known}))
        return found
    if name not in known:
        raise WorldFault(Message("scale.unknown_language", {"language": name, "known": known}))
    return language(name)


def scale_events(path: Path, spoken: Language, division: Mass | None) -> Iterator[ScaleEvent]:
    """Give everything a capture holds as the station hears it, in order.

    Args:
        path: The capture.
        spoken: Its language.
        division: The scale's division, for judging steadiness by time where no mark is sent.

    Raises:
        WorldFault: at the line of the capture that is not in the fixed format.
    """
    decoder = Decoder(spoken, in_capture=True)
    judge = SteadinessJudge(division)
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


def decoded_rows(path: Path, name: str) -> Iterator[dict[str, object]]:
    """Give one JSON object per reading or bad frame of a capture.

    Raises:
        WorldFault: if the language is unknown or the capture is not in the fixed format.
    """
    for event in scale_events(path, language_of(path, name), None):
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
