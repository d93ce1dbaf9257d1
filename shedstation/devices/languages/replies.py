"""Read answers, tickets and records: frames whose parts must agree with each other."""

import re
from collections.abc import Iterator, Mapping
from typing import Final

from shedstation.devices.languages.language import Meaning
from shedstation.devices.languages.meaning import (
    LB_OZ,
    NUMBER,
    UNIT,
    UNITS,
    bare_of,
    mass_in,
    mass_of,
    word_state,
)
from shedstation.domain.mass import Mass, Unit
from shedstation.domain.reading import Mode, State


def unit_when_steady(found: re.Match[bytes]) -> Meaning | None:
    """Read a number that loses its unit while it moves."""
    if found["word"] is not None:
        return Meaning(None, word_state(found["word"]))
    if found["unit"] is None:
        return Meaning(bare_of(found["sign"], found["whole"], found["part"]), State.MOVING)
    return Meaning(mass_in(found), State.STEADY)


# Status characters of a bracketed reply; the upper half of each is 3, so they can be printed.
_MOVING: Final = 0x01
_FIRST_FAULTS: Final = 0x0C
_UNDER, _OVER, _SECOND_FAULTS = 0x01, 0x02, 0x0C
_NET: Final = 0x04
"""In the third character, which not every scale sends."""


def bracketed(found: re.Match[bytes]) -> Meaning | None:
    """Read an answer between LF and ETX: the value, then status characters."""
    first, second = found["h1"][0], found["h2"][0]
    mode = Mode.UNKNOWN
    if found["h3"] is not None:
        mode = Mode.NET if found["h3"][0] & _NET else Mode.GROSS
    if first & _FIRST_FAULTS or second & _SECOND_FAULTS:
        return Meaning(None, State.FAULT, mode)
    if second & _OVER or (found["word"] or b"")[:1] == b"^":
        return Meaning(None, State.OVER, mode)
    if second & _UNDER or (found["word"] or b"")[:1] == b"_":
        return Meaning(None, State.UNDER, mode)
    mass = mass_in(found)
    if mass is None:
        return None
    return Meaning(mass, State.MOVING if first & _MOVING else State.STEADY, mode)


_OUT: Final[Mapping[bytes, State]] = {
    b"+": State.OVER, b"-": State.UNDER, b"I": State.UNKNOWN,
}  # fmt: skip


def mnemonic(found: re.Match[bytes]) -> Meaning | None:
    """Read an answer that repeats the command, then says a state and a value."""
    if found["out"] is not None:
        return Meaning(None, _OUT[found["out"]])
    mass = mass_in(found)
    if mass is None:
        return None
    return Meaning(mass, State.STEADY if found["state"] == b"S" else State.MOVING)


TICKET_LABEL: Final = re.compile(
    rb"(?im)^ *+(?:gross|tare|net|gs|tr|nt|g|t|n)\b(?: ?w(?:eigh)?t)? *+:? *+[+\-]? *+\d"
)
_TICKET_LINE: Final = re.compile(
    rb" *+(?P<label>[A-Za-z]++)(?: ?[Ww](?:eigh)?t)? *+:? *+(?:"
    + NUMBER
    + rb" *+"
    + UNIT
    + rb"|"
    + LB_OZ
    + rb"(?<=[zZ])) *+[A-Za-z]? *+"
)
_SOME_WEIGHT: Final = re.compile(rb"\d *+(?:lb|oz|kg|g)(?![A-Za-z])", re.IGNORECASE)
"""A line with a weight under no label that is known may be a damaged one."""

_LABELS: Final = {
    b"gross": "gross", b"gs": "gross", b"g": "gross", b"tare": "tare", b"tr": "tare", b"t": "tare",
    b"net": "net", b"nt": "net", b"n": "net",
}  # fmt: skip


def ticket(found: re.Match[bytes]) -> Meaning | None:
    """Read lines labelled gross, tare and net; a scale prints them once it is steady.

    None if a label comes twice, a labelled line cannot be read, or gross - tare is not net.
    """
    weights: dict[str, Mass] = {}
    for label, mass in _ticket_weights(found[0]):
        if mass is None or label in weights:
            return None
        weights[label] = mass
    return _balanced(weights.get("gross"), weights.get("tare"), weights.get("net"), State.STEADY)


