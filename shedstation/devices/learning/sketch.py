"""Put the parts of a language together from what was found in the frames."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import groupby
from typing import Final

from shedstation.devices.learning.aligning import Form, Line, Slot
from shedstation.devices.learning.ignoring import Ignored, class_of
from shedstation.devices.learning.marks import Scene, Texts
from shedstation.devices.learning.places import Place
from shedstation.devices.learning.recognising import Recognised
from shedstation.devices.learning.row import (
    MOST_DIGITS,
    MOST_TEXTS,
    AnyPart,
    Holds,
    MarkPart,
    NumberPart,
    Part,
    TextPart,
    Word,
)
from shedstation.devices.learning.weighing import Weighing
from shedstation.domain.mass import Mass, Unit

_RICH: Final = 8
"""So many texts depend on the weight itself, such as a check that is not known."""

_ABOVE_CAPACITY: Final = 102
"""Hundredths of the capacity up to which a weight is believed; displays go blank a little above it."""


@dataclass(slots=True)
class Sketch:
    """What is known of each slot."""

    form: Form
    scene: Scene
    weighing: Weighing
    capacity: Mass | None
    over: Sequence[Line] = ()
    """Frames that came while the display showed no number."""

    check: Recognised | None = None
    ignored: Sequence[Ignored] = ()
    texts: dict[int, Texts] = field(default_factory=dict)
    """What stands in the other slots."""

    sign_slots: Sequence[int] = ()
    unit_slots: Sequence[int] = ()
    instead: dict[int, list[str]] = field(default_factory=dict)
    """Texts that stand in place of a number beyond the range, by the slot it begins with."""

    is_sign_known: bool = False
    """Whether a weight below zero was shown."""

    def taken(self) -> set[int]:
        """Give the slots of the weight and of the check."""
        found = {at for place in self.weighing.every for at in range(place.first, place.after)}
        if self.check is not None:
            found |= set(range(self.check.first, self.check.after))
        return found

    def parts(self) -> list[Part]:
        """Give the parts in order."""
        return [part for _, part in self.spans()]

    def spans(self) -> list[tuple[int, Part]]:
        """Give the parts in order, each with the slot it begins with."""
        whole = self._whole()
        found: list[tuple[int, Part]] = []
        at = 0
        while at < len(self.form.slots):
            after, part = whole[at] if at in whole else self._texts(at, whole)
            found.append((at, part))
            at = after
        return list(_joined(found))

    def part_at(self, slot: int) -> int:
        """Give the number of the part that holds a slot, from zero."""
        return max(i for i, (first, _) in enumerate(self.spans()) if first <= slot)

    def _whole(self) -> Mapping[int, tuple[int, Part]]:
        """Give the parts that take several slots, by the first, with the slot behind each."""
        found: dict[int, tuple[int, Part]] = {}
        for each in self.ignored:
            found[each.first] = each.after, each.part
        if self.check is not None:
            found[self.check.first] = self.check.after, self.check.part
        for place in self.weighing.every:
            found[place.first] = place.after, number_part(self, place)
        return found

    def _texts(self, at: int, whole: Mapping[int, object]) -> tuple[int, Part]:
        """Give one slot, or several that always change together, as text, mark or anything."""
        after = at + 1
        if len(self.texts[at].words) == 1:
            return after, TextPart(text=_text(next(iter(self.texts[at].words))))
        while after not in whole and after in self.texts and self._goes_along(at, after):
            after += 1
        rich = self._rich(at)
        return (at + 1, rich) if rich is not None else (after, self._mark(at, after))

    def _goes_along(self, at: int, other: int) -> bool:
        """Tell whether two slots always change together and say the same."""
        pairs = {(line.slots[at], line.slots[other]) for line in self._understood((at, other))}
        one, two = ({pair[side] for pair in pairs} for side in (0, 1))
        if not len(pairs) == len(one) == len(two) > 1:
            return False
        return all(self.texts[at].words[a] == self.texts[other].words[b] for a, b in pairs)

    def _understood(self, slots: Sequence[int]) -> Iterator[Line]:
        """Give the lines in which the slots hold nothing unknown."""
        for line in (*self.scene.lines, *self.over):
            if all(line.slots[at] in self.texts[at].words for at in slots):
                yield line

    def _rich(self, at: int) -> AnyPart | None:
        """Let vary what takes many texts and can hide no sign, because the sign is known."""
        texts = self.texts[at]
        says = texts.is_state or any(texts.words.values())
        every = {line.slots[at] for line in self.scene.lines}
        if says or not self.is_sign_known or len(every) < _RICH:
            return None
        lengths = {len(text) for text in every}
        return AnyPart(of=class_of([*every]), least=min(lengths), most=max(lengths))

    def _mark(self, first: int, after: int) -> MarkPart:
        slots = range(first, after)
        seen = dict.fromkeys(tuple(line.slots[first:after]) for line in self._understood(slots))
        means = {
            _text(b"".join(texts)): self._said(first, texts) for texts in list(seen)[:MOST_TEXTS]
        }
        return MarkPart(means=means)

    def _said(self, first: int, texts: Sequence[bytes]) -> tuple[Word, ...]:
        words = {
            word for at, text in enumerate(texts) for word in self.texts[first + at].words[text]
        }
        return tuple(sorted(words))


def number_part(sketch: Sketch, place: Place) -> NumberPart:
    """Describe a place of the weight."""
    weighing = sketch.weighing
    texts = [place.text(line.slots) for line in sketch.scene.lines if line.seen.is_steady]
    lengths = {len(text) for text in texts}
    is_free = sketch.form.slots[place.first] is Slot.NUMBER
    holds: Holds = "same" if place in weighing.others else "weight"
    if weighing.ounces is not None and place in weighing.own:
        holds = "ounces" if place is weighing.ounces else "pounds"
    least, most = min(lengths), max(lengths)
    digits = _digits(sketch, place, texts)
    if is_free:
        least, most = 1, max(most, digits + 2)
    return NumberPart(
        holds=holds,
        least=least,
        most=most,
        fill=place.fill,
        point=place.point,
        decimals={unit.value: count for unit, count in place.decimals.items()},
        digits=digits,
        last_zeros=min(place.last_zeros, 6),
        signs=dict(place.signs),  # type: ignore[arg-type]  # the pattern knows only these
        instead=dict.fromkeys(sketch.instead.get(place.first, ()), "over"),
    )


def _digits(sketch: Sketch, place: Place, texts: Sequence[bytes]) -> int:
    """Tell how many digits may be other than zero at most.

    Where zeros fill a number up, one that never changed may be a code; where spaces do, or nothing,
    there is room for heavier weights up to the capacity.
    """
    is_zero_filled = any(has_needless_zero(place, text) for text in texts)
    most = max(place.digits, 1)
    if is_zero_filled or sketch.capacity is None or place is sketch.weighing.ounces:
        return (
            most
            if place is not sketch.weighing.ounces or is_zero_filled
            else max(most, _ounces(place))
        )
    heaviest = [_counted(sketch, unit, each) for unit, each in place.decimals.items()]
    return min(max([most, *heaviest]), MOST_DIGITS)


def _ounces(place: Place) -> int:
    return 2 + max(place.decimals.values())


def _counted(sketch: Sketch, unit: Unit, decimals: int) -> int:
    assert sketch.capacity is not None  # noqa: S101  # looked for by the caller
    wanted = unit if sketch.weighing.ounces is None else Unit.LB
    heaviest = sketch.capacity.in_unit(wanted, decimals)
    return len(str(heaviest.count * _ABOVE_CAPACITY // 100))


def heaviest_believed(capacity: Mass) -> Mass:
    """Give the weight above which nothing is believed."""
    return Mass(capacity.count * _ABOVE_CAPACITY, capacity.decimals + 2, capacity.unit)


def has_needless_zero(place: Place, text: bytes) -> bool:
    """Tell whether zeros fill a number up."""
    digits = text.strip().lstrip(b"+-").lstrip()
    if place.point:
        whole = digits.split(place.point.encode())[0]
        return len(whole) > 1 and whole[:1] == b"0"
    shown = max(place.decimals.values())
    return len(digits) > shown + 1 and digits[:1] == b"0"


def _joined(spans: Sequence[tuple[int, Part]]) -> Iterator[tuple[int, Part]]:
    """Join texts that follow each other."""
    for is_text, group in groupby(spans, key=lambda span: isinstance(span[1], TextPart)):
        same = list(group)
        if is_text:
            text = "".join(part.text for _, part in same if isinstance(part, TextPart))
            yield same[0][0], TextPart(text=text)
        else:
            yield from same


def _text(raw: bytes) -> str:
    return raw.decode("ascii")
