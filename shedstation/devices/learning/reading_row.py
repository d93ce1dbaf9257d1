"""Read one frame by a learned row; where its parts do not agree it is no reading."""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from shedstation.devices.languages.language import Bare, Meaning
from shedstation.devices.learning.checks import is_right
from shedstation.devices.learning.row import CheckPart, MarkPart, NumberPart, Row
from shedstation.domain.mass import Mass, Unit, parse_mass
from shedstation.domain.reading import State

_OUNCES_IN_POUND: Final = 16
_UNITS: Final[Mapping[str, Unit]] = {unit.value: unit for unit in Unit}
_BEYOND: Final[Mapping[str, State]] = {
    "fault": State.FAULT, "over": State.OVER, "under": State.UNDER,
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Digits:
    """A number's digits and what it says of itself."""

    count: int
    after_point: int | None
    """How many of the digits stand after a point that was sent; none if none was."""

    words: frozenset[str]
    """The sign, if the number itself shows it; what is said in place of the number."""

    is_number: bool = True


class NumberReader:
    """Reads one number of a frame in the form it was learned in."""

    def __init__(self, part: NumberPart) -> None:
        """Compile the form."""
        self.part = part
        sign = rb"([+\-]?)" if set(part.signs) - {""} else b"()"
        before, after = (b" *" if part.fill == side else b"" for side in ("before", "after"))
        point = re.escape(part.point.encode()) + rb"(\d{1,6})" if part.point else b"()"
        whole = rb"(\d*)" if part.point else rb"(\d+)"
        self._form = re.compile(before + sign + before + whole + point + after)

    def read(self, text: bytes) -> Digits | None:
        """Give the digits; none if they are not in the form."""
        part = self.part
        if (word := part.instead.get(text.decode("latin-1"))) is not None:
            return Digits(0, None, frozenset({word}), is_number=False)
        found = self._form.fullmatch(text)
        if found is None or not part.least <= len(text) <= part.most:
            return None
        sign, whole, after = found.groups()
        count = int(whole + after)
        if count >= 10**part.digits or count % 10**part.last_zeros:
            return None
        return self._signed(count, len(after) if part.point else None, sign.decode())

    def _signed(self, count: int, after_point: int | None, sign: str) -> Digits | None:
        if not self.part.signs:
            return Digits(count, after_point, frozenset())
        said = {key: word for key, word in self.part.signs.items() if key == sign}
        return Digits(count, after_point, frozenset(said.values())) if said else None

    def decimals(self, digits: Digits, unit: Unit | None) -> int | None:
        """Give how many of the digits are decimals in a unit; none if that has no sense."""
        by_unit = {_UNITS[name]: count for name, count in self.part.decimals.items()}
        possible = set(by_unit.values()) if unit is None else {by_unit.get(unit)}
        decimals = possible.pop() if len(possible) == 1 else None
        return decimals if digits.after_point in {None, decimals} else None


Numbers = Sequence[tuple[NumberReader, Digits]]


class RowReader:
    """Reads frames of one row."""

    def __init__(self, row: Row) -> None:
        """Take the row apart once."""
        named = [(f"p{at}", part) for at, part in enumerate(row.part)]
        self._checks = [(name, part) for name, part in named if isinstance(part, CheckPart)]
        self._marks = [(name, part) for name, part in named if isinstance(part, MarkPart)]
        self._numbers = [
            (name, NumberReader(part)) for name, part in named if isinstance(part, NumberPart)
        ]
        self._unit = row.fixed_unit
        self._most = None if row.most is None else parse_mass(row.most)

    def parse(self, found: re.Match[bytes]) -> Meaning | None:
        """Give what a frame says; none if a check is wrong or two parts of it disagree."""
        numbers = [(reader, reader.read(found[name])) for name, reader in self._numbers]
        read = [(reader, digits) for reader, digits in numbers if digits is not None]
        if len(read) < len(numbers) or not self._is_checked(found):
            return None
        words = self._words(found, read)
        beyond = next((state for word, state in _BEYOND.items() if word in words), None)
        if beyond is not None:
            return Meaning(None, beyond)
        return self._weighed(read, words)

    def _is_checked(self, found: re.Match[bytes]) -> bool:
        frame = found[0]
        return all(
            is_right(part.how, frame[part.skip : max(found.start(name) - part.gap, 0)], found[name])
            for name, part in self._checks
        )

    def _words(self, found: re.Match[bytes], numbers: Numbers) -> set[str]:
        words: set[str] = set()
        for name, part in self._marks:
            words.update(part.means[found[name].decode("latin-1")])
        for reader, digits in numbers:
            if reader.part.holds != "other":
                words |= digits.words
        return words

    def _weighed(self, numbers: Numbers, words: set[str]) -> Meaning | None:
        units = {_UNITS[word] for word in words & _UNITS.keys()}
        unit = next(iter(units), self._unit)
        counted = _weight(numbers, unit) if len(units) <= 1 else None
        if counted is None:
            return None
        count, decimals = counted
        if count and ("zero" in words or {"plus", "minus"} <= words):
            return None
        return self._meant(-count if "minus" in words else count, decimals, unit, _state(words))

    def _meant(self, count: int, decimals: int, unit: Unit | None, state: State) -> Meaning | None:
        if unit is None:
            return Meaning(Bare(count, decimals), state)
        mass = Mass(count, decimals, unit)
        return None if self._most is not None and abs(mass) > self._most else Meaning(mass, state)


def _weight(numbers: Numbers, unit: Unit | None) -> tuple[int, int] | None:
    """Give count and decimals of the weight; none if it stands twice and differs."""
    by_what: dict[str, list[tuple[int, int | None]]] = {}
    for reader, digits in numbers:
        if digits.is_number:
            said = digits.count, reader.decimals(digits, unit)
            by_what.setdefault(reader.part.holds, []).append(said)
    weight = _compound(by_what) if "pounds" in by_what else by_what["weight"][0]
    count, decimals = weight or (0, None)
    if decimals is None:
        return None
    return (count, decimals) if _all_same(count, decimals, by_what.get("same", ())) else None


def _all_same(count: int, decimals: int, others: Iterable[tuple[int, int | None]]) -> bool:
    return all(
        other is not None and same * 10**decimals == count * 10**other for same, other in others
    )


def _compound(
    by_what: Mapping[str, Sequence[tuple[int, int | None]]],
) -> tuple[int, int | None] | None:
    """Count the ounces; 16 is allowed (displays round up before they carry), more is not."""
    ((pounds, _),), ((ounces, decimals),) = by_what["pounds"], by_what["ounces"]
    carry = _OUNCES_IN_POUND * 10 ** (decimals or 0)
    return None if ounces > carry else (pounds * carry + ounces, decimals)


def _state(words: set[str]) -> State:
    if "moving" in words:
        return State.MOVING
    return State.STEADY if "steady" in words else State.UNKNOWN
