"""Choose what is packed and by whom, and take in new loads in a few keys."""

from dataclasses import dataclass

from PySide6.QtCore import QObject, Slot
from PySide6.QtWidgets import QComboBox, QLabel, QLineEdit, QPushButton, QTableView, QWidget

from shedstation.domain.farm import Coded
from shedstation.domain.intake import Tub
from shedstation.domain.mass import Mass
from shedstation.domain.message import Message
from shedstation.presenters.balance import balance_said
from shedstation.presenters.setup_draft import next_load_code
from shedstation.presenters.tables import loads_table
from shedstation.presenters.typed import typed_day, typed_mass, typed_tub
from shedstation.station.actions import Choose, ChoosePerson, EmptyCups, ReceiveLoad
from shedstation.station.balances import balance_of
from shedstation.ui.forms import load_form, retranslate
from shedstation.ui.hub import Hub
from shedstation.ui.table_model import RowsModel, fit


@dataclass(frozen=True)
class LoadsForm:
    """Widgets of the loads screen."""

    root: QWidget
    choose_load: QComboBox
    choose_pack: QComboBox
    choose_grade: QComboBox
    choose: QPushButton
    empty_cups: QPushButton
    person: QComboBox
    choose_person: QPushButton
    new_block: QComboBox
    new_cultivar: QComboBox
    new_picked: QLineEdit
    new_weight: QLineEdit
    new_tubs: QLineEdit
    new_load: QLineEdit
    receive: QPushButton
    loads: QTableView
    balance: QLabel


def fill(combo: QComboBox, items: list[tuple[str, str]]) -> None:
    """Fill a box with codes and names, keeping what was chosen."""
    chosen = combo.currentData()
    combo.clear()
    for code, name in items:
        combo.addItem(name, code)
    combo.setCurrentIndex(max(combo.findData(chosen), 0))


def coded(items: tuple[Coded, ...]) -> list[tuple[str, str]]:
    """Give codes and names for `fill`."""
    return [(each.code, each.name) for each in items]


class LoadsScreen(QObject):
    """The loads' page."""

    def __init__(self, hub: Hub) -> None:
        """Load the form."""
        super().__init__()
        self._hub = hub
        self.form = load_form("loads", LoadsForm)
        self.root = self.form.root
        self._model = RowsModel()
        fit(self.form.loads, self._model)
        self.form.choose.clicked.connect(self.choose)
        self.form.choose_load.activated.connect(self.show_balance)
        self.form.empty_cups.clicked.connect(self.empty_cups)
        self.form.choose_person.clicked.connect(self.choose_person)
        self.form.receive.clicked.connect(self.receive)
        self.form.choose_grade.activated.connect(self.form.choose.setFocus)

    def retranslate(self) -> None:
        """Say everything anew."""
        retranslate(self.root, self._hub.words)

    def refresh(self) -> None:
        """Show loads, packs and people as they are now."""
        setup, form = self._hub.setup, self.form
        loads = self._hub.desk.station.ledger.loads()
        names = dict(coded(setup.cultivars))
        fill(
            form.choose_load,
            [(each.load, f"{each.load}  {names.get(each.cultivar, '')}") for each in loads],
        )
        fill(form.choose_pack, [(pack.name, pack.name) for pack in setup.packs])
        fill(form.choose_grade, coded(setup.grades))
        fill(
            form.person,
            [(each.code, f"{n}  {each.name}") for n, each in enumerate(setup.people, 1)],
        )
        fill(form.new_block, coded(setup.blocks))
        fill(form.new_cultivar, coded(setup.cultivars))
        day = self._hub.day or self._hub.desk.today()
        if not form.new_picked.text():
            form.new_picked.setText(day.isoformat())
        if not form.new_load.text():
            form.new_load.setText(next_load_code(len(loads), day))
        self._model.show_table(loads_table(loads, setup, self._hub.words))
        form.empty_cups.setVisible(self._has_filled_cups())
        self.show_balance()

    def _has_filled_cups(self) -> bool:
        trim = self._hub.desk.station.view(self._hub.bench).trim
        return trim is not None and any(each.weight is not None for each in trim.cups)

    @Slot()
    def show_balance(self) -> None:
        """Say where the fruit of the load are that is chosen in the list."""
        ledger = self._hub.desk.station.ledger
        load = ledger.load(self.form.choose_load.currentData() or "")
        said = "" if load is None else balance_said(load, balance_of(ledger, load), self._hub.words)
        self.form.balance.setText(said)

    @Slot()
    def choose(self) -> None:
        """Pack this from now on."""
        form = self.form
        done = self._hub.do(
            Choose(
                **self._hub.moment(),
                load=form.choose_load.currentData() or "",
                pack=form.choose_pack.currentData() or "",
                grade=form.choose_grade.currentData() or "",
            )
        )
        if done:
            self._hub.go_to("bench")
        elif self.form.empty_cups.isVisible():
            self.form.empty_cups.setFocus()

    @Slot()
    def empty_cups(self) -> None:
        """Note that the fruit in the cups went back to their tub, and choose what is to be packed."""
        if self._hub.do(EmptyCups(**self._hub.moment())):
            self.choose()

    @Slot()
    def choose_person(self) -> None:
        """Say who packs."""
        person = self.form.person.currentData()
        if person:
            self._hub.do(ChoosePerson(**self._hub.moment(), person=person))

    @Slot()
    def receive(self) -> None:
        """Take in the load that was typed."""
        form = self.form
        today = self._hub.day or self._hub.desk.today()
        try:
            picked_on = typed_day(form.new_picked.text(), today)
            weight, tubs = self._weights()
        except ValueError as wrong:
            self._hub.tell(Message("ui.not_understood", {"found": str(wrong)}))
            return
        code = form.new_load.text().strip()
        done = self._hub.do(
            ReceiveLoad(
                **self._hub.moment(),
                load=code,
                block=form.new_block.currentData() or "",
                cultivar=form.new_cultivar.currentData() or "",
                picked_on=picked_on,
                weight=weight,
                tubs=tubs,
            )
        )
        if done:
            for field in (form.new_load, form.new_weight, form.new_tubs, form.new_picked):
                field.clear()
            self.refresh()
            form.choose_load.setCurrentIndex(form.choose_load.findData(code))
            self.show_balance()
            form.choose.setFocus()

    def _weights(self) -> tuple[Mass | None, tuple[Tub, ...]]:
        unit = self._hub.setup.bench(self._hub.bench).unit
        weight = self.form.new_weight.text().strip()
        tubs = self.form.new_tubs.text().strip()
        if weight and tubs:
            both = f"{weight}; {tubs}"
            raise ValueError(both)
        every = tuple(typed_tub(part, unit) for part in tubs.split(";")) if tubs else ()
        return (typed_mass(weight, unit) if weight else None), every
