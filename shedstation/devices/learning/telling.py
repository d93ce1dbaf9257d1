"""Say a language in words, part by part."""

from collections.abc import Iterator, Mapping
from typing import Final

from shedstation.devices.learning.compiling import widths_of
from shedstation.devices.learning.row import (
    AnyPart,
    CheckPart,
    How,
    MarkPart,
    NumberPart,
    Row,
    TextPart,
)
from shedstation.domain.mass import Mass, Unit
from shedstation.domain.message import Message

_CONTROL: Final[Mapping[int, str]] = {
    0x01: "SOH", 0x02: "STX", 0x03: "ETX", 0x04: "EOT", 0x05: "ENQ", 0x06: "ACK", 0x09: "TAB",
    0x0A: "LF", 0x0C: "FF", 0x0D: "CR", 0x15: "NAK", 0x1B: "ESC", 0x7F: "DEL",
}  # fmt: skip

_SEEN: Final = {" ": "\u2423", **{chr(code): f"<{name}>" for code, name in _CONTROL.items()}}

_ENDS: Final = {"line": "teach.ends_line", "etx": "teach.ends_etx", "block": "teach.ends_block"}
_MEANS: Final = {
    "plus": "teach.means_plus", "minus": "teach.means_minus", "zero": "teach.means_zero",
    "steady": "teach.means_steady", "moving": "teach.means_moving", "over": "teach.means_over",
    "under": "teach.means_under", "fault": "teach.means_fault",
}  # fmt: skip
_HOLDS: Final = {
    "weight": "teach.holds_weight", "pounds": "teach.holds_pounds", "ounces": "teach.holds_ounces",
    "same": "teach.holds_same", "other": "teach.holds_other",
}  # fmt: skip
_HOW: Final[Mapping[How, str]] = {
    "xor-hex": "teach.check_xor", "xor-byte": "teach.check_xor",
    "sum-hex": "teach.check_sum", "sum-byte": "teach.check_sum",
    "sum-complement-hex": "teach.check_complement",
    "sum-complement-byte": "teach.check_complement",
    "sum-digit": "teach.check_sum", "sum-two-digits": "teach.check_sum",
}  # fmt: skip


def told(row: Row) -> tuple[Message, ...]:
    """Say what a language looks like, in the order a frame is read."""
    return tuple(_told(row))


def _told(row: Row) -> Iterator[Message]:
    yield Message("teach.said_frame", {"ends": Message(_ENDS[row.ends]), "bits": row.bits.value})
    for at, part in enumerate(row.part):
        place = where(row, at)
        match part:
            case TextPart():
                yield Message("teach.said_text", {"place": place, "text": shown(part.text)})
            case NumberPart():
                yield Message(
                    "teach.said_number", {"place": place, "what": Message(_HOLDS[part.holds])}
                )
                yield from _number(part)
            case MarkPart():
                yield _mark(place, part)
            case CheckPart():
                yield Message("teach.said_check", {"place": place, "how": Message(_HOW[part.how])})
            case AnyPart():
                yield Message("teach.said_any", {"place": place})
    yield from _whole(row)


def _whole(row: Row) -> Iterator[Message]:
    if row.unit is not None:
        yield Message("teach.said_unit", {"unit": row.unit})
    if not any(
        {"steady", "moving"} & {*said} for mark in row.marks() for said in mark.means.values()
    ):
        yield Message("teach.said_judged")
    limits = [
        limit for part in row.numbers() if part.holds == "weight" for limit in limits_of(part)
    ]
    if limits:
        yield Message("teach.said_up_to", {"most": limits})


def limits_of(part: NumberPart) -> list[Mass]:
    """Give the heaviest weight that has room in a number, in each unit."""
    return [
        Mass(10**part.digits - 1, decimals, Unit(unit)) for unit, decimals in part.decimals.items()
    ]


def _number(part: NumberPart) -> Iterator[Message]:
    if part.holds not in {"weight", "ounces"}:
        return
    for unit, decimals in part.decimals.items():
        if not decimals:
            yield Message("teach.said_whole", {"unit": unit})
            continue
        name = "teach.said_point" if part.point else "teach.said_implied"
        yield Message(name, {"decimals": decimals, "unit": unit})
    for sign, word in part.signs.items():
        if sign:
            values = {"sign": sign, "means": Message(_MEANS[word])}
            yield Message("teach.said_sign", values)
    for text, beyond in part.instead.items():
        yield Message("teach.said_instead", {"text": shown(text), "means": Message(_MEANS[beyond])})


def _mark(place: Message, part: MarkPart) -> Message:
    texts = [_text_means(text, said) for text, said in part.means.items() if said]
    if texts:
        return Message("teach.said_mark", {"place": place, "texts": texts})
    return Message(
        "teach.said_seen", {"place": place, "texts": [shown(each) for each in part.means]}
    )


def _text_means(text: str, said: tuple[str, ...]) -> Message:
    means = [Message(_MEANS[word]) if word in _MEANS else word for word in said]
    return Message("teach.text_means", {"text": shown(text), "means": means})


def shown(text: str) -> str:
    """Give a text so that spaces and control characters can be seen."""
    return "".join(_SEEN.get(each, each) for each in text)


def where(row: Row, at: int) -> Message:
    """Say where a part stands: its columns from the start or from the end, or its number."""
    widths = [widths_of(part) for part in row.part]
    least, most = widths[at]
    if least == most and all(low == high for low, high in widths[:at]):
        first = 1 + sum(low for low, _ in widths[:at])
        return _columns("teach.at_column", "teach.at_columns", first, most)
    if least == most and all(low == high for low, high in widths[at:]):
        behind = sum(low for low, _ in widths[at + 1 :])
        return _columns("teach.at_column_from_end", "teach.at_columns_from_end", behind + 1, most)
    return Message("teach.at_part", {"part": at + 1})


def _columns(one: str, several: str, first: int, width: int) -> Message:
    if width == 1:
        return Message(one, {"column": first})
    return Message(several, {"first": first, "last": first + width - 1})
