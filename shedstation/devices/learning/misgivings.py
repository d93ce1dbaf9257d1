"""Gather what is in doubt about a language that explains its examples."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from shedstation.devices.languages.reading import read_frame
from shedstation.devices.learning.aligning import Slot
from shedstation.devices.learning.compiling import as_language
from shedstation.devices.learning.cutting import Heard
from shedstation.devices.learning.doubts import Doubt, blocking, open_doubt
from shedstation.devices.learning.lesson import Lesson
from shedstation.devices.learning.reading_row import NumberReader
from shedstation.devices.learning.row import AnyPart, MarkPart, NumberPart, Row
from shedstation.devices.learning.sketch import Sketch, has_needless_zero
from shedstation.devices.learning.telling import limits_of, where
from shedstation.domain.mass import Mass, Unit
from shedstation.domain.message import Message
from shedstation.domain.reading import Reading

_FEW_TEXTS: Final = 3
_CODE: Final = 2
"""Characters of a code; what is longer may go on otherwise."""

_NOISY: Final = 0.02
_HALF: Final = 0.5
_SPELLED: Final = {b"lb": "lb", b"lbs": "lb", b"kg": "kg", b"oz": "oz"}


@dataclass(frozen=True, slots=True)
class Found:
    """A language and what it was found from."""

    row: Row
    sketch: Sketch
    heard: Heard
    lesson: Lesson

    def where(self, slot: int) -> Message:
        """Say where a slot stands."""
        return where(self.row, self.sketch.part_at(slot))

    def each_where(self, slots: Sequence[int]) -> list[Message]:
        """Say where slots stand, those of one part once."""
        parts = dict.fromkeys(self.sketch.part_at(slot) for slot in slots)
        return [where(self.row, part) for part in parts]


def misgivings(found: Found) -> tuple[Doubt, ...]:
    """Give everything in doubt, what blocks first."""
    every = [
        *_places(found),
        *_sign(found),
        *_unit(found),
        *_digits(found),
        *_movement(found),
        *_ignored(found),
        *_beyond(found),
        *_line(found),
    ]
    return tuple(sorted(every, key=lambda doubt: not doubt.blocks))


def _places(found: Found) -> Iterator[Doubt]:
    weighing = found.sketch.weighing
    if not weighing.others:
        return
    places = [found.where(place.first) for place in (weighing.first, *weighing.others)]
    make = open_doubt if weighing.ounces is None else blocking
    yield make("teach.two_places", "teach.show_after_tare", places=places)


def _sign(found: Found) -> Iterator[Doubt]:
    if not found.sketch.is_sign_known:
        yield open_doubt("teach.sign_unseen", "teach.show_below_zero")
    places = found.each_where(found.sketch.sign_slots)
    if len(places) > 1:
        yield open_doubt("teach.sign_two_places", "teach.show_both_signs", places=places)


def _unit(found: Found) -> Iterator[Doubt]:
    places = found.each_where(found.sketch.unit_slots)
    if len(places) > 1:
        yield open_doubt("teach.unit_two_places", "teach.show_other_unit", places=places)
    if found.row.unit is None:
        return
    spelled = _spelled(found)
    typed = set(found.row.unit.split("-"))
    if spelled and not typed & spelled:
        values = {"sent": sorted(spelled), "typed": found.row.unit}
        yield blocking("teach.unit_differs", "teach.show_right_unit", **values)
    elif not spelled:
        yield open_doubt("teach.unit_unsent", "teach.show_other_unit", unit=found.row.unit)
    elif _is_left_out(found.sketch):
        yield open_doubt("teach.unit_left_out", "teach.show_other_unit", unit=found.row.unit)


def _is_left_out(sketch: Sketch) -> bool:
    """Tell whether letters give way to blanks while the pan moves."""
    return any(
        b" " in texts.became and any(text.isalpha() for text in texts.words)
        for texts in sketch.texts.values()
    )


def _spelled(found: Found) -> set[str]:
    """Give the units that stand as words in the frames of steady weights."""
    frames = {line.seen.raw for line in found.sketch.scene.steady}
    words = {word.lower() for raw in frames for word in re.findall(rb"[A-Za-z]+", raw)}
    spelled = {_SPELLED[word] for word in words & _SPELLED.keys()}
    return spelled | ({"g"} if found.row.unit == Unit.G.value and b"g" in words else set())


def _digits(found: Found) -> Iterator[Doubt]:
    sketch = found.sketch
    own = [part for part in found.row.numbers() if part.holds in {"weight", "pounds", "ounces"}]
    if any(part.last_zeros for part in own):
        yield open_doubt("teach.last_zeros", "teach.show_other_digits")
    for part in own:
        if part.holds == "ounces" and part.digits < 2 + max(part.decimals.values()):
            yield open_doubt("teach.ounces_short", "teach.show_ten_ounces")
        if part.holds == "weight":
            limits = [limit for limit in limits_of(part) if _is_low(limit, sketch, part)]
            if limits:
                yield open_doubt("teach.only_up_to", "teach.show_heavier", most=limits)
        if part.holds in {"weight", "pounds"} and _has_one_width(sketch, part):
            yield open_doubt("teach.one_width", "teach.show_lighter")
    if _has_finer_digit(sketch):
        yield open_doubt("teach.finer_digit", "teach.show_other_digits")


def _is_low(limit: Mass, sketch: Sketch, part: NumberPart) -> bool:
    """Tell whether there is no room for the heaviest load: up to the capacity, where that is known."""
    if sketch.capacity is not None:
        return limit < sketch.capacity
    is_free = part.least < part.most
    return is_free or part.digits < part.most - len(part.point) - (
        1 if set(part.signs) - {""} else 0
    )


def _has_one_width(sketch: Sketch, part: NumberPart) -> bool:
    """Tell whether every weight was as long, so that it is not known what stands before shorter ones."""
    place = sketch.weighing.first
    reader = NumberReader(part)
    every = [place.text(line.slots) for line in sketch.scene.lines]
    texts = [text for text in every if reader.read(text) is not None]
    lengths = {len(text.strip()) for text in texts}
    return len(lengths) == 1 and not any(has_needless_zero(place, text) for text in texts)


def _has_finer_digit(sketch: Sketch) -> bool:
    """Tell whether a digit right behind the weight changes without counting: it may be a finer one."""
    at = (sketch.weighing.ounces or sketch.weighing.first).after
    if at >= len(sketch.form.slots) or at in sketch.taken():
        return False
    texts = [line.slots[at] for line in sketch.scene.lines]
    is_digit = sketch.form.slots[at] is Slot.COLUMN and all(text.isdigit() for text in texts)
    counts = any(each.counts for each in sketch.ignored if each.first <= at < each.after)
    return is_digit and len(set(texts)) > 1 and not counts and not _is_mark(sketch, at)


def _is_mark(sketch: Sketch, at: int) -> bool:
    return at in sketch.texts and any(sketch.texts[at].words.values())


def _movement(found: Found) -> Iterator[Doubt]:
    moving = [seen.raw for seen in found.heard.frames if not seen.is_steady]
    if not moving:
        yield open_doubt("teach.movement_unheard", "teach.move_the_pan")
        return
    spoken = as_language(found.row)
    read = sum(isinstance(read_frame(spoken, 0.0, raw), Reading) for raw in moving)
    if read < _HALF * len(moving):
        yield open_doubt("teach.moving_unread", "teach.move_the_pan")
    texts = found.sketch.texts
    has_state = any(each.is_state for each in texts.values())
    unclear = [at for at, each in texts.items() if each.is_unclear and len(each.words) == 1]
    if unclear and not has_state:
        yield open_doubt(
            "teach.mark_unclear", "teach.move_the_pan", places=found.each_where(unclear)
        )


def _ignored(found: Found) -> Iterator[Doubt]:
    sketch = found.sketch
    for each in sketch.ignored:
        before = each.first - 1
        is_digits = isinstance(each.part, AnyPart) and each.part.of == "digits"
        if is_digits and _is_loose_digit(sketch, before):
            place = found.where(each.first)
            yield open_doubt("teach.counter_short", "teach.listen_longer", place=place)
    short = [
        at
        for at, part in enumerate(found.row.part)
        if isinstance(part, NumberPart) and part.holds == "other" and part.digits < part.most - 1
    ]
    for at in short:
        yield open_doubt("teach.other_short", "teach.show_after_tare", place=where(found.row, at))
    for at, part in enumerate(found.row.part):
        if isinstance(part, MarkPart) and not any(part.means.values()) and _seems_open(part):
            yield open_doubt(
                "teach.few_texts", "teach.show_another_load", place=where(found.row, at)
            )


def _is_loose_digit(sketch: Sketch, at: int) -> bool:
    """Tell whether digits stand in a slot that say nothing."""
    if at not in sketch.texts or _is_mark(sketch, at):
        return False
    return all(text.isdigit() for text in sketch.texts[at].words)


def _seems_open(part: MarkPart) -> bool:
    """Tell whether texts that say nothing look like a number or a code that goes on."""
    texts = [text.strip() for text in part.means]
    is_number = "" in texts and any(each.isdigit() for text in texts for each in text)
    is_number |= all(text.isdigit() and len(text) > 1 for text in texts)
    return len(texts) >= _FEW_TEXTS or is_number or max(map(len, texts)) > _CODE


def _beyond(found: Found) -> Iterator[Doubt]:
    spoken = as_language(found.row)
    for seen in found.heard.frames:
        if seen.is_steady and found.lesson.examples[seen.example].shown is None:
            read = read_frame(spoken, 0.0, seen.raw)
            if isinstance(read, Reading) and read.mass is not None:
                yield blocking("teach.beyond_reads", None, mass=read.mass)
                return


def _line(found: Found) -> Iterator[Doubt]:
    damaged = found.heard.damaged
    if damaged > _NOISY * (damaged + len(found.heard.frames)):
        yield open_doubt("teach.damaged", "teach.look_at_line", count=damaged)
