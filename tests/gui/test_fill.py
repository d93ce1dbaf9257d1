"""A person without a mouse looks at what was given away and packs to another target."""

from hands import Hands, text_of
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QComboBox, QLineEdit, QPushButton, QTableView, QTabWidget

from shedstation.domain.bench_sequence import Step
from shedstation.domain.farm import Pack
from shedstation.ui.control_chart import ControlChart

Key = Qt.Key
SHIFT = Qt.KeyboardModifier.ShiftModifier


def pack_boxes(hands: Hands, *grosses: str) -> None:
    for gross in grosses:
        hands.shows("0.00")
        hands.shows("1.64")
        hands.step()
        hands.shows(gross)
        hands.step()
        assert hands.station.view("B1").step is Step.CLOSED
        hands.shows("0.00")


FIVE = ("26.64", "26.69", "26.74", "26.79", "26.84")


def to_page(hands: Hands) -> None:
    hands.press(Key.Key_F6, modifier=SHIFT)
    assert hands.focus().objectName() == "fill_pack"


def type_into(hands: Hands, name: str, text: str) -> None:
    hands.tab_to(name)
    hands.type(text)


def by_the_leads_word(hands: Hands, button: str) -> None:
    hands.tab_to(button)
    hands.press(Key.Key_Space)
    hands.type("as agreed")
    hands.press(Key.Key_Return)


def pack_now(hands: Hands) -> Pack:
    setup = hands.station.setup
    assert setup is not None
    return setup.packs[0]


def rows_of(hands: Hands) -> list[tuple[str, str]]:
    table = hands.window.findChild(QTableView, "aim_sum")
    assert table is not None
    model = table.model()
    return [
        (model.index(row, 0).data(), model.index(row, 1).data()) for row in range(model.rowCount())
    ]


def is_enabled(hands: Hands, name: str) -> bool:
    found = hands.window.findChild(QPushButton, name)
    assert found is not None
    return found.isEnabled()


def test_that_the_aim_becomes_the_packs_target_by_keys_alone(hands: Hands) -> None:
    pack_boxes(hands, *FIVE)
    to_page(hands)
    for name, text in (
        ("share_below", "1"), ("days_to_buyer", "7"), ("room_temperature", "55.4f"),
        ("humidity", "90"), ("price", "1.20 USD/lb"),
    ):  # fmt: skip
        type_into(hands, name, text)
    # Range 0.20 lb, over d2 of five 2.326: 0.086 lb; z(1 %) 2.326: 0.20 lb. 13 C, 90 %, 7 days: 0.26 lb.
    assert rows_of(hands)[1:4] == [
        ("Fruit lose 1.04 % in 7 days", "+0.26 lb"),
        ("Boxes spread by 0.086 lb, 1 % may be light", "+0.20 lb"),
        ("The scale may show too much", "+0.03 lb"),
    ]
    aim = rows_of(hands)[-1][1]
    assert text_of(hands, "aim_title") == f"Aim at {aim}"
    by_the_leads_word(hands, "use_target")
    pack, setup = pack_now(hands), hands.station.setup
    assert hands.said == f"Flat 25 lb is packed to {aim} from now on."
    assert (str(pack.target), str(pack.label_net)) == (aim, "25.00 lb")
    assert str(pack.target - pack.under) == "25.30 lb"
    assert setup is not None
    assert (setup.days_to_buyer, setup.room_temperature, setup.humidity) == (7, "55.4 F", "90 %")
    assert (pack.share_below, str(pack.price)) == ("1 %", "1.20 USD/lb")
    hands.press(Key.Key_F1)
    hands.shows("1.64")
    hands.step()
    hands.shows("26.93")
    hands.step()
    assert text_of(hands, "sentence") == "Add 0.01 lb."
    assert hands.station.view("B1").step is Step.FILLING
    hands.shows("26.94")
    hands.step()
    assert hands.station.view("B1").step is Step.CLOSED


def test_that_a_target_is_not_changed_under_an_open_box(hands: Hands) -> None:
    pack_boxes(hands, *FIVE)
    hands.shows("1.64")
    hands.step()
    assert hands.station.view("B1").step is Step.FILLING
    to_page(hands)
    by_the_leads_word(hands, "use_target")
    assert str(pack_now(hands).target) == "25.00 lb"
    assert "box" in hands.said


