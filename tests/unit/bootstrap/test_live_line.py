"""The desktop's line: what it reports, what it catches, how it is changed."""

import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from real_lines import LONG_S, Ear, cable
from scripted import DIVISION, FRAME

from shedstation.bootstrap import line as line_module
from shedstation.bootstrap.line import LiveLine
from shedstation.devices.capture import Mark, read_capture
from shedstation.devices.languages.decode import decoded_rows
from shedstation.devices.languages.rows import LANGUAGES
from shedstation.devices.practice.scale import PracticeSetup
from shedstation.devices.practice.server import PracticeServer
from shedstation.domain.errors import WorldFault
from shedstation.domain.farm import Bench
from shedstation.domain.line_report import LineReport
from shedstation.domain.line_state import LineNotice, LineState
from shedstation.domain.mass import Mass
from shedstation.domain.reading import LineBack, LineLost, Reading

FULL_DISK = Path("/dev/full")


@pytest.fixture
def ear() -> Ear:
    return Ear()


@pytest.fixture
def live(ear: Ear) -> Iterator[LiveLine]:
    made = LiveLine(lambda text: text, lambda: LANGUAGES)
    made.listen(ear.events.put)
    yield made
    made.stop()


def at(port: str, scale: str) -> Bench:
    capacity = Mass(6000, 2, DIVISION.unit)
    return Bench(
        name="B1", scale=scale, unit=DIVISION.unit, division=DIVISION, capacity=capacity, port=port
    )


def wait_until(live: LiveLine, fits: Callable[[LineReport], bool]) -> LineReport:
    end = time.monotonic() + LONG_S
    while not fits(live.report()):
        assert time.monotonic() < end
        time.sleep(0.01)
    return live.report()


def test_that_a_line_that_is_not_connected_says_so(live: LiveLine, tmp_path: Path) -> None:
    assert live.report().state is LineState.CLOSED
    assert live.raw() == ()
    with pytest.raises(WorldFault, match=r"line\.closed"):
        live.capture(tmp_path / "scale.cap")
    assert not (tmp_path / "scale.cap").exists()


def test_that_the_report_tells_state_language_figures_and_the_last_frames(live: LiveLine) -> None:
    with cable() as scale:
        live.connect(at(scale.name, "auto"))
        report = wait_until(live, lambda each: len(each.heard) >= 20)
        live.stop()
    assert report.state is LineState.LIVE
    assert report.language == "status-comma"
    assert report.quality.reconnects == 0
    assert report.quality.period_s == pytest.approx(0.02, abs=0.02)
    last = report.heard[-1]
    assert last.raw == FRAME
    assert isinstance(last.read[0], Reading)


def test_that_what_was_caught_is_read_by_decode(live: LiveLine, ear: Ear, tmp_path: Path) -> None:
    path = tmp_path / "scale.cap"
    with cable() as scale:
        live.connect(at(scale.name, "status-comma"))
        ear.wait_for(Reading)
        assert live.capture(path) == path
        assert live.report().capture == str(path)
        wait_until(live, lambda _report: path.read_text().count("\t") >= 10)
        live.capture(None)
        assert live.report().capture is None
        live.stop()
    assert path.read_text().startswith("# 9600 baud, bits auto, language status-comma\n")
    rows = list(decoded_rows(path, "auto"))
    assert len(rows) >= 4, "a frame may come in two pieces"
    assert {row["mass"] for row in rows} == {"25.42 lb"}


def test_that_a_capture_goes_on_over_a_pulled_cable(
    live: LiveLine, ear: Ear, tmp_path: Path
) -> None:
    server = PracticeServer(PracticeSetup(), seed=1, now_s=time.monotonic)
    server.start()
    try:
        live.connect(at(server.address, "status-comma"))
        ear.wait_for(Reading)
        live.capture(tmp_path / "scale.cap")
        for out in (True, False):
            server.plug(out=out)
            ear.wait_for(LineLost if out else LineBack)
        for _ in range(3):
            ear.wait_for(Reading)
        live.stop()
    finally:
        server.stop()
    entries = list(read_capture(tmp_path / "scale.cap"))
    assert [each.is_lost for each in entries if isinstance(each, Mark)] == [True, False]
    assert {row["mass"] for row in decoded_rows(tmp_path / "scale.cap", "auto")} == {"0.00 lb"}


def test_that_a_capture_that_is_there_stays_as_it_is(live: LiveLine, tmp_path: Path) -> None:
    for name in ("scale.cap", "scale-2.cap"):
        (tmp_path / name).write_text("old\n")
    with cable() as scale:
        live.connect(at(scale.name, "status-comma"))
        made = live.capture(tmp_path / "scale.cap")
        live.stop()
    assert made == tmp_path / "scale-3.cap"
    assert (tmp_path / "scale.cap").read_text() == "old\n"


def test_that_a_file_that_cannot_be_made_is_told(live: LiveLine, tmp_path: Path) -> None:
    with cable() as scale:
        live.connect(at(scale.name, "status-comma"))
        with pytest.raises(WorldFault, match=r"export\.cannot_write"):
            live.capture(tmp_path / "no" / "scale.cap")
        assert live.report().capture is None
        live.stop()


@pytest.mark.skipif(not FULL_DISK.exists(), reason="the system plays no full disk")
def test_that_a_disk_that_fills_up_ends_the_capture_with_a_word(
    live: LiveLine, ear: Ear, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with cable() as scale:
        live.connect(at(scale.name, "status-comma"))
        ear.wait_for(Reading)
        # The heading still fits on the disk; what comes after it does not.
        full = FULL_DISK.open("w", encoding="utf-8", buffering=1)
        monkeypatch.setattr(line_module, "_new_file", lambda _path: _Heading(full))
        live.capture(tmp_path / "scale.cap")
        assert ear.wait_for(LineNotice).say.name == "line.capture_stopped"
        ear.wait_for(Reading)
        assert live.report().capture is None
        assert live.report().state is LineState.LIVE
        live.stop()


class _Heading:
    """A file that takes its first line."""

    def __init__(self, full: object) -> None:
        self.full = full
        self.name = "scale.cap"
        self.is_begun = False

    def write(self, text: str) -> int:
        if self.is_begun:
            return int(self.full.write(text))  # type: ignore[attr-defined]  # a file
        self.is_begun = True
        return len(text)

    def close(self) -> None:
        try:
            self.full.close()  # type: ignore[attr-defined]  # a file
        except OSError:
            return


def test_that_a_new_capture_is_named_after_the_time(live: LiveLine) -> None:
    assert live.new_capture().match("scale-????????-??????.cap")


def test_that_a_bad_port_leaves_the_line_as_it_is(live: LiveLine, ear: Ear) -> None:
    with cable() as scale:
        live.connect(at(scale.name, "status-comma"))
        with pytest.raises(WorldFault):
            live.connect(at("http://example.com", "auto"))
        ear.wait_for(Reading)
        assert live.port == scale.name
        live.stop()
    assert live.port is None
