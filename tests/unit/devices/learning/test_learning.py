"""Teaching by example: what is learned from a few loads, and what is said to be in doubt."""

from collections.abc import Callable, Sequence

import pytest

from shedstation.devices.capture import Chunk
from shedstation.devices.languages.bits import Bits
from shedstation.devices.languages.decode import Decoder
from shedstation.devices.languages.reading import read_frame
from shedstation.devices.learning.inference import Taught, learn
from shedstation.devices.learning.lesson import Example, Lesson
from shedstation.domain.mass import Mass, Unit, parse_mass
from shedstation.domain.reading import BadFrame, Reading
from shedstation.words import Words

Write = Callable[[int, bool], str]
"""Writes a frame of a count and whether the pan moves."""

LOADS = (2542, 1138, -164, 6035, 847)


def chunks(*frames: str) -> tuple[Chunk, ...]:
    return tuple(Chunk(i / 10, frame.encode("latin-1")) for i, frame in enumerate(frames))


def example(write: Write, before: int, count: int, shown: str) -> Example:
    """The pan goes to a load and comes to rest."""
    way = [before + (count - before) * i // 12 for i in range(1, 13)] + [count] * 3
    moving = chunks(*(write(each, True) for each in way))
    return Example(parse_mass(shown), chunks(*[write(count, False)] * 8), moving)


def taught(
    write: Write,
    loads: Sequence[int] = LOADS,
    *,
    decimals: int = 2,
    unit: Unit = Unit.LB,
    capacity: str | None = "100 lb",
) -> Taught:
    shown = [str(Mass(count, decimals, unit)) for count in loads]
    steps = zip([0, *loads], loads, shown, strict=False)
    examples = tuple(example(write, before, count, text) for before, count, text in steps)
    return learn(Lesson(examples, None if capacity is None else parse_mass(capacity)))


def decimal(count: int, width: int = 6) -> str:
    return f"{abs(count) / 100:{width}.2f}"


def minus(count: int) -> str:
    return "-" if count < 0 else " "


def read(found: Taught, frame: str) -> str:
    """Give what a frame says, as text; `bad` if it is no reading."""
    event = read_frame(found.language, 0.0, frame.rstrip("\r\n").encode("latin-1"))
    return "bad" if isinstance(event, BadFrame) else f"{event.mass} {event.state.value}"


def doubts(found: Taught) -> set[str]:
    return {doubt.about.name.removeprefix("teach.") for doubt in found.doubts}


# ---- languages


def columns(count: int, moves: bool) -> str:
    return f"{'US' if moves else 'ST'} {minus(count)}{decimal(count)} lb\r\n"


def test_that_fixed_columns_are_learned() -> None:
    found = taught(columns)
    assert found.may_be_used
    assert doubts(found) == set()
    assert read(found, columns(3317, False)) == "33.17 lb steady"
    assert read(found, columns(-1, True)) == "-0.01 lb moving"
    assert read(found, "OL   33.17 lb") == "bad"
    assert read(found, "ST   33.17 kg") == "bad"


def test_that_an_implied_point_a_trailing_sign_and_codes_are_learned() -> None:
    def write(count: int, moves: bool) -> str:
        return f"7{abs(count):06d}{'N' if count < 0 else 'P'}{'4' if moves else '0'}L\r"

    found = taught(write)
    assert found.may_be_used
    assert read(found, "7003317P0L") == "33.17 lb steady"
    assert read(found, "7000040N4L") == "-0.40 lb moving"
    assert read(found, "8003317P0L") == "bad"
    assert read(found, "7003317P0K") == "bad"
    assert read(found, "7003317X0L") == "bad"


def test_that_a_digit_that_was_always_zero_may_be_a_code() -> None:
    found = taught(lambda count, _moves: f"0{minus(count)}{decimal(count, 7)} lb\r\n")
    assert read(found, "0   25.42 lb") == "25.42 lb unknown"
    assert read(found, "1   25.42 lb") == "bad"


def test_that_parity_is_found_and_taken_off() -> None:
    def odd(text: str) -> str:
        return "".join(c if ord(c).bit_count() % 2 else chr(ord(c) | 0x80) for c in text)

    found = taught(lambda count, moves: odd(columns(count, moves)))
    assert found.bits is Bits.ODD
    decoder = Decoder(found.language, found.bits)
    (reading,) = decoder.feed(0.0, odd(columns(3317, False)).encode("latin-1"))
    assert isinstance(reading, Reading)
    assert str(reading.mass) == "33.17 lb"


@pytest.mark.parametrize("end", ["\x03", "\r", ""])
def test_that_blocks_with_a_check_are_learned(end: str) -> None:
    def write(count: int, moves: bool) -> str:
        text = f"\x02{'m' if moves else 's'}{minus(count)}{abs(count):05d}lb{end}"
        return text + chr(-sum(text.encode()) & 0x7F)

    found = taught(write)
    language = found.language
    assert language.has_check
    frame = write(3317, False).encode("latin-1")
    decoder = Decoder(language, found.bits)
    for at in range(len(frame)):
        damaged = bytearray(frame)
        damaged[at] ^= 0x01
        events = decoder.feed(0.0, bytes(damaged) + frame)
        masses = [str(event.mass) for event in events if isinstance(event, Reading)]
        assert set(masses) <= {"33.17 lb"}


def test_that_pounds_and_ounces_are_learned() -> None:
    def write(count: int, _moves: bool) -> str:
        pounds, ounces = divmod(abs(count), 160)
        return f"{minus(count)}{pounds:3d}:{ounces / 10:04.1f}\r\n"

    found = taught(write, (4062, 1830, -264, 3358), decimals=1, unit=Unit.LB_OZ)
    assert found.may_be_used
    assert read(found, "  25:06.2") == "25 lb 6.2 oz unknown"
    assert read(found, "  25:12.9") == "25 lb 12.9 oz unknown"
    assert read(found, "-  0:04.0") == "-0 lb 4.0 oz unknown"
    assert read(found, "  25:17.0") == "bad"


def test_that_a_scale_that_sends_one_frame_a_load_can_be_taught() -> None:
    def printed(count: int, number: int) -> Example:
        frame = f"{number:04d}, {minus(count)}{decimal(count)} lb\r\n"
        return Example(Mass(count, 2, Unit.LB), chunks(frame))

    lesson = Lesson(tuple(printed(count, 17 + at) for at, count in enumerate(LOADS)))
    found = learn(lesson)
    assert found.may_be_used
    assert read(found, "0125,   25.42 lb") == "25.42 lb unknown"
    assert "movement_unheard" in doubts(found)


def test_that_a_unit_that_is_left_out_while_moving_tells_movement() -> None:
    found = taught(
        lambda count, moves: f"{minus(count)}{decimal(count)} {'  ' if moves else 'lb'}\r\n"
    )
    assert read(found, "  33.17 lb") == "33.17 lb steady"
    assert read(found, "  33.17   ") == "33.17 lb moving"
    assert "unit_left_out" in doubts(found)


# ---- doubts


def record(gross: int, net: int) -> str:
    return f"{minus(gross)}{decimal(gross)},{minus(net)}{decimal(net)},lb\r\n"


def test_that_two_places_with_the_same_number_are_both_asked() -> None:
    found = taught(lambda count, _moves: record(count, count))
    assert "two_places" in doubts(found)
    assert read(found, record(3317, 3317)) == "33.17 lb unknown"
    assert read(found, record(3481, 3317)) == "bad"


def test_that_a_load_after_taring_settles_which_place_is_the_weight() -> None:
    def net(count: int, _moves: bool) -> str:
        return record(count + (164 if count in {6035, -164} else 0), count)

    found = taught(net)
    assert "two_places" not in doubts(found)
    assert read(found, record(3481, 3317)) == "33.17 lb unknown"


def test_that_an_unseen_sign_is_no_reading_and_is_said() -> None:
    found = taught(columns, (2542, 1138, 6035, 847))
    assert "sign_unseen" in doubts(found)
    assert read(found, columns(3317, False)) == "33.17 lb steady"
    assert read(found, columns(-164, False)) == "bad"


def test_that_last_digits_that_were_always_zero_are_said() -> None:
    found = taught(columns, (1000, 2000, -500, 2500))
    assert "last_zeros" in doubts(found)
    assert read(found, columns(4000, False)) == "40.00 lb steady"
    assert read(found, columns(4042, False)) == "bad"


def test_that_two_units_without_a_difference_are_refused() -> None:
    def shown(count: int, unit: Unit) -> Example:
        return Example(Mass(count, 2, unit), chunks(*[f"{minus(count)}{decimal(count)}\r\n"] * 5))

    loads = [(2542, Unit.LB), (1138, Unit.LB), (-164, Unit.LB), (1153, Unit.KG), (847, Unit.KG)]
    found = learn(Lesson(tuple(shown(count, unit) for count, unit in loads)))
    assert (found.row, doubts(found)) == (None, {"unit_nowhere"})


def test_that_another_unit_in_the_frame_than_was_typed_is_refused() -> None:
    found = taught(lambda count, moves: columns(count, moves).replace("lb", "kg"))
    assert "unit_differs" in doubts(found)
    assert not found.may_be_used


def test_that_a_slip_of_the_hand_is_found() -> None:
    loads = [(2542, 2542), (1138, 1138), (6035, 6053), (847, 847)]
    examples = tuple(
        example(columns, 0, sent, str(Mass(typed, 2, Unit.LB))) for sent, typed in loads
    )
    found = learn(Lesson(examples))
    (doubt,) = found.doubts
    assert (doubt.about.name, doubt.about.values["load"]) == ("teach.odd_load", 3)


def test_that_what_looks_like_a_weight_beyond_the_range_is_refused() -> None:
    over = Example(None, chunks(*[columns(9999, False)] * 5))
    examples = [example(columns, 0, count, str(Mass(count, 2, Unit.LB))) for count in LOADS]
    assert not learn(Lesson((*examples, over))).may_be_used


def test_that_what_comes_beyond_the_range_is_learned() -> None:
    examples = [example(columns, 0, count, str(Mass(count, 2, Unit.LB))) for count in LOADS]
    over = Example(None, chunks(*["OL  ------ lb\r\n"] * 5))
    found = learn(Lesson((*examples, over)))
    assert found.may_be_used
    assert read(found, "OL  ------ lb") == "None over"
    assert read(found, "OL   25.42 lb") == "None over"
    assert read(found, "ST  ------ lb") == "None over"
    assert read(found, "ST  ++++++ lb") == "bad"
    assert read(found, columns(3317, False)) == "33.17 lb steady"


def test_that_nothing_far_above_the_capacity_is_believed() -> None:
    found = taught(columns, capacity="60 lb")
    assert read(found, columns(6100, False)) == "61.00 lb steady"
    assert read(found, columns(9999, False)) == "bad"


def test_that_a_finer_digit_than_the_display_shows_is_said() -> None:
    found = taught(lambda count, _moves: f"{minus(count)}{decimal(count)}{count % 7} lb\r\n")
    assert "finer_digit" in doubts(found) or not found.may_be_used


def test_that_lines_that_take_turns_are_named() -> None:
    def write(count: int, _moves: bool) -> str:
        return f"G {decimal(count)} lb\r\nT {decimal(0)} lb\r\nN {decimal(count)} lb\r\n"

    assert doubts(taught(write)) == {"several_lines"}


def test_that_a_damaged_frame_does_not_keep_a_language_from_being_learned() -> None:
    clean = [example(columns, 0, count, str(Mass(count, 2, Unit.LB))) for count in LOADS]
    hit = clean[0].chunks[3]
    damaged = Chunk(hit.at_s, hit.data.replace(b".", b"&"))
    first = Example(
        clean[0].shown, (*clean[0].chunks[:3], damaged, *clean[0].chunks[4:]), clean[0].before
    )
    found = learn(Lesson((first, *clean[1:])))
    assert found.may_be_used
    assert read(found, columns(3317, False)) == "33.17 lb steady"
    assert read(found, columns(3317, False).replace(".", "&")) == "bad"


def test_that_a_mark_that_is_no_mark_of_steadiness_is_not_taken_for_one() -> None:
    # It tells zero; the scale sends no mark of steadiness at all.
    found = taught(
        lambda count, _moves: f"{'Z' if count == 0 else ' '}{decimal(count)} lb\r\n",
        (2542, 1138, 847),
    )
    assert read(found, f" {decimal(3317)} lb") == "33.17 lb unknown"
    assert read(found, f"Z{decimal(0)} lb") == "bad"


def test_that_a_letter_that_only_came_while_the_pan_moved_is_not_read_as_moving() -> None:
    # The pan swung below zero on its way; no weight below zero was ever typed.
    def write(count: int, _moves: bool) -> str:
        return f"{'N' if count < 0 else 'P'}{decimal(count)} lb\r\n"

    examples = [
        Example(
            Mass(count, 2, Unit.LB),
            chunks(*[write(count, False)] * 8),
            chunks(*(write(each, True) for each in (0, -164, -164, count // 2, count, count))),
        )
        for count in (2542, 1138, 847)
    ]
    found = learn(Lesson(tuple(examples)))
    assert read(found, write(3317, False)) == "33.17 lb unknown"
    assert read(found, write(-164, False)) == "bad"
    assert "sign_unseen" in doubts(found)


@pytest.mark.parametrize("loads", [(), (2542,), (2542, 1138), (2542, 2542, 2542), (0, 0, 0)])
def test_that_three_different_loads_are_asked_for(loads: tuple[int, ...]) -> None:
    assert doubts(taught(columns, loads)) == {"more_loads"}


def test_that_silence_is_named() -> None:
    silent = Example(parse_mass("1.38 lb"), ())
    examples = [example(columns, 0, count, str(Mass(count, 2, Unit.LB))) for count in LOADS]
    assert doubts(learn(Lesson((*examples, silent)))) == {"nothing_caught"}


@pytest.mark.parametrize("language", ["en", "es"])
def test_that_everything_can_be_said(language: str) -> None:
    words = Words(language)
    for found in (
        taught(columns),
        taught(lambda count, _moves: record(count, count), LOADS[:2] + LOADS[3:]),
    ):
        said = [words.say(message) for message in found.words]
        said += [words.say(doubt.about) for doubt in found.doubts]
        said += [words.say(doubt.settle) for doubt in found.doubts if doubt.settle]
        assert all(each and "{" not in each and "teach." not in each for each in said)
