"""Whatever is typed and whatever comes: it is learned from or refused, and never breaks."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shedstation.devices.capture import Chunk
from shedstation.devices.languages.decode import Decoder
from shedstation.devices.learning.inference import learn
from shedstation.devices.learning.lesson import Example, Lesson
from shedstation.devices.learning.typed import shown_on_display
from shedstation.domain.errors import WorldFault
from shedstation.domain.mass import Mass, Unit
from shedstation.domain.reading import Reading, State


@pytest.mark.parametrize(
    ("typed", "mass"),
    [
        ("25.42 lb", "25.42 lb"),
        ("25.42lb", "25.42 lb"),
        (" 25,42 ", "25.42 lb"),
        ("11.340 KG", "11.340 kg"),
        ("25 lb 6.2 oz", "25 lb 6.2 oz"),
        ("25lb10.2oz", "25 lb 10.2 oz"),
        ("-1:06.2", "-1 lb 6.2 oz"),
        ("-0.40", "-0.40 lb"),
        ("+8", "8 lb"),
    ],
)
def test_that_what_the_display_shows_can_be_typed(typed: str, mass: str) -> None:
    assert str(shown_on_display(typed, Unit.LB)) == mass


@pytest.mark.parametrize("typed", ["----", "OL", "^^^^", "Err"])
def test_that_no_number_can_be_typed(typed: str) -> None:
    assert shown_on_display(typed, Unit.LB) is None


def test_that_a_bare_number_is_no_pounds_and_ounces() -> None:
    with pytest.raises(WorldFault):
        shown_on_display("25.4", Unit.LB_OZ)
    assert str(shown_on_display("25 6.2", Unit.LB_OZ)) == "25 lb 6.2 oz"


@given(st.text(max_size=60), st.sampled_from(Unit))
def test_that_anything_typed_is_read_or_refused(typed: str, unit: Unit) -> None:
    try:
        found = shown_on_display(typed, unit)
    except WorldFault:
        return
    assert found is None or isinstance(found, Mass)


PIECES = st.sampled_from(
    [b"\r\n", b"\x02", b"\x03", b" ", b"25.42", b"0", b"lb", b"kg", b"-", b",", b"ST", b"1", b"."]
)
DATA = st.one_of(st.binary(max_size=120), st.lists(PIECES, max_size=60).map(b"".join))
MASSES = st.builds(Mass, st.integers(-99_999, 99_999), st.integers(0, 4), st.sampled_from(Unit))
EXAMPLES = st.builds(
    lambda shown, still, before: Example(shown, (Chunk(1.0, still),), (Chunk(0.0, before),)),
    st.none() | MASSES,
    DATA,
    DATA,
)


@given(st.lists(EXAMPLES, max_size=5), st.none() | MASSES)
def test_that_any_bytes_and_any_loads_are_learned_from_or_refused(
    examples: list[Example], capacity: Mass | None
) -> None:
    found = learn(Lesson(tuple(examples), capacity))
    assert found.row is not None or any(doubt.blocks for doubt in found.doubts)


@given(st.lists(st.tuples(MASSES, st.integers(0, 3)), min_size=3, max_size=5), DATA)
def test_that_what_is_learned_from_anything_reads_every_example(
    loads: list[tuple[Mass, int]], noise: bytes
) -> None:
    lesson = Lesson(
        tuple(
            Example(
                mass,
                (Chunk(0.0, noise[:shift] + f"{mass.number()} {mass.unit.value}\n".encode() * 3),),
            )
            for mass, shift in loads
        )
    )
    found = learn(lesson)
    if found.row is not None:
        decoder = Decoder(found.language, found.bits)
        for each in lesson.examples:
            decoder.restart()
            events = decoder.feed(0.0, b"\n" + each.chunks[0].data)
            assert isinstance(events[-1], Reading)
            assert events[-1].mass is not None
            assert each.shown is not None
            assert events[-1].mass.same_as(each.shown)
            assert events[-1].state in {State.UNKNOWN, State.STEADY}