def _ticket_weights(text: bytes) -> Iterator[tuple[str, Mass | None]]:
    for line in re.split(rb"[\r\n]+", text):
        if TICKET_LABEL.match(line) or _SOME_WEIGHT.search(line):
            found = _TICKET_LINE.fullmatch(line)
            label = re.match(rb" *([A-Za-z]+)", line)
            name = _LABELS.get(label[1].lower(), "") if label else ""
            found = found if name else None
            yield name, None if found is None else mass_in(found)


def _balanced(
    gross: Mass | None, tare: Mass | None, net: Mass | None, state: State
) -> Meaning | None:
    """Give net if a tare is off, else gross; none if the three do not belong together."""
    every = [mass for mass in (gross, tare, net) if mass is not None]
    if len({mass.unit for mass in every}) > 1:
        return None
    taken_off = gross - net if tare is None and gross and net else tare
    if gross and taken_off and net and not (gross - taken_off).same_as(net):
        return None
    if net is not None and (taken_off is None or taken_off.count):
        return Meaning(net, state, Mode.NET, taken_off)
    shown = gross or net
    return None if shown is None else Meaning(shown, state, Mode.GROSS)


_PLAIN: Final = rb"[+\-]? *+\d{1,7}(?:\.\d{1,4})?"
_NO_WEIGHT: Final = rb"[\d.+\-\^_ ]{0,12}"
"""What stands in place of a weight beyond the range: nines, dashes, nothing at all."""

COMMA_RECORD: Final = re.compile(
    rb"(?P<body>[A-Za-z0-9_.\-]{0,16},[0-9/.\-]{0,10},[0-9:.]{0,12},(?:"
    rb"(?P<state>ST|US|S|M|D), *+(?P<gross>" + _PLAIN + rb"), *+(?P<tare>" + _PLAIN
    + rb"), *+(?P<net>" + _PLAIN + rb")|(?P<beyond>OL|UL|UF)(?:," + _NO_WEIGHT + rb"){3}), *+"
    + UNIT + rb" *+)(?:(?P<comma>,)\*(?P<check>[0-9A-Fa-f]{2}))?"
)  # fmt: skip
_RECORD_STATES: Final[Mapping[bytes, State]] = {
    b"ST": State.STEADY, b"S": State.STEADY, b"US": State.MOVING, b"M": State.MOVING,
    b"D": State.MOVING, b"OL": State.OVER, b"UL": State.UNDER, b"UF": State.UNDER,
}  # fmt: skip
_SIGNED: Final = re.compile(rb" *+(?P<sign>[+\-]?) *+(?P<whole>\d{1,7})(?:\.(?P<part>\d{1,4}))?")


def _xor(data: bytes) -> int:
    check = 0
    for byte in data:
        check ^= byte
    return check


def comma_record(found: re.Match[bytes]) -> Meaning | None:
    """Read a record; its check, if there is one, is the XOR of all bytes before the star."""
    if found["check"] is not None and int(found["check"], 16) != _xor(found["body"] + b","):
        return None
    return _record(found)


def comma_record_after_comma(found: re.Match[bytes]) -> Meaning | None:
    """Read a record whose check leaves out the comma before the star."""
    if found["check"] is None or int(found["check"], 16) != _xor(found["body"]):
        return None
    return _record(found)


def _record(found: re.Match[bytes]) -> Meaning | None:
    if found["beyond"]:
        return Meaning(None, _RECORD_STATES[found["beyond"]])
    unit = UNITS[found["unit"]]
    gross, tare, net = (_weight(found[name], unit) for name in ("gross", "tare", "net"))
    return _balanced(gross, tare, net, _RECORD_STATES[found["state"]])


def _weight(text: bytes, unit: Unit) -> Mass | None:
    part = _SIGNED.fullmatch(text)
    return None if part is None else mass_of(part["sign"], part["whole"], part["part"], unit)
