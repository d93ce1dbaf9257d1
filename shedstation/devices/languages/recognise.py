"""Recognise from bytes alone which language a scale speaks, and what the top bits are."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from shedstation.devices.capture import Chunk
from shedstation.devices.languages.bits import Bits, fitting_bits, without_top_bit
from shedstation.devices.languages.framing import First, Frame
from shedstation.devices.languages.language import Language
from shedstation.devices.languages.reading import read_frame
from shedstation.domain.reading import BadFrame, Reading

FRAMES_TO_BE_SURE: Final = 5
"""So many frames do not fit another language by chance."""

_ALIKE: Final = 0.02
"""Shares of frames read that differ by less than this say nothing."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """A language and what the top bits are, and how well both fit the bytes."""

    language: Language
    bits: Bits
    good: int
    bad: int
    weights: int
    """How many of the good frames hold a mass; the rest say over, under or fault."""

    is_proven: bool
    """Whether a frame came that tells it from its near relatives, if it needs one."""

    readings: tuple[Reading, ...] = ()
    """What the good frames say, in order."""

    @property
    def share(self) -> float:
        """Get the share of frames that could be read."""
        return self.good / max(self.good + self.bad, 1)


def candidates(chunks: Sequence[Chunk], languages: Iterable[Language]) -> list[Candidate]:
    """Give every language that reads at least one frame, the best first."""
    every_byte = b"".join(chunk.data for chunk in chunks)
    fitting = tuple(fitting_bits(every_byte))
    found = [
        max((_candidate(chunks, spoken, bits) for bits in _possible(spoken, fitting)), key=_rank)
        for spoken in languages
        if _possible(spoken, fitting)
    ]
    ranked = sorted((each for each in found if each.good), key=_rank, reverse=True)
    shipped = [each for each in ranked if each.is_proven and not each.language.is_learned]
    return [
        each
        for each in ranked
        if not (each.language.is_learned and any(is_alike(each, other) for other in shipped))
    ]


def _possible(spoken: Language, fitting: Sequence[Bits]) -> Sequence[Bits]:
    return (Bits.PLAIN,) if spoken.is_binary else fitting


def _rank(candidate: Candidate) -> tuple[bool, float, int, bool]:
    checked = candidate.language.has_check
    return candidate.is_proven, candidate.share, candidate.weights, checked


def _candidate(chunks: Sequence[Chunk], spoken: Language, bits: Bits) -> Candidate:
    frames = list(_frames(chunks, spoken, bits))
    events = [read_frame(spoken, each.at_s, each.raw, each.cut) for each in frames]
    if events and isinstance(events[0], BadFrame):
        del events[0]  # It may be the tail of one.
    good = [event for event in events if isinstance(event, Reading)]
    proof = spoken.proof
    return Candidate(
        language=spoken,
        bits=bits,
        good=len(good),
        bad=len(events) - len(good),
        weights=sum(event.mass is not None for event in good),
        readings=tuple(good),
        is_proven=proof is None or any(proof.fullmatch(each.raw) for each in frames),
    )


def _frames(chunks: Sequence[Chunk], spoken: Language, bits: Bits) -> Iterator[Frame]:
    framer = spoken.framing.framer(First.TAKEN if spoken.shows_its_start else First.HELD)
    for chunk in chunks:
        data = chunk.data if spoken.is_binary else without_top_bit(chunk.data, bits)
        yield from framer.feed(chunk.at_s, data)
    yield from framer.finish()


def the_best(found: Sequence[Candidate], *, least: int = 1) -> list[Candidate]:
    """Give the best that reads more than half of the frames, and then those that read them as well.

    Args:
        found: Candidates, the best first.
        least: How many frames each must have read.
    """
    proven = [each for each in found if each.is_proven and each.good >= least]
    if not proven or proven[0].share <= 0.5:  # noqa: PLR2004  # half
        return []
    return [each for each in proven if is_alike(proven[0], each)]


def the_one(found: Sequence[Candidate], *, least: int = 1) -> Candidate | None:
    """Give the best if no other is as good."""
    best = the_best(found, least=least)
    return best[0] if len(best) == 1 else None


def is_alike(one: Candidate, other: Candidate) -> bool:
    """Tell whether nothing in the bytes speaks for the one and against the other."""
    same_share = abs(one.share - other.share) < _ALIKE
    return same_share and one.language.has_check == other.language.has_check
