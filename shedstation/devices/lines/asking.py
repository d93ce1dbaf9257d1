"""Ask a scale for one reading in each way that is known, and judge what it answers."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import product
from typing import Final

from shedstation.devices.languages.bits import Bits, with_top_bit
from shedstation.devices.languages.language import Language
from shedstation.devices.lines.faults import at_port
from shedstation.devices.lines.hearing import Heard, Setting
from shedstation.devices.lines.judging import PLAIN_PORT
from shedstation.devices.lines.transport import Transport
from shedstation.domain.message import Message
from shedstation.domain.scale_found import Found, Sure

_ANSWER_S: Final = 0.3
_ASKS: Final = 6
_IN_VAIN: Final = 2
"""The first question may be spoilt by what the scale made of one sent at another setting."""

_PARITY_PORTS: Final = ("8E1", "8O1")
"""Here they differ: a scale may take no question whose parity is wrong."""

TRY_STREAM: Final = Message("find.try_stream")
"""What is advised where a scale answers in a language in which the station never asks."""


@dataclass(frozen=True, slots=True)
class Question:
    """What is sent at a setting, and the languages that may be in the answer."""

    setting: Setting
    sent: bytes
    languages: tuple[Language, ...]


def questions(baud: int | None, languages: Sequence[Language]) -> Iterator[Question]:
    """Give each question once for each way in which a scale may want its bits."""
    for ask in dict.fromkeys(each.ask for each in languages if each.ask is not None):
        who = tuple(each for each in languages if each.ask == ask)
        if who[0].is_binary:
            yield from (Question(port, ask, who) for port in _ports(baud))
        else:
            text = tuple(each for each in languages if not each.is_binary)
            for port, bits in product(_ports(baud), Bits):
                if bits is Bits.PLAIN or port.bits == PLAIN_PORT:
                    yield Question(port, with_top_bit(ask, bits), text)


def _ports(baud: int | None) -> Sequence[Setting]:
    kinds = (PLAIN_PORT,) if baud is None else (PLAIN_PORT, *_PARITY_PORTS)
    return [Setting(baud, bits) for bits in kinds]


def asked(line: Transport, question: Question, now_s: Callable[[], float]) -> Found:
    """Ask several times while it is answered, and judge the answers.

    Args:
        line: Not yet open.
        question: What is asked.
        now_s: A monotonic clock.

    Raises:
        LineFault: if the port fails.
    """
    heard = Heard(question.setting)
    with at_port(line):
        try:
            line.open()
            for number in range(_ASKS):
                if number == _IN_VAIN and not heard.chunks:
                    break
                line.write(question.sent)
                until_s = now_s() + _ANSWER_S
                while now_s() < until_s:
                    data = line.read_chunk()
                    if data:
                        heard.take(now_s(), data)
        finally:
            line.close()
    return _usable(heard.judge(question.languages), question)


def _usable(found: Found, question: Question) -> Found:
    """Say so if it answers in a language in which the station never asks."""
    asks = {each.name for each in question.languages if each.ask is not None}
    if found.language is None or found.language in asks:
        return found
    why = Message("find.answers_only", {"language": found.language})
    return Found(sure=Sure.NOTHING, why=(why,), to_try=(TRY_STREAM,))
