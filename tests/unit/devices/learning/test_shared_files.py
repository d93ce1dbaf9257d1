"""Files of learned languages: what is written is read the same; what came is not trusted."""

import functools
import random
import re
import tomllib
from pathlib import Path

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st
from invented_scales import Bench, scale
from teacher import Teacher

from shedstation.devices.languages.decode import Decoder
from shedstation.devices.languages.reading import read_frame
from shedstation.devices.learning.compiling import as_language
from shedstation.devices.learning.inference import Taught
from shedstation.devices.learning.row import Row
from shedstation.devices.learning.shared_file import (
    MOST_BYTES,
    adopt,
    as_text,
    is_name,
    learned_languages,
    read_language,
    write_language,
)
from shedstation.domain.errors import WorldFault
from shedstation.domain.reading import BadFrame, Reading
from shedstation.words import Words

SEEDS = tuple(range(24))


@functools.cache
def taught(seed: int) -> Taught:
    return Teacher(scale(seed), random.Random(seed)).taught()


@functools.cache
def rows() -> tuple[Row, ...]:
    found = [(seed, taught(seed).row) for seed in SEEDS]
    return tuple(
        row.model_copy(update={"name": f"bench-{seed}"}) for seed, row in found if row is not None
    )


@functools.cache
def files() -> tuple[str, ...]:
    return tuple(as_text(row) for row in rows())


def refused(path: Path, text: str) -> WorldFault:
    path.write_text(text, encoding="utf-8")
    with pytest.raises(WorldFault) as caught:
        read_language(path)
    assert "teach." not in Words("en").say(caught.value.message)
    assert "teach." not in Words("es").say(caught.value.message)
    return caught.value


def test_that_a_written_language_is_read_the_same(tmp_path: Path) -> None:
    assert len(rows()) > 20
    for row in rows():
        path = write_language(row, tmp_path)
        assert path.name == f"{row.name}.scale.toml"
        assert read_language(path) == row


@pytest.mark.parametrize("seed", SEEDS)
def test_that_a_shared_language_gives_the_same_readings(tmp_path: Path, seed: int) -> None:
    row = taught(seed).row
    if row is None:
        pytest.skip("not learned")
    shared = as_language(read_language(write_language(row, tmp_path)))
    bench = Bench(scale(seed), random.Random(seed))
    for load in (bench.load(), -bench.load() // 10, 0):
        data = b"".join(
            chunk.data for chunk in bench.heard([*bench.moved_to(load), *bench.at_rest(4)])
        )
        one, other = (
            Decoder(spoken, row.bits).feed(0.0, data) for spoken in (as_language(row), shared)
        )
        assert [event for event in one if isinstance(event, Reading)] == [
            event for event in other if isinstance(event, Reading)
        ]


def test_that_a_file_is_plain_text_without_patterns_or_places() -> None:
    for text in files():
        assert text.isascii()
        assert not re.search(r"\\d|\(\?|socket:|/dev/|COM\d", text)
        assert tomllib.loads(text)["form"] == 1


GOOD = """
form = 1
name = "old-bench"
unit = "lb"
sample = "S  25.42"
reads = "25.42 lb"
[[part]]
kind = "mark"
means = {"S" = ["steady"], "M" = ["moving"]}
[[part]]
kind = "number"
holds = "weight"
least = 7
most = 7
fill = "before"
point = "."
decimals = {lb = 2}
digits = 4
"""


def test_that_a_file_written_by_hand_is_read(tmp_path: Path) -> None:
    path = tmp_path / "any.scale.toml"
    path.write_text(GOOD)
    spoken = as_language(read_language(path))
    found = read_frame(spoken, 0.0, b"M   8.00")
    assert isinstance(found, Reading)
    assert str(found.mass) == "8.00 lb"


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('"old-bench"', '"status-comma"'),
        ('"old-bench"', '"../old"'),
        ('"old-bench"', '"Old"'),
        ('"old-bench"', '"' + "a" * 41 + '"'),
        ("form = 1", "form = 2"),
        ('unit = "lb"', 'unit = "stone"'),
        ('unit = "lb"', ""),
        ('unit = "lb"', 'unit = "lb"\nport = "socket://127.0.0.1:4001"'),
        ('unit = "lb"', 'unit = "lb"\nmost = "-5 lb"'),
        ('reads = "25.42 lb"', 'reads = "2.542 lb"'),
        ('"S  25.42"', '"S  25.42 "'),
        ("least = 7", "least = 200"),
        ("least = 7", "least = 9"),
        ("least = 7", "least = 6"),
        ("least = 7", "least = true"),
        ("least = 7", "least = 7.0"),
        ("digits = 4", "digits = 40"),
        ('kind = "mark"', 'kind = "regex"\ntext = "(a+)+"'),
        ('{"S" = ["steady"], "M" = ["moving"]}', '{"S" = ["plus", "minus"]}'),
        ('{"S" = ["steady"], "M" = ["moving"]}', "{}"),
        ('"M" = ["moving"]', '"M\\n" = ["moving"]'),
        ('"M" = ["moving"]', '"\u00e9" = ["moving"]'),
        ('holds = "weight"', 'holds = "pounds"'),
        ('holds = "weight"', 'holds = "other"'),
        ('point = "."', 'point = "|"'),
        ("decimals = {lb = 2}", "decimals = {lb = 99}"),
        ("decimals = {lb = 2}", "decimals = {kg = 2}"),
        ("form = 1", 'form = 1\nends = "block"'),
        ("form = 1", "form = " + "[" * 5000),
        ("form = 1", "form = " + "9" * 5000),
        ("form = 1", "form = 1979-99-99"),
    ],
)  # fmt: skip
def test_that_what_is_not_just_so_is_refused(tmp_path: Path, old: str, new: str) -> None:
    assert old in GOOD
    refused(tmp_path / "bad.scale.toml", GOOD.replace(old, new))


