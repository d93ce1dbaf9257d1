"""List the languages scales speak, one row each, named by their structure.

Facts about the families are common knowledge of the trade, from memory (no published source).
"""

import re
from collections.abc import Mapping
from typing import Final

from shedstation.devices.languages import blocks, replies
from shedstation.devices.languages.framing import Block, Ending, Ticket
from shedstation.devices.languages.language import Language
from shedstation.devices.languages.meaning import LB_OZ, NUMBER, UNIT, WORD, marked
from shedstation.devices.languages.registers import REGISTER_LANGUAGES
from shedstation.devices.languages.reports import REPORT_LANGUAGE
from shedstation.domain.reading import Mode, State

_STATES: Final[Mapping[bytes | None, State]] = {
    b"ST": State.STEADY, b"US": State.MOVING, b"OL": State.OVER,
    b"UL": State.UNDER, b"UF": State.UNDER, b"S": State.STEADY, b"M": State.MOVING,
    b"?": State.MOVING, b"*": State.MOVING,
}  # fmt: skip
_STEADY_MARKED: Final = {**_STATES, b"": State.MOVING}
_MOVING_MARKED: Final = {**_STATES, b"": State.STEADY}
_MODES: Final[Mapping[bytes | None, Mode]] = {
    b"GS": Mode.GROSS, b"NT": Mode.NET, b"G": Mode.GROSS, b"N": Mode.NET, None: Mode.UNKNOWN,
}  # fmt: skip

_WEIGHT: Final = NUMBER + rb" *+" + UNIT


def _marked_columns(marks: bytes) -> re.Pattern[bytes]:
    """Give the grammar of a weight in columns, or a word in its place, and perhaps a mark behind."""
    mark = rb"[" + marks + rb"]?"
    weight = rb"(?:" + _WEIGHT + rb"|" + LB_OZ + rb") *+(?P<state>" + mark + rb")"
    word = WORD + rb" *+(?:lb|LB|kg|KG|oz|OZ|g|G)? *+" + mark
    return re.compile(rb" *+(?:" + weight + rb"|" + word + rb") *+")


