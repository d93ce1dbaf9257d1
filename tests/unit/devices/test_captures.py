import io
from pathlib import Path

import pytest
from conftest import SAMPLE

from shedstation.devices.capture import CaptureWriter, Chunk, Mark, read_capture
from shedstation.devices.languages.bits import Bits
from shedstation.devices.languages.decode import decoded_rows, language_of
from shedstation.domain.errors import WorldFault


def written(tmp_path: Path, text: str) -> Path:
    path = tmp_path / "scale.cap"
    path.write_bytes(text.encode())
    return path


def hexed(text: str) -> str:
    return text.encode("ascii").hex()


def test_that_a_capture_is_read_back_as_it_was_written() -> None:
    file = io.StringIO()
    writer = CaptureWriter(file, zero_s=10.0)
    writer.chunk(10.0, b"ST,GS,+  0.00lb\r\n")
    writer.mark(12.5, lost=True)
    writer.mark(13.25, lost=False)
    assert file.getvalue().splitlines() == [
        f"0\t{hexed('ST,GS,+  0.00lb') + '0d0a'}".upper(), "2.5\t!lost", "3.25\t!back",
    ]  # fmt: skip


def test_that_comments_empty_lines_and_either_line_end_are_fine(tmp_path: Path) -> None:
    path = written(tmp_path, "# scale\r\n\r\n0\t4142\r\n1.5\t!lost\n2\t!back\n# end\n")
    assert list(read_capture(path)) == [Chunk(0.0, b"AB"), Mark(1.5, True), Mark(2.0, False)]


@pytest.mark.parametrize(
    "line",
    ["0 4142", "0\t414", "0\tXY", "-1\t41", "0\t!gone", "x\t41", "0\t", "1e3\t41", "0\t41\t42"],
)
def test_that_any_other_line_is_named_and_stops_the_reader(tmp_path: Path, line: str) -> None:
    path = written(tmp_path, f"# head\n0\t41\n{line}\n")
    with pytest.raises(WorldFault) as raised:
        list(read_capture(path))
    assert raised.value.message.values["line"] == 3
    assert raised.value.message.values["file"] == str(path)


def test_that_falling_seconds_are_named(tmp_path: Path) -> None:
    with pytest.raises(WorldFault) as raised:
        list(read_capture(written(tmp_path, "2\t41\n1\t41\n")))
    assert raised.value.message.name == "files.capture_time_falls"


def test_that_decoded_rows_are_in_the_fixed_form(tmp_path: Path) -> None:
    lines = [
        f"0.1\t{hexed('ST,GS,+  1.64lb')}0D0A",
        f"0.2\t{hexed('US,GS,+  2.')}",
        f"0.3\t{hexed('10lb')}0D0A",
        f"0.4\t{hexed('garbage')}0D0A",
        f"0.5\t{hexed('OL,GS,+9999999lb')}0D0A",
    ]
    rows = list(decoded_rows(written(tmp_path, "\n".join(lines) + "\n"), "auto"))
    assert rows == [
        {"at_s": 0.1, "mass": "1.64 lb", "state": "steady", "mode": "gross"},
        {"at_s": 0.3, "mass": "2.10 lb", "state": "moving", "mode": "gross"},
        {"at_s": 0.4, "bad": "garbage", "why": "not in the language status-comma"},
        {"at_s": 0.5, "mass": None, "state": "over", "mode": "gross"},
    ]


def test_that_judged_steadiness_says_so(tmp_path: Path) -> None:
    lines = [f"{n / 5}\t{hexed('25 lb  6.2 oz')}0D0A" for n in range(6)]
    rows = list(decoded_rows(written(tmp_path, "\n".join(lines) + "\n"), "pounds-ounces"))
    assert len(rows) == 6
    assert rows[-1] == {
        "at_s": 1.0,
        "mass": "25 lb 6.2 oz",
        "state": "steady",
        "mode": "unknown",
        "judged": True,
    }
    assert rows[0]["state"] == "moving"


def test_that_a_frame_broken_by_a_lost_line_is_never_a_number(tmp_path: Path) -> None:
    frame = f"{hexed('ST,GS,+ 11.64lb')}0D0A"
    broken = f"0.2\t{frame[:20]}\n0.3\t!lost\n1\t!back\n1.1\t{frame[20:]}\n"
    text = f"0\t{frame}\n0.1\t{frame}\n{broken}1.2\t{frame}\n"
    rows = list(decoded_rows(written(tmp_path, text), "auto"))
    assert [row.get("mass", row.get("why")) for row in rows] == [
        "11.64 lb",
        "11.64 lb",
        "not in the language status-comma",
        "11.64 lb",
    ]


def test_that_the_first_whole_frame_after_a_break_is_read(tmp_path: Path) -> None:
    frame = f"{hexed('ST,GS,+ 11.64lb')}0D0A"
    text = f"0\t{frame}\n0.3\t!lost\n1\t!back\n1.1\t{frame}\n1.2\t{frame}\n"
    rows = list(decoded_rows(written(tmp_path, text), "auto"))
    assert [row["at_s"] for row in rows] == [0.0, 1.1, 1.2]
    columns = f"{hexed('  12.34 lb S')}0D0A"
    rows = list(decoded_rows(written(tmp_path, text.replace(frame, columns)), "fixed-columns"))
    assert [row["at_s"] for row in rows] == [0.0, 1.1, 1.2]


def test_that_ounces_may_be_padded(tmp_path: Path) -> None:
    lines = f"0\t{hexed('ST,GS,+ 12 lb  8.0 oz')}0D0A\n0.2\t{hexed('ST,GS,+ 12 lb 10.0 oz')}0D0A\n"
    rows = list(decoded_rows(written(tmp_path, lines), "auto"))
    assert [row["mass"] for row in rows] == ["12 lb 8.0 oz", "12 lb 10.0 oz"]


def test_that_the_first_frame_is_read_if_whole_and_not_if_a_tail(tmp_path: Path) -> None:
    frames = [hexed("  12.34 lb S") + "0D0A"] * 2
    whole = list(
        decoded_rows(
            written(tmp_path, "\n".join(f"{n}\t{f}" for n, f in enumerate(frames)) + "\n"), "auto"
        )
    )
    assert [row["mass"] for row in whole] == ["12.34 lb", "12.34 lb"]
    cut = f"0\t{frames[0][8:]}\n1\t{frames[1]}\n"
    rows = list(decoded_rows(written(tmp_path, cut), "fixed-columns"))
    assert ["bad" in row for row in rows] == [True, False]


def test_that_a_language_is_found_or_the_choice_is_left_to_a_person(tmp_path: Path) -> None:
    found = language_of(SAMPLE / "scale.cap", "auto")
    assert (found.language.name, found.bits) == ("status-comma", Bits.PLAIN)
    both = written(tmp_path, f"0\t{hexed('  ^^^^^^  ')}0D0A\n")  # two languages write overload so
    with pytest.raises(WorldFault, match=r"scale\.no_language"):
        language_of(both, "auto")
    with pytest.raises(WorldFault, match=r"scale\.unknown_language"):
        language_of(both, "klingon")
