"""A person without a mouse weighs boxes again: an audit from draw to verdict, and one box alone."""

from pathlib import Path

from hands import TODAY, Hands, text_of
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QLineEdit, QTableView

from shedstation.domain.audit import AuditSoFar
from shedstation.domain.audit_result import AuditResult, Verdict
from shedstation.domain.mass import parse_mass
from shedstation.domain.reading import Mode, Reading, State

Key = Qt.Key
CTRL = Qt.KeyboardModifier.ControlModifier


def pack(hands: Hands, boxes: int) -> None:
    hands.press(Key.Key_F1)
    for _ in range(boxes):
        hands.shows("0.00")
        hands.shows("1.64")
        hands.step()
        hands.shows("26.69")
        hands.step()
    hands.shows("0.00")
    assert len(hands.station.ledger.boxes_on(TODAY)) == boxes


def start(hands: Hands) -> None:
    hands.press(Key.Key_F6, modifier=CTRL)
    hands.tab_to("start_audit")
    hands.press(Key.Key_Space)


def going(hands: Hands) -> AuditSoFar:
    found = hands.station.audit_at("B1")
    assert found is not None
    return found


def result(hands: Hands) -> AuditResult:
    found = hands.station.ledger.last_audit("B1")
    assert found is not None
    return found


def cells(hands: Hands, name: str) -> list[list[str]]:
    table = hands.window.findChild(QTableView, name)
    assert table is not None
    model = table.model()
    columns = range(model.columnCount())
    return [[model.index(row, each).data() for each in columns] for row in range(model.rowCount())]


def weigh(hands: Hands, pounds: str) -> None:
    hands.shows("0.00")
    hands.shows(pounds)
    hands.step()


def test_that_an_audit_is_walked_with_space_alone(hands: Hands) -> None:
    pack(hands, 13)
    start(hands)
    picks = going(hands).audit.picks
    assert len(picks) == 12
    assert "12 of 13 boxes" in text_of(hands, "audit_said")
    assert [row[0] for row in cells(hands, "audit_boxes")] == list(picks)
    hands.shows("3.00")
    for number, serial in enumerate(picks, start=1):
        assert text_of(hands, "audit_progress") == f"Box {number} of 12"
        hands.shows("0.00")
        assert text_of(hands, "audit_sentence").startswith(f"Put box {serial} on the scale.")
        weigh(hands, "26.66")
    assert (result(hands).verdict, result(hands).over) == (Verdict.PASS, 0)
    assert text_of(hands, "audit_said").startswith("The lot passes: no box is short by more than")
    figures = {row[0]: row[1:] for row in cells(hands, "figures")}
    assert figures["Average error of 12 boxes"] == ["0.0200 lb", "0.0000 lb", "✓ passes"]
    assert figures["Boxes short by more than the MAV"] == ["0", "0", "✓ passes"]
    assert len(cells(hands, "audit_boxes")) == 12
    assert hands.focus().objectName() == "figures"
    assert "officials decide by their own tests" in text_of(hands, "own_control")


def test_that_an_empty_pan_is_asked_for_before_each_box(hands: Hands) -> None:
    pack(hands, 3)
    start(hands)
    weigh(hands, "26.66")
    assert text_of(hands, "audit_sentence").startswith("Take everything off")
    hands.step()
    assert "press its zero key" in hands.said
    assert len(going(hands).reweighs) == 1


def test_that_a_scanned_label_is_the_next_box(hands: Hands) -> None:
    pack(hands, 3)
    start(hands)
    last = going(hands).left[-1]
    hands.tab_to("audit_box")
    hands.type(f"{last.lower()}/2")
    hands.press(Key.Key_Return)
    assert hands.focus().objectName() == "weigh"
    weigh(hands, "26.66")
    assert [each.serial for each in going(hands).reweighs] == [last]
    hands.tab_to("audit_box")
    hands.type("B1-000099")
    hands.press(Key.Key_Return)
    assert "B1-000099 is not to be weighed" in text_of(hands, "audit_sentence")


def test_that_a_weight_no_drying_explains_takes_two_presses(hands: Hands) -> None:
    pack(hands, 3)
    start(hands)
    weigh(hands, "25.60")
    assert "Is that box on the pan" in hands.said
    assert going(hands).reweighs == ()
    hands.step()
    assert len(going(hands).reweighs) == 1