LANGUAGES: Final[tuple[Language, ...]] = (
    Language(
        name="status-comma",
        grammar=re.compile(
            rb"(?P<state>ST|US|OL|UL|UF),(?:(?P<mode>GS|NT),)? *+(?:"
            + NUMBER
            + rb",? *+"
            + UNIT
            + rb" *+|"
            + LB_OZ
            + rb" *+|[+\- ]*+[9\-_^ .]*+,? *+(?:lbs?|LBS?|kg|KG|Kg|oz|OZ|g|G)? *+)"
        ),
        parse=marked(_STATES, _MODES),
        sample=b"ST,GS,+  25.42lb\r\n",
        shows_its_start=True,
    ),
    Language(
        name="header-columns",
        grammar=re.compile(
            rb"(?P<state>ST|US|OL|UL|UF)(?: (?P<mode>GS|NT|G|N))? ++(?:"
            + _WEIGHT
            + rb"|"
            + LB_OZ
            + rb"|[9\-_^ .]*+ *+(?:lb|kg|oz|g)?) *+"
        ),
        parse=marked(_STATES, _MODES),
        sample=b"ST   25.42 lb\r\n",
        shows_its_start=True,
    ),
    Language(
        name="fixed-columns",
        grammar=_marked_columns(rb"S?*M"),
        parse=marked(_STEADY_MARKED),
        sample=b"   25.42 lb S\r\n",
        proof=re.compile(rb".*S *+"),
    ),
    Language(
        name="columns-moving-mark",
        grammar=_marked_columns(rb"?*M"),
        parse=marked(_MOVING_MARKED),
        sample=b"   25.42 lb ?\r\n",
        proof=re.compile(rb".*[?*M] *+"),
    ),
    Language(
        name="plain-columns",
        grammar=re.compile(
            rb" *+(?:" + _WEIGHT + rb"|" + WORD + rb" *+(?:lb|LB|kg|KG|oz|OZ|g|G)?) *+"
        ),
        parse=marked({None: State.UNKNOWN}),
        sample=b"   25.42 lb\r\n",
    ),
    Language(
        name="unit-when-steady",
        grammar=re.compile(rb" *+(?:" + _WEIGHT + rb"?|" + WORD + rb") *+"),
        parse=replies.unit_when_steady,
        sample=b"   25.42 lb\r\n",
        proof=re.compile(rb" *+[+\-]? *+[\d.]+ *+"),
    ),
    Language(
        name="pounds-ounces",
        grammar=re.compile(rb" *+(?:" + LB_OZ + rb"|" + WORD + rb") *+"),
        parse=marked({None: State.UNKNOWN}),
        sample=b"25 lb  6.2 oz\r\n",
    ),
    Language(
        name="status-block",
        framing=Block(start=b"\x02", length=17, is_frame=blocks.STATUS_BLOCK.fullmatch),
        grammar=blocks.STATUS_BLOCK,
        parse=blocks.status_block,
        sample=b"\x02,    2542     0\r",
        shows_its_start=True,
    ),
    Language(
        name="status-block-checked",
        framing=Block(start=b"\x02", length=18, is_frame=blocks.CHECKED_BLOCK.fullmatch),
        grammar=blocks.CHECKED_BLOCK,
        parse=blocks.checked_block,
        sample=b"\x02,    2542     0\r(",
        shows_its_start=True,
        has_check=True,
    ),
    Language(
        name="short-stx",
        grammar=re.compile(
            rb"\x02(?P<sign>[ \-])(?P<value>[ \d.\-^_]{7})(?P<unit>[LKGO])(?P<mode>[GN])(?P<state>[ MOI])"
        ),
        parse=blocks.short_stx,
        sample=b"\x02   25.42LG \r\n",
        shows_its_start=True,
    ),
    Language(
        name="bracketed-reply",
        framing=Ending(re.compile(rb"\x03+")),
        grammar=re.compile(
            rb"\n *+(?:"
            + _WEIGHT
            + rb"|"
            + LB_OZ
            + rb"|(?P<word>[\^_\-. ]*+) *+(?:lbs?|LBS?|kg|KG|Kg|oz|OZ|g|G)?) *+\r\n"
            rb"S(?P<h1>[\x30-\x3f])(?P<h2>[\x30-\x3f])(?P<h3>[\x30-\x3f])?\r"
        ),
        parse=replies.bracketed,
        sample=b"\n25.42 LB\r\nS00\r\x03",
        shows_its_start=True,
        ask=b"W\r",
    ),
    Language(
        name="mnemonic-reply",
        grammar=re.compile(
            rb"[A-Z]{1,3} (?:(?P<state>[SD]) ++(?:"
            + _WEIGHT
            + rb"|"
            + LB_OZ
            + rb") *+|(?P<out>[I+\-]))"
        ),
        parse=replies.mnemonic,
        sample=b"S S      25.42 lb\r\n",
        shows_its_start=True,
        may_never_say_steady=True,
        ask=b"SI\r\n",
    ),
    Language(
        name="ticket-lines",
        framing=Ticket(holds=replies.TICKET_LABEL),
        grammar=re.compile(rb"[ -~\r\n]+"),
        parse=replies.ticket,
        sample=b"Gross: 25.64 lb\r\nTare: 1.20 lb\r\nNet: 24.44 lb\r\n\r\n",
    ),
    Language(
        name="comma-record",
        grammar=replies.COMMA_RECORD,
        parse=replies.comma_record,
        sample=b"12,2026-06-18,06:12:31,ST,25.64,1.20,24.44,lb,*1A\r\n",
    ),
    Language(
        name="comma-record-after-comma",
        grammar=replies.COMMA_RECORD,
        parse=replies.comma_record_after_comma,
        sample=b"12,2026-06-18,06:12:31,ST,25.64,1.20,24.44,lb,*36\r\n",
        has_check=True,
    ),
    *REGISTER_LANGUAGES,
    REPORT_LANGUAGE,
)


def language(name: str) -> Language:
    """Find a language by name.

    Raises:
        KeyError: if no language has that name.
    """
    return {each.name: each for each in LANGUAGES}[name]