def test_that_everything_wrong_is_told_at_once(tmp_path: Path) -> None:
    text = GOOD.replace("old-bench", "Old").replace("= 7", "= 0").replace("digits = 4", "depth = 4")
    wrong = refused(tmp_path / "bad.scale.toml", text).message.values["wrong"]
    assert isinstance(wrong, list)
    assert [str(each.values["key"]) for each in wrong] == [
        "name",
        "part.2.least",
        "part.2.most",
        "part.2.depth",
    ]


def test_that_a_huge_file_a_folder_and_a_missing_file_are_refused(tmp_path: Path) -> None:
    refused(tmp_path / "huge.scale.toml", GOOD + "#" * MOST_BYTES)
    for path in (tmp_path, tmp_path / "none.scale.toml", tmp_path / ("n" * 300), tmp_path / "a\0b"):
        with pytest.raises(WorldFault):
            read_language(path)


def test_that_neighbours_whose_characters_could_run_together_are_refused(tmp_path: Path) -> None:
    runs = '[[part]]\nkind = "any"\nof = "printable"\nleast = 1\nmost = 30\n'
    text = GOOD.replace('sample = "S  25.42"', 'sample = "xxxxS  25.42"')
    fault = refused(tmp_path / "bad.scale.toml", text.replace("[[part]]", runs * 4 + "[[part]]", 1))
    assert "teach.expect_other_character" in str(fault)


def test_that_a_broken_file_in_the_folder_is_told_and_left_out(tmp_path: Path) -> None:
    write_language(rows()[0], tmp_path)
    (tmp_path / "broken.scale.toml").write_text("form = 1")
    (tmp_path / "copy.scale.toml").write_text(files()[0])
    (tmp_path / "notes.txt").write_text("not looked at")
    told: list[WorldFault] = []
    found = learned_languages(tmp_path, told.append)
    assert [each.name for each in found] == [rows()[0].name]
    assert [each.message.name for each in told] == ["teach.file_refused", "teach.name_taken"]
    assert learned_languages(tmp_path / "none", told.append) == ()


def test_that_a_file_that_came_is_written_anew_under_its_own_name(tmp_path: Path) -> None:
    came = tmp_path / "from a neighbour (1).toml"
    came.write_text("# anything\n" + GOOD)
    row = adopt(came, tmp_path / "mine")
    assert row.name == "old-bench"
    assert read_language(tmp_path / "mine" / "old-bench.scale.toml") == row
    with pytest.raises(WorldFault):
        adopt(came, tmp_path / "mine")


@pytest.mark.parametrize(
    ("name", "may_be"),
    [
        ("bench", True),
        ("bench-2", True),
        ("2", False),
        ("a--b", False),
        ("a/b", False),
        ("", False),
    ],
)
def test_that_names_are_lower_case_words(name: str, may_be: bool) -> None:
    assert is_name(name) is may_be


# ---- fuzz


def tried(path: Path, text: str) -> None:
    """Read a file; if it is taken, its language reads nothing outside its grammar."""
    path.write_text(text, encoding="utf-8", errors="surrogatepass")
    try:
        row = read_language(path)
    except WorldFault:
        return
    spoken = as_language(row)
    sample = row.sample.encode("ascii")
    for frame in (sample, sample[1:], sample + b"0", b"0" * 128, b" " * 128, b"\x02" * 40):
        found = read_frame(spoken, 0.0, frame)
        assert isinstance(found, Reading | BadFrame)
        assert isinstance(found, BadFrame) or spoken.grammar.fullmatch(frame)


SCALARS = st.one_of(
    st.text(max_size=20), st.integers(), st.booleans(), st.floats(allow_nan=False), st.none()
)
SLOW = settings(suppress_health_check=[HealthCheck.function_scoped_fixture])


@SLOW
@given(st.text(max_size=400))
@example("[" * 9000)
@example("a." * 4000 + "a = 1")
@example("x = {a = " * 1500)
def test_that_any_text_is_read_or_refused(tmp_path: Path, text: str) -> None:
    tried(tmp_path / "any.scale.toml", text)


@SLOW
@given(st.binary(max_size=400))
def test_that_any_bytes_are_read_or_refused(tmp_path: Path, data: bytes) -> None:
    path = tmp_path / "any.scale.toml"
    path.write_bytes(data)
    with pytest.raises(WorldFault):
        read_language(path)


@SLOW
@given(st.data())
def test_that_a_mutated_file_is_read_or_refused(tmp_path: Path, data: st.DataObject) -> None:
    text = data.draw(st.sampled_from(files()))
    for _ in range(data.draw(st.integers(1, 4))):
        at = data.draw(st.integers(0, len(text)))
        cut = data.draw(st.integers(0, 6))
        text = text[:at] + data.draw(st.text(max_size=4)) + text[at + cut :]
    tried(tmp_path / "any.scale.toml", text)


@SLOW
@given(st.data())
def test_that_a_file_with_other_values_is_read_or_refused(
    tmp_path: Path, data: st.DataObject
) -> None:
    lines = data.draw(st.sampled_from(files())).splitlines()
    places = [at for at, line in enumerate(lines) if " = " in line and not line.startswith("#")]
    for at in data.draw(st.lists(st.sampled_from(places), min_size=1, max_size=3)):
        key = lines[at].split(" = ")[0]
        other = lines[data.draw(st.sampled_from(places))].split(" = ", 1)[1]
        value = data.draw(st.one_of(st.just(other), SCALARS.map(lambda each: repr(each).lower())))
        lines[at] = f"{key} = {value}"
    tried(tmp_path / "any.scale.toml", "\n".join(lines))
