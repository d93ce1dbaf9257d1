"""A set-up station at its bench, and hands that have only a keyboard."""

from collections.abc import Iterator
from contextlib import ExitStack
from pathlib import Path

import pytest
from hands import Hands, set_up, to_bench
from pytestqt.qtbot import QtBot


@pytest.fixture
def hands(tmp_path: Path, qtbot: QtBot) -> Iterator[Hands]:
    with ExitStack() as stack:
        made = Hands(tmp_path / "data", stack)
        qtbot.addWidget(made.window)
        set_up(made)
        to_bench(made)
        yield made
        made.window.close()
