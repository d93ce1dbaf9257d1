"""A person with no mouse sets a farm up, packs, culls, corrects, reprints and exports."""

import json
from collections.abc import Iterator
from contextlib import ExitStack
from itertools import combinations
from pathlib import Path

import pytest
from hands import TODAY, Hands, set_up, to_bench
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QComboBox, QLabel, QLineEdit, QWidget
from pytestqt.qtbot import QtBot

from shedstation.domain.bench_sequence import Step
from shedstation.domain.box import JobState
from shedstation.domain.mass import parse_mass
from shedstation.domain.message import Message
from shedstation.domain.reading import LineBack, LineLost

Key = Qt.Key


@pytest.fixture
def hands(tmp_path: Path, qtbot: QtBot) -> Iterator[Hands]:
    with ExitStack() as stack:
        made = Hands(tmp_path / "data", stack)
        qtbot.addWidget(made.window)
        yield made
        made.window.close()


def pack_one(hands: Hands) -> None:
    hands.shows("0.00")
    hands.shows("1.64")
    hands.step()
    hands.shows("26.79")
    hands.step()
    assert hands.station.view("B1").step is Step.CLOSED
    hands.shows("0.00")


def test_that_a_person_without_a_mouse_does_the_whole_job(hands: Hands, tmp_path: Path) -> None:
    set_up(hands)
    to_bench(hands)
    hands.letters("1")
    assert hands.station.view("B1").person == "lead"
    pack_one(hands)
    hands.shows("1.64")
    hands.step(Key.Key_Return)
    assert hands.station.view("B1").step is Step.FILLING

    hands.letters("c")
    hands.tab_to("cull_count")
    hands.type("3")
    hands.press(Key.Key_Return)
    assert hands.station.ledger.culls_on(TODAY)[0].count == 3

    hands.press(Key.Key_F1)
    hands.shows("26.70")
    hands.step()
    hands.shows("0.00")
    assert len(hands.station.ledger.boxes_on(TODAY)) == 2
    for _ in range(2):
        hands.window.pulse.print_waiting()
    hands.letters("r")
    hands.window.pulse.print_waiting()
    jobs = hands.station.ledger.label_jobs_of("B1-000002")
    assert [(job.copy_no, job.state) for job in jobs] == [(0, JobState.SENT), (1, JobState.SENT)]

    hands.press(Key.Key_F6)
    hands.tab_to("export_to")
    hands.type(str(tmp_path / "records"))
    hands.tab_to("export_record")
    hands.press(Key.Key_Space)
    done = tmp_path / "records" / "2026-06-18" / "refused.csv"
    for _ in range(200):
        QTest.qWait(20)
        if done.exists():
            break
    day = json.loads((tmp_path / "records" / "2026-06-18" / "day.json").read_text())
    assert [box["net"] for box in day["boxes"]] == ["25.15 lb", "25.06 lb"]

    hands.tab_to("close_day")
    hands.press(Key.Key_Space)
    assert hands.station.day is None


def test_that_the_lead_corrects_boxes_by_keyboard_with_a_pin(hands: Hands) -> None:
    set_up(hands, pin="2468")
    to_bench(hands)
    pack_one(hands)
    hands.letters("b")
    hands.choose("new_grade", "No. 2")
    hands.tab_to("move")
    hands.press(Key.Key_Space)
    hands.type("wrong grade")
    hands.press(Key.Key_Tab)
    hands.type("1111")
    hands.press(Key.Key_Return)
    assert "PIN" in hands.said
    hands.type("2468")
    hands.press(Key.Key_Return)
    box = hands.station.ledger.box("B1-000001")
    assert box is not None
    assert (box.grade, box.revision) == ("2", 2)


def test_that_keys_in_a_question_never_reach_the_bench(hands: Hands) -> None:
    set_up(hands)
    to_bench(hands)
    hands.shows("0.00")
    hands.shows("1.64")
    hands.step()
    hands.shows("26.79")
    hands.letters("a")
    hands.type("dropped")
    hands.press(Key.Key_Tab)
    hands.now_s += 1.0
    hands.press(Key.Key_Space)
    assert hands.station.view("B1").step is not Step.CLOSED
    assert hands.station.ledger.boxes_on(TODAY) == ()