def test_that_a_press_waits_for_the_weight_and_says_what_came_of_it(hands: Hands) -> None:
    pack(hands, 3)
    start(hands)
    hands.shows("0.00")
    hands.now_s += 1.0
    hands.hears(Reading(hands.now_s, parse_mass("20.00 lb"), State.MOVING, Mode.GROSS))
    hands.press(Key.Key_Space)
    assert "three seconds" in text_of(hands, "reading_state")
    hands.shows("25.60")
    assert "Is that box on the pan" in hands.said
    hands.step()
    assert len(going(hands).reweighs) == 1


def test_that_a_box_not_to_be_found_is_replaced_with_a_reason(hands: Hands) -> None:
    pack(hands, 13)
    start(hands)
    gone, spare = going(hands).left[0], going(hands).audit.spare
    hands.tab_to("not_found")
    hands.press(Key.Key_Space)
    hands.type("at the bottom")
    hands.press(Key.Key_Return)
    assert spare in going(hands).audit.picks
    assert gone not in going(hands).audit.picks
    assert hands.window.findChild(QLineEdit, "audit_box").text() == spare  # type: ignore[union-attr]  # there


def test_that_the_audit_can_be_left_and_given_up(hands: Hands) -> None:
    pack(hands, 3)
    start(hands)
    weigh(hands, "26.66")
    hands.press(Key.Key_F1)
    assert text_of(hands, "sentence").startswith("Audit")
    hands.press(Key.Key_F6, modifier=CTRL)
    hands.tab_to("end_audit")
    hands.press(Key.Key_Space)
    hands.type("rain")
    hands.press(Key.Key_Return)
    assert (result(hands).verdict, result(hands).why) == (Verdict.UNFINISHED, "rain")
    assert "rain" in text_of(hands, "audit_said")


def test_that_the_page_is_reached_from_the_days_page_and_rules_are_chosen(hands: Hands) -> None:
    pack(hands, 3)
    hands.press(Key.Key_F6)
    hands.tab_to("audit")
    hands.press(Key.Key_Return)
    hands.choose("audit_rule", "OIML")
    # source: UK SI 2006/659 Schedule 2: measured to within T/5; T is 150 g at 11.34 kg (R 87 Table 1)
    assert "0.03 lb, of 30 g at the most" in text_of(hands, "plan_said")
    assert "All 3 boxes of the lot" in text_of(hands, "plan_said")
    hands.tab_to("start_audit")
    hands.press(Key.Key_Space)
    assert going(hands).audit.rule.value == "r87"


def test_that_an_allowance_that_cannot_be_read_is_told(hands: Hands) -> None:
    pack(hands, 1)
    hands.press(Key.Key_F6, modifier=CTRL)
    hands.tab_to("allowance")
    hands.type("a lot")
    hands.tab_to("start_audit")
    hands.press(Key.Key_Space)
    assert "a lot is no allowance" in hands.said
    assert hands.station.audit_at("B1") is None


def test_that_one_box_is_weighed_again_and_says_what_it_lost(hands: Hands) -> None:
    pack(hands, 2)
    hands.press(Key.Key_F6, modifier=CTRL)
    assert "so far 0" in text_of(hands, "loss_said")
    hands.tab_to("single")
    hands.type("B1-000002")
    hands.shows("0.00")
    hands.shows("26.44")
    hands.press(Key.Key_Return)
    assert text_of(hands, "single_said") == (
        "B1-000002: 25.05 lb when packed, 24.80 lb now, 0.0 days later: 1.0 % lost."
    )
    (weighed,) = hands.station.ledger.reweighs()
    assert (weighed.serial, weighed.audit) == ("B1-000002", None)


def test_that_the_record_of_a_day_with_an_audit_has_one_file_more(
    hands: Hands, tmp_path: Path
) -> None:
    pack(hands, 1)
    start(hands)
    weigh(hands, "26.66")
    hands.press(Key.Key_F6)
    hands.tab_to("export_to")
    hands.type(str(tmp_path / "records"))
    hands.tab_to("export_record")
    hands.press(Key.Key_Space)
    for _ in range(400):
        QTest.qWait(20)
        if "14 " in text_of(hands, "export_said"):
            break
    assert text_of(hands, "export_said").startswith("14 ")
    assert (tmp_path / "records" / TODAY.isoformat() / "audits.csv").is_file()
