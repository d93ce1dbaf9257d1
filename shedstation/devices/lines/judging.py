"""Judge bytes that were caught: which language they are in, how sure that is, and why."""

import re
from collections import Counter
from collections.abc import Iterable, Sequence
from itertools import pairwise
from typing import Final

from shedstation.devices.capture import Chunk
from shedstation.devices.languages.bits import Bits, fitting_bits, without_top_bit
from shedstation.devices.languages.language import Language
from shedstation.devices.languages.recognise import (
    FRAMES_TO_BE_SURE,
    Candidate,
    candidates,
    is_alike,
    the_best,
)
from shedstation.domain.message import Message
from shedstation.domain.reading import State
from shedstation.domain.scale_found import Found, Sure

PLAIN_PORT: Final = "8N1"
"""Read so, a line of 8N1, 8N2, 7E1, 7O1 or 7N2 gives every byte whole."""

GOOD_SHARE: Final = 0.9
_TEXT_SHARE: Final = 0.9
_LEAST_TEXT: Final = 8
"""Fewer bytes look like text by chance."""

_REST: Final = 3
"""So many equal weights in a row are a load at rest."""

_CONSOLE: Final = re.compile(
    rb"(?i)login:|password:|\blast login|\[ *\d+\.\d{6}\]|[#$] $|starting kernel"
)
_TEXT_BYTES: Final = frozenset({0x02, 0x03, 0x09, 0x0A, 0x0C, 0x0D, *range(0x20, 0x7F)})


def judged(
    chunks: Sequence[Chunk], languages: Iterable[Language], *, port: str = PLAIN_PORT
) -> Found:
    """Say what the bytes of one line at one setting are.

    Args:
        chunks: What came, in order.
        languages: What may be spoken.
        port: The bits the port was opened with.
    """
    found = [
        each
        for each in candidates(chunks, languages)
        if port == PLAIN_PORT or each.bits is Bits.PLAIN
    ]
    alike = the_best(found)
    if not alike:
        return _nothing(b"".join(chunk.data for chunk in chunks))
    best, *rivals = alike
    relatives = [each for each in found if not each.is_proven and is_alike(best, each)]
    bits = best.bits.value if port == PLAIN_PORT else port
    why = [_read(best, bits), *_bits_doubts(best, port), *_doubts(best, rivals, relatives)]
    return Found(
        sure=_how_sure(best, rivals, relatives),
        share=best.share,
        language=best.language.name,
        bits=bits,
        why=tuple(why),
        others=tuple(each.language.name for each in (*rivals, *relatives)),
        to_try=_more(best, rivals, relatives),
    )


def _how_sure(best: Candidate, rivals: Sequence[Candidate], relatives: Sequence[Candidate]) -> Sure:
    if rivals or not best.weights or _is_turned_round(best):
        return Sure.NOT_SURE
    enough = best.good >= FRAMES_TO_BE_SURE and best.share >= GOOD_SHARE
    if enough and (not relatives or _showed_all(best)):
        return Sure.SURE
    return Sure.LIKELY


def _showed_all(best: Candidate) -> bool:
    """Tell whether a load was seen both moving and at rest, so that every mark would have been sent."""
    masses = [each.mass for each in best.readings]
    runs = zip(*(masses[n:] for n in range(_REST)), strict=False)
    return len(set(masses)) > 1 and any(len(set(run)) == 1 for run in runs)


def _is_turned_round(best: Candidate) -> bool:
    """Tell whether the weight stands still where it is marked moving, and changes where steady."""
    pairs = [
        (one.state, one.mass == other.mass)
        for one, other in pairwise(best.readings)
        if one.state is other.state
    ]
    still = Counter(state for state, is_same in pairs if is_same)
    changing = Counter(state for state, is_same in pairs if not is_same)
    moving, steady = State.MOVING, State.STEADY
    return still[moving] > changing[moving] and changing[steady] > still[steady]


_READ: Final = {
    (False, False): "find.read",
    (False, True): "find.read_checked",
    (True, False): "find.read_binary",
    (True, True): "find.read_checked_binary",
}


def _read(best: Candidate, bits: str) -> Message:
    name = _READ[best.language.is_binary, best.language.has_check]
    frames = best.good + best.bad
    return Message(name, {"good": best.good, "frames": frames, "bits": bits})


def _bits_doubts(best: Candidate, port: str) -> list[Message]:
    """Say which settings would give the same bytes; a port passes a byte of wrong parity on as it is."""
    if port != PLAIN_PORT:
        return [Message("find.parity_alike")]
    if best.bits is Bits.PLAIN and not best.language.is_binary:
        return [Message("find.bits_alike")]
    return []


def _doubts(
    best: Candidate, rivals: Sequence[Candidate], relatives: Sequence[Candidate]
) -> list[Message]:
    doubts = []
    if rivals:
        doubts.append(Message("find.rivals", {"names": [each.language.name for each in rivals]}))
    if not best.weights:
        doubts.append(Message("find.no_weight"))
    if _is_turned_round(best):
        doubts.append(Message("find.turned_round"))
    if relatives and not _showed_all(best):
        names = [each.language.name for each in relatives]
        doubts.append(Message("find.marks_unseen", {"names": names}))
    return doubts


def _more(
    best: Candidate, rivals: Sequence[Candidate], relatives: Sequence[Candidate]
) -> tuple[Message, ...]:
    if rivals or not best.weights or (relatives and not _showed_all(best)):
        return (Message("find.try_load"),)
    if _is_turned_round(best):
        return (Message("find.try_teach"),)
    return () if best.good >= FRAMES_TO_BE_SURE else (Message("find.try_more"),)


def _nothing(data: bytes) -> Found:
    """Say what was seen instead of a scale's language."""
    if not data:
        return Found(sure=Sure.NOTHING, why=(Message("find.silent"),))
    text = text_of(data)
    if text is not None and _CONSOLE.search(text):
        return Found(
            sure=Sure.NOTHING, why=(Message("find.console"),), to_try=(Message("find.try_console"),)
        )
    if text is not None and len(data) >= _LEAST_TEXT:
        letters = text[-40:].decode("ascii", "replace")
        shown = "".join(each if each.isprintable() else " " for each in letters).strip()
        why = Message("find.unknown_text", {"shown": shown})
        tries = (Message("find.try_teach"),)
        return Found(sure=Sure.NOTHING, why=(why,), to_try=tries, is_text=True)
    return Found(sure=Sure.NOTHING, why=(Message("find.garbled", {"bytes": len(data)}),))


def text_of(data: bytes) -> bytes | None:
    """Give the text the later half of the bytes is, whatever its top bits; none if it is none.

    A line that is opened in the middle of a frame gives rubbish until it pauses.
    """
    later = data[len(data) // 2 :]
    for bits in fitting_bits(later):
        text = without_top_bit(later, bits)
        if text_share(text) >= _TEXT_SHARE:
            return text
    return None


def text_share(data: bytes) -> float:
    """Get what share of bytes, top bits left aside, is of the kind that scales send."""
    return sum(byte & 0x7F in _TEXT_BYTES for byte in data) / max(len(data), 1)