@pytest.mark.parametrize("way", ["answer", "escape"])
def test_that_the_bench_has_its_keys_back_after_a_question(hands: Hands, way: str) -> None:
    set_up(hands)
    to_bench(hands)
    hands.shows("0.00")
    hands.shows("1.64")
    hands.step()
    hands.letters("a")
    if way == "answer":
        hands.type("dropped")
        hands.press(Key.Key_Return)
        assert hands.station.view("B1").step is not Step.FILLING
    else:
        hands.press(Key.Key_Escape)
    if way == "answer":
        hands.step()
    hands.shows("26.79")
    hands.step()
    assert len(hands.station.ledger.boxes_on(TODAY)) == 1


def test_that_enter_in_a_question_is_no_step_at_the_bench(hands: Hands) -> None:
    set_up(hands)
    to_bench(hands)
    hands.shows("0.00")
    hands.shows("1.64")
    hands.step()
    hands.letters("a")
    hands.type("dropped")
    hands.now_s += 5.0
    hands.shows_again()
    hands.press(Key.Key_Return)
    assert hands.station.view("B1").step is Step.BOX_ON


def test_that_a_light_box_under_a_declared_label_is_said_before_it_is_closed(hands: Hands) -> None:
    set_up(hands)
    to_bench(hands)
    hands.shows("0.00")
    hands.shows("1.64")
    hands.step()
    hands.shows("20.00")
    hands.letters("o")
    asked = " ".join(label.text() for label in hands.window.findChildren(QLabel))
    assert "The label will say 25.00 lb, the box holds 18.36 lb" in asked
    hands.type("the last one")
    hands.press(Key.Key_Return)
    (box,) = hands.station.ledger.boxes_on(TODAY)
    assert (str(box.net), box.override_reason) == ("18.36 lb", "the last one")


def test_that_a_scale_that_hardly_fits_is_said_before_the_setup_is_saved(hands: Hands) -> None:
    hands.tab_to("farm_name")
    hands.type("Example Farm")
    hands.tab_to("address")
    hands.type("1 Example Road")
    hands.tab_to("origin")
    hands.type("Product of Example Island")
    for step in range(5):
        if step == 1:
            hands.tab_to("division")
            hands.type("0.10 lb")
        hands.tab_to("next")
        hands.press(Key.Key_Space)
    hands.tab_to("save")
    hands.press(Key.Key_Space)
    said = hands.window.findChild(QLabel, "setup_said")
    assert said is not None
    assert "less than 5 scale divisions (0.10 lb) wide" in said.text()
    assert hands.station.setup is None
    hands.press(Key.Key_Space)
    assert hands.station.setup is not None
    to_bench(hands)
    assert "less than 5 scale divisions (0.10 lb) wide" in hands.said
    hands.press(Key.Key_F2)
    assert hands.said == ""


def test_that_enter_presses_the_button_that_has_the_focus(hands: Hands) -> None:
    set_up(hands)
    hands.tab_to("open_day")
    hands.press(Key.Key_Return)
    assert hands.station.day == TODAY


def test_that_a_badge_says_who_packs_and_a_label_says_what_it_is(hands: Hands) -> None:
    set_up(hands)
    to_bench(hands)
    hands.scan("lead")
    assert hands.station.view("B1").person == "lead"
    pack_one(hands)
    hands.scan("B1-000001")
    assert "25.15 lb" in hands.said
    hands.scan("B1-000009")
    assert "B1-000009" in hands.said


def test_that_a_bounce_or_a_second_press_does_nothing(hands: Hands) -> None:
    set_up(hands)
    to_bench(hands)
    hands.shows("0.00")
    hands.shows("1.64")
    hands.step()
    hands.now_s += 0.4
    hands.press(Key.Key_Space)
    record = hands.station.ledger.day_record(TODAY)
    assert record.refused == ()
    assert hands.station.view("B1").step is Step.FILLING