def test_that_without_boxes_the_page_says_what_it_needs(hands: Hands) -> None:
    to_page(hands)
    assert "close 5 boxes of Flat 25 lb" in text_of(hands, "aim_said")
    assert not is_enabled(hands, "use_target")
    assert text_of(hands, "given_said").startswith("No boxes with a declared weight")
    assert text_of(hands, "means_said").startswith("No chart yet")
    assert text_of(hands, "shares_said").startswith("No chart of the share culled")
    for name in ("means", "ranges", "shares", "rates"):
        chart = hands.window.findChild(ControlChart, name)
        assert chart is not None
        assert chart.isHidden()


def test_that_what_cannot_be_read_is_said_at_once_and_nothing_is_kept(hands: Hands) -> None:
    pack_boxes(hands, *FIVE)
    to_page(hands)
    type_into(hands, "days_to_buyer", "soon")
    assert text_of(hands, "aim_said") == (
        "Days to buyer is soon. Expected a whole number from 0 to 60."
    )
    assert not is_enabled(hands, "use_target")
    hands.tab_to("keep_figures")
    hands.press(Key.Key_Space)
    assert hands.said.startswith("Days to buyer is soon.")
    setup = hands.station.setup
    assert setup is not None
    assert setup.days_to_buyer is None


def test_that_figures_are_kept_without_a_new_target(hands: Hands) -> None:
    to_page(hands)
    type_into(hands, "price", "0.95 USD/lb")
    by_the_leads_word(hands, "keep_figures")
    assert hands.said == "The figures are kept; the target is as it was."
    assert (str(pack_now(hands).price), str(pack_now(hands).target)) == ("0.95 USD/lb", "25.00 lb")
    # The setup page keeps what it does not show.
    hands.press(Key.Key_F8)
    hands.tab_to("save")
    hands.press(Key.Key_Space)
    hands.type("nothing new")
    hands.press(Key.Key_Return)
    assert str(pack_now(hands).price) == "0.95 USD/lb"


def test_that_what_is_typed_stays_when_the_page_is_shown_again(hands: Hands) -> None:
    to_page(hands)
    type_into(hands, "humidity", "70")
    hands.press(Key.Key_F6)
    hands.tab_to("to_fill")
    hands.press(Key.Key_Return)
    field = hands.window.findChild(QLineEdit, "humidity")
    assert field is not None
    assert field.text() == "70"


def test_that_charts_are_turned_to_by_arrow_keys_and_enter_leads_to_the_button(
    hands: Hands,
) -> None:
    pack_boxes(hands, *FIVE)
    to_page(hands)
    tabs = hands.window.findChild(QTabWidget, "fill_tabs")
    means = hands.window.findChild(ControlChart, "means")
    assert tabs is not None
    assert means is not None
    assert not means.isVisible()
    hands.tab_to("qt_tabwidget_tabbar")
    hands.press(Key.Key_Right)
    assert means.isVisible()
    assert means._plot.accessibleName().startswith("Flat 25 lb, means of five boxes")
    hands.tab_to("humidity")
    hands.press(Key.Key_Return)
    assert hands.focus().objectName() == "use_target"


def test_that_packers_are_shown_by_the_leads_word(hands: Hands) -> None:
    hands.letters("1")
    pack_boxes(hands, *FIVE)
    to_page(hands)
    said = text_of(hands, "given_said")
    assert "packers" not in said
    by_the_leads_word(hands, "show_packers")
    assert hands.said == "Each packer is shown from now on."
    assert "for packers that of the week" in text_of(hands, "given_said")
    button = hands.window.findChild(QPushButton, "show_packers")
    assert button is not None
    assert button.text() == "&Hide packers"
    hands.press(Key.Key_F9)
    assert button.text() == "&Ocultar empacadores"


def test_that_the_page_speaks_another_language_at_once(hands: Hands) -> None:
    pack_boxes(hands, *FIVE)
    to_page(hands)
    hands.press(Key.Key_F9)
    assert rows_of(hands)[0][0] == "Peso neto en la etiqueta"
    assert text_of(hands, "ranges_said").startswith("Rangos entre cinco")
    combo = hands.window.findChild(QComboBox, "fill_pack")
    assert combo is not None
    assert combo.currentText() == "Flat 25 lb"
