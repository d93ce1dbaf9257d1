"""Teach a language on its page, by keyboard, on a scale that sends what nobody has listed."""

import time
from pathlib import Path

import pytest
from hands import Hands, text_of
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QPushButton
from pytestqt.qtbot import QtBot

from shedstation.domain.mass import Mass

Key = Qt.Key


class InventedLine:
    """A line on which a scale sends a number, a mark and a code of its own."""

    def __init__(self) -> None:
        self.chunks: list[tuple[float, bytes]] = []

    def stands(self, count: int) -> None:
        """Send the moving pan and then a load at rest, as if some seconds had passed."""
        now_s = time.monotonic()
        moving = [(now_s - 5.0 + n / 10, self.frame(count * n // 8, "~")) for n in range(8)]
        at_rest = [(now_s - 4.0 + n / 10, self.frame(count, "=")) for n in range(40)]
        self.chunks += [
            each for each in (*moving, *at_rest) if not self.chunks or each[0] > self.last
        ]

    @property
    def last(self) -> float:
        return self.chunks[-1][0]

    @staticmethod
    def frame(count: int, mark: str) -> bytes:
        return f"W{count:06d}{mark}L\r\n".encode("ascii")


@pytest.fixture
def line(hands: Hands, monkeypatch: pytest.MonkeyPatch) -> InventedLine:
    made = InventedLine()
    monkeypatch.setattr(hands.window.desk.line, "raw", lambda: tuple(made.chunks))
    return made


def show(hands: Hands, line: InventedLine, shown: Mass, qtbot: QtBot) -> None:
    line.chunks.clear()
    line.stands(shown.count)
    hands.tab_to("shown")
    hands.type(shown.number())
    hands.press(Key.Key_Return)
    take = hands.window.findChild(QPushButton, "take_load")
    assert take is not None
    qtbot.waitUntil(take.isEnabled, timeout=20_000)


def test_that_a_language_is_taught_tried_and_saved(
    hands: Hands, line: InventedLine, qtbot: QtBot, tmp_path: Path
) -> None:
    hands.press(Key.Key_F7)
    hands.tab_to("teach")
    hands.press(Key.Key_Space)
    unit = hands.window.setup.benches[0].unit
    save = hands.window.findChild(QPushButton, "save_language")
    assert save is not None
    for count in (164, 2679, 1052, 838):
        assert not save.isEnabled() or count == 838
        show(hands, line, Mass(count, 2, unit), qtbot)
    assert save.isEnabled()
    assert "8.38 lb" in text_of(hands, "tried")
    line.stands(999)
    hands.window.paint_now()
    assert "9.99 lb" in text_of(hands, "tried")
    hands.tab_to("language_name")
    hands.type("status-comma")
    hands.press(Key.Key_Return)
    assert "status-comma will not do" in text_of(hands, "message")
    hands.tab_to("language_name")
    hands.type("shed-scale")
    hands.press(Key.Key_Return)
    saved = tmp_path / "data/scale_languages/shed-scale.scale.toml"
    assert str(saved) in text_of(hands, "message")
    assert saved.is_file()
    assert "shed-scale" in hands.window.desk.line.languages()


def test_that_what_is_no_weight_or_comes_with_no_bytes_is_told(
    hands: Hands, line: InventedLine, qtbot: QtBot
) -> None:
    hands.window.go_to("teach")
    hands.tab_to("shown")
    hands.type("lots")
    hands.press(Key.Key_Return)
    qtbot.waitUntil(lambda: "lots" in text_of(hands, "message"), timeout=20_000)
    hands.tab_to("shown")
    hands.type("1.64")
    hands.press(Key.Key_Return)
    qtbot.waitUntil(lambda: "Nothing came" in text_of(hands, "message"), timeout=20_000)
    assert line.chunks == []


def test_that_a_neighbours_file_is_taken_over_or_refused(
    hands: Hands, line: InventedLine, qtbot: QtBot, tmp_path: Path
) -> None:
    hands.window.go_to("teach")
    for count in (164, 2679, 1052, 838):
        show(hands, line, Mass(count, 2, hands.window.setup.benches[0].unit), qtbot)
    hands.window.desk.teacher.save("from-next-door")
    kept = tmp_path / "data/scale_languages/from-next-door.scale.toml"
    sent = tmp_path / "sent.scale.toml"
    kept.rename(sent)
    hands.tab_to("language_file")
    hands.type(str(sent))
    hands.press(Key.Key_Return)
    assert "from-next-door can be chosen" in text_of(hands, "message")
    assert kept.is_file()
    sent.write_text("form = 1\nname = '../x'\n", encoding="ascii")
    hands.tab_to("language_file")
    hands.type(str(sent))
    hands.press(Key.Key_Return)
    assert "sent.scale.toml" in text_of(hands, "message")