def test_that_an_unusual_box_needs_the_key_held(hands: Hands) -> None:
    set_up(hands)
    to_bench(hands)
    hands.shows("0.00")
    hands.shows("3.20")
    hands.step()
    assert hands.station.view("B1").step is Step.BOX_ON
    QTest.keyPress(hands.focus(), Key.Key_Space)
    QTest.qWait(1000)
    QTest.keyRelease(hands.focus(), Key.Key_Space)
    assert hands.station.view("B1").step is Step.BOX_ON
    hands.now_s += 1.0
    hands.shows_again()
    QTest.keyPress(hands.focus(), Key.Key_Space)
    QTest.qWait(2200)
    QTest.keyRelease(hands.focus(), Key.Key_Space)
    assert hands.station.view("B1").tare == parse_mass("3.20 lb")


def test_that_other_pages_never_stop_the_bench(hands: Hands) -> None:
    set_up(hands)
    to_bench(hands)
    hands.shows("0.00")
    hands.shows("1.64")
    hands.step()
    hands.press(Key.Key_F3)
    hands.shows("20.00")
    assert "Add" in hands.window.form.head_strip.text()
    hands.press(Key.Key_F1)
    assert hands.station.view("B1").net == parse_mass("18.36 lb")


def test_that_a_pulled_cable_is_said_and_the_box_goes_on(hands: Hands) -> None:
    set_up(hands)
    to_bench(hands)
    hands.shows("0.00")
    hands.shows("1.64")
    hands.step()
    hands.shows("12.00")
    hands.hears(LineLost(hands.now_s, "unplugged"))
    sentence = hands.window.findChild(QWidget, "sentence")
    assert "cable" in getattr(sentence, "text", str)()
    hands.now_s += 5
    hands.hears(LineBack(hands.now_s))
    hands.shows("12.00")
    assert hands.station.view("B1").step is Step.FILLING


def test_that_everything_is_said_in_spanish_at_one_key(hands: Hands) -> None:
    set_up(hands)
    to_bench(hands)
    hands.press(Key.Key_F9)
    hands.shows("0.00")
    sentence = hands.window.findChild(QWidget, "sentence")
    assert getattr(sentence, "text", str)() == "Ponga una caja vacía."
    hands.press(Key.Key_F9)
    hands.shows("0.00")
    assert getattr(sentence, "text", str)() == "Put an empty box on."


def test_that_a_label_that_cannot_be_printed_is_for_later(hands: Hands, tmp_path: Path) -> None:
    set_up(hands)
    to_bench(hands)
    (tmp_path / "data" / "labels").write_text("in the way")
    pack_one(hands)
    hands.window.pulse.print_waiting()
    assert "B1-000001" in hands.said
    assert hands.station.ledger.label_jobs(JobState.FAILED)
    hands.press(Key.Key_F4)
    waiting = hands.window.findChild(QWidget, "waiting")
    assert getattr(waiting, "count", int)() == 1
    assert isinstance(hands.window.findChild(QWidget, "scan"), QLineEdit)


def test_that_a_day_is_opened_with_one_key_after_the_setup(hands: Hands) -> None:
    set_up(hands)
    assert hands.focus().objectName() == "open_day"
    charts = [hands.window.findChild(QWidget, name) for name in ("fill", "fill_title")]
    assert not any(each is None or each.isVisible() for each in charts)
    hands.press(Key.Key_Space)
    assert hands.station.day == TODAY


@pytest.mark.parametrize("language", ["en", "es"])
@pytest.mark.parametrize("page", ["day", "labels", "audit", "fill", "culls", "loads"])
def test_that_a_small_screen_loses_no_part_of_a_field(
    hands: Hands, page: str, language: str
) -> None:
    set_up(hands)
    to_bench(hands)
    pack_one(hands)
    hands.window.resize(1366, 768)
    hands.window.set_language(language)
    hands.window.go_to(page)
    hands.window.tell(Message("ui.closed_without_backup"))
    for _ in range(3):
        QApplication.processEvents()
    shown = hands.window.form.pages.currentWidget()
    assert shown is not None
    fields = [
        each
        for kind in (QLineEdit, QComboBox)
        for each in shown.findChildren(kind)
        if each.isVisible()
    ]
    assert fields
    for one, other in combinations(fields, 2):
        if one.parent() is other.parent():
            assert not one.geometry().intersects(other.geometry()), (
                one.objectName(),
                other.objectName(),
            )
