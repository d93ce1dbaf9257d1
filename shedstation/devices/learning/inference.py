"""Work out a language from examples: what explains every one of them exactly, and what stays in doubt."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

from pydantic import ValidationError

from shedstation.devices.languages.bits import Bits
from shedstation.devices.languages.language import Language
from shedstation.devices.languages.reading import read_frame
from shedstation.devices.learning.aligning import forms, lines
from shedstation.devices.learning.beyond import learn_beyond
from shedstation.devices.learning.compiling import as_language
from shedstation.devices.learning.cutting import Heard, heard_ways, sends_several_lines
from shedstation.devices.learning.doubts import Doubt, blocking
from shedstation.devices.learning.ignoring import ignored
from shedstation.devices.learning.lesson import Lesson
from shedstation.devices.learning.marks import Scene, finish, telling, texts_of
from shedstation.devices.learning.misgivings import Found, misgivings
from shedstation.devices.learning.recognising import recognised
from shedstation.devices.learning.row import Row, Word
from shedstation.devices.learning.sketch import Sketch, heaviest_believed
from shedstation.devices.learning.soundness import unsound
from shedstation.devices.learning.telling import told
from shedstation.devices.learning.weighing import weighings
from shedstation.domain.mass import Mass
from shedstation.domain.message import Message
from shedstation.domain.reading import Reading

NEEDED_LOADS: Final = 3
_UNNAMED: Final = "learned"


@dataclass(frozen=True, slots=True)
class Taught:
    """What was learned from a lesson."""

    row: Row | None
    """The language as plain data; none if nothing explains the examples."""

    words: tuple[Message, ...]
    """What is certain, in sentences."""

    doubts: tuple[Doubt, ...]
    """What is not; those that block come first."""

    @property
    def may_be_used(self) -> bool:
        """Get whether there is a language and nothing in doubt that could give a wrong weight."""
        return self.row is not None and not any(doubt.blocks for doubt in self.doubts)

    @property
    def language(self) -> Language:
        """Get the language, to try it on fresh bytes.

        Raises:
            ValueError: if nothing was learned.
        """
        if self.row is None:
            msg = "Nothing was learned: expected a row."
            raise ValueError(msg)
        return as_language(self.row)

    @property
    def bits(self) -> Bits:
        """Get what the top bit of each byte is."""
        return Bits.PLAIN if self.row is None else self.row.bits


def learn(lesson: Lesson, name: str = _UNNAMED) -> Taught:
    """Work out the language of a lesson.

    Args:
        lesson: Loads with what was shown and the bytes that came.
        name: What the language will be called.

    Returns:
        A row that gives exactly what was shown in every frame of every load, with what is certain and
        what is in doubt; or no row, and why.
    """
    missing = _missing(lesson)
    if missing is not None:
        return Taught(None, (), (missing,))
    taught, why = _first_taught(lesson, name)
    return taught or Taught(None, (), _reasons(lesson, why, name))


def _missing(lesson: Lesson) -> Doubt | None:
    """Tell what must be shown before anything can be learned."""
    loads = {abs(load.count) for load in lesson.loads if load.count}
    above = [load for load in lesson.loads if load.count > 0]
    if len(loads) < NEEDED_LOADS or len(above) < NEEDED_LOADS - 1:
        return blocking("teach.more_loads", "teach.show_another_load", needed=NEEDED_LOADS)
    weighed = {load.unit for load in lesson.loads if load.count}
    for unit in sorted(lesson.units - weighed, key=lambda unit: unit.value):
        return blocking("teach.unit_only_zero", "teach.show_another_load", unit=unit.value)
    silent = [at for at, each in enumerate(lesson.examples, start=1) if not each.chunks]
    if silent:
        return blocking("teach.nothing_caught", "teach.show_that_again", load=silent[0])
    return None


def _first_taught(lesson: Lesson, name: str) -> tuple[Taught | None, list[Doubt]]:
    """Give what the first way of cutting and laying out frames explains; else what was in the way."""
    why: list[Doubt] = []
    for heard in heard_ways(lesson):
        for sketch in _sketches(lesson, heard):
            reason = _look_around(sketch, lesson)
            if reason is not None:
                why.append(reason)
                continue
            row = _row(sketch, heard, lesson, name)
            if row is not None and not unsound(row) and _reads_all(row, heard, lesson):
                found = Found(row, sketch, heard, lesson)
                return Taught(row, told(row), misgivings(found)), why
    return None, why


def _sketches(lesson: Lesson, heard: Heard) -> Iterator[Sketch]:
    shown = [each.shown for each in lesson.examples]
    usual = [seen for seen in heard.frames if not seen.is_steady or shown[seen.example] is not None]
    weighed = [seen for seen in usual if seen.is_steady]
    over = [seen for seen in heard.frames if seen.is_steady and shown[seen.example] is None]
    for form in forms(usual, weighed):
        laid_out = list(lines(form, usual))
        for weighing in weighings(form, laid_out, shown):
            scene = Scene(laid_out, shown, weighing)
            yield Sketch(form, scene, weighing, lesson.capacity, list(lines(form, over)))


def _look_around(sketch: Sketch, lesson: Lesson) -> Doubt | None:
    """Find the parts around the weight; give what is in the way, if anything is."""
    form, every = sketch.form, sketch.scene.lines
    sketch.is_sign_known = any(load.count < 0 for load in lesson.loads)
    sketch.check = recognised(form, every, sketch.taken())
    rest = set(range(len(form.slots))) - sketch.taken()
    sketch.texts = {at: texts_of(sketch.scene, at) for at in sorted(rest)}
    reason = _find_sign(sketch) or _find_unit(sketch, lesson)
    marks = {at for at, texts in sketch.texts.items() if texts.is_state}
    known = sketch.taken() | marks | {*sketch.sign_slots, *sketch.unit_slots}
    point = sketch.weighing.own[-1].point
    sketch.ignored = ignored(form, every, known, point, is_sign_known=sketch.is_sign_known)
    for each in sketch.ignored:
        for at in range(each.first, each.after):
            del sketch.texts[at]
    for texts in sketch.texts.values():
        finish(texts)
    learn_beyond(sketch)
    return reason


def _find_sign(sketch: Sketch) -> Doubt | None:
    """Find what tells the sign, where the number itself does not."""
    if sketch.weighing.says_sign or not sketch.is_sign_known:
        return None
    found = telling(sketch.scene, sketch.texts, _sign)
    dashes = {at: said for at, said in found.items() if _is_dash(said)}
    sketch.sign_slots = _noted(sketch, dashes or found, at_zero="zero")
    return None if found else blocking("teach.sign_nowhere", "teach.show_below_zero")


def _sign(mass: Mass) -> Word | None:
    return None if mass.count == 0 else "minus" if mass.count < 0 else "plus"


def _is_dash(said: Mapping[bytes, Word]) -> bool:
    return {text for text, word in said.items() if word == "minus"} == {b"-"}


def _find_unit(sketch: Sketch, lesson: Lesson) -> Doubt | None:
    """Find what tells the unit, where the display showed several."""
    if len(lesson.units) == 1:
        return None
    found = telling(sketch.scene, sketch.texts, lambda mass: mass.unit.value)
    spelled = {at: said for at, said in found.items() if _is_spelled(said)}
    sketch.unit_slots = _noted(sketch, spelled or found)
    return None if found else blocking("teach.unit_nowhere", "teach.show_one_unit")


def _is_spelled(said: Mapping[bytes, Word]) -> bool:
    return all(text.lower() in word.encode() for text, word in said.items())


def _noted(
    sketch: Sketch, found: Mapping[int, Mapping[bytes, Word]], at_zero: Word | None = None
) -> list[int]:
    """Write down what the texts of some slots say; give the slots."""
    for at, said in found.items():
        for text, words in sketch.texts[at].words.items():
            word = said.get(text, at_zero)
            if word is not None:
                words.add(word)
    return sorted(found)


def _row(sketch: Sketch, heard: Heard, lesson: Lesson, name: str) -> Row | None:
    """Make the row; none if it is beyond what a row may hold."""
    capacity = lesson.capacity
    heaviest = max(sketch.scene.steady, key=sketch.scene.mass)
    units = lesson.units
    try:
        row = Row(
            name=name,
            bits=heard.bits,
            ends=heard.ends,
            unit=next(iter(units)).value if len(units) == 1 else None,
            most=None if capacity is None else str(heaviest_believed(capacity)),
            sample=heaviest.seen.raw.decode("ascii"),
            reads="",
            part=tuple(sketch.parts()),
        )
    except ValidationError:
        return None
    reading = read_frame(as_language(row), 0.0, heaviest.seen.raw)
    mass = reading.mass if isinstance(reading, Reading) else None
    return row.model_copy(update={"reads": str(mass)})


def _reads_all(row: Row, heard: Heard, lesson: Lesson) -> bool:
    """Tell whether every frame of every load reads as what was shown."""
    spoken = as_language(row)
    for seen in heard.frames:
        shown = lesson.examples[seen.example].shown
        if seen.is_steady and shown is not None:
            found = read_frame(spoken, 0.0, seen.raw, last_unit=shown.unit)
            mass = found.mass if isinstance(found, Reading) else None
            if mass is None or mass.unit is not shown.unit or not mass.same_as(shown):
                return False
    return True


def _reasons(lesson: Lesson, why: Sequence[Doubt], name: str) -> tuple[Doubt, ...]:
    """Say why nothing was learned: what is in the way, or the one load that does not fit the others."""
    if why:
        return (why[0],)
    heard = next(heard_ways(lesson), None)
    if heard is None:
        return (blocking("teach.no_frames", "teach.look_at_line"),)
    if sends_several_lines(heard):
        return (blocking("teach.several_lines", "teach.set_one_line"),)
    for at, example in enumerate(lesson.examples):
        others = replace(lesson, examples=lesson.examples[:at] + lesson.examples[at + 1 :])
        if example.shown is not None and _first_taught(others, name)[0] is not None:
            values = {"load": at + 1, "shown": str(example.shown)}
            return (blocking("teach.odd_load", "teach.show_that_again", **values),)
    return (blocking("teach.nothing_fits", "teach.show_other_digits"),)
