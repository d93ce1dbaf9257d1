"""Enter culls in two keys, and show the lead what was culled and why."""

from dataclasses import dataclass
from datetime import date

from PySide6.QtCore import QObject, Slot
from PySide6.QtWidgets import QComboBox, QLineEdit, QListWidget, QPushButton, QTableView, QWidget

from shedstation.domain.culls import Cull, Where, culls_by_defect, shares_of_fruit
from shedstation.domain.farm import name_of
from shedstation.domain.mass import Mass
from shedstation.domain.message import Message
from shedstation.domain.shares import Share
from shedstation.presenters.tables import culls_by, culls_table
from shedstation.presenters.typed import typed_count, typed_mass
from shedstation.station.actions import Correct, EnterCull
from shedstation.ui.bars import NamedBars
from shedstation.ui.forms import load_form, retranslate
from shedstation.ui.hub import Hub
from shedstation.ui.loads_screen import coded, fill
from shedstation.ui.table_model import RowsModel, fit

_ROOM = 1.7
_KEYS = "123456789abcdefghijklmnopqrstuvwxyz"


@dataclass(frozen=True)
class CullsForm:
    """Widgets of the culls screen."""

    root: QWidget
    cull_load: QComboBox
    cull_where: QComboBox
    cull_defect: QListWidget
    cull_count: QLineEdit
    cull_weight: QLineEdit
    enter: QPushButton
    bars: NamedBars
    entries: QTableView
    by_block: QTableView
    by_cultivar: QTableView
    fix_defect: QComboBox
    fix_count: QLineEdit
    fix_weight: QLineEdit
    fix: QPushButton


class CullsScreen(QObject):
    """The culls' page."""

    def __init__(self, hub: Hub) -> None:
        """Load the form."""
        super().__init__()
        self._hub = hub
        self.form = load_form("culls", CullsForm, NamedBars)
        self.root = self.form.root
        self._entries, self._blocks, self._cultivars = RowsModel(), RowsModel(), RowsModel()
        fit(self.form.entries, self._entries)
        fit(self.form.by_block, self._blocks)
        fit(self.form.by_cultivar, self._cultivars)
        self.form.enter.clicked.connect(self.enter)
        self.form.cull_count.returnPressed.connect(self.enter)
        self.form.cull_weight.returnPressed.connect(self.enter)
        self.form.cull_defect.itemActivated.connect(self.form.cull_count.setFocus)
        self.form.fix.clicked.connect(self.fix)

    def retranslate(self) -> None:
        """Say everything anew."""
        retranslate(self.root, self._hub.words)

    def refresh(self) -> None:
        """Show the day's culls."""
        setup, words = self._hub.setup, self._hub.words
        self._fill()
        culls = self._hub.desk.station.ledger.culls_on(self._day())
        sums = culls_by_defect(culls)
        self.form.bars.show_sums(
            [
                (
                    name_of(setup.defects, each.defect),
                    each.count,
                    self._said(each.count, each.weight, share),
                )
                for each, share in zip(sums, shares_of_fruit(sums), strict=True)
            ],
            room=_ROOM,
        )
        self._entries.show_table(culls_table(culls, setup, words))
        self._blocks.show_table(culls_by(culls, "block", setup, words))
        self._cultivars.show_table(culls_by(culls, "cultivar", setup, words))

    def _said(self, count: int, weight: Mass | None, share: Share | None) -> str:
        words = self._hub.words
        fruit = words.text("export.fruit", count=count) if count else ""
        part = words.say(share.say()) if share else ""
        return ", ".join(each for each in (fruit, str(weight) if weight else "", part) if each)

    def _day(self) -> date:
        return self._hub.day or self._hub.desk.today()

    def _fill(self) -> None:
        setup, form, words = self._hub.setup, self.form, self._hub.words
        loads = self._hub.desk.station.ledger.loads()
        choice = self._hub.desk.station.view(self._hub.bench).choice
        fill(form.cull_load, [(each.load, each.load) for each in loads])
        if choice is not None:
            form.cull_load.setCurrentIndex(form.cull_load.findData(choice.load))
        fill(form.cull_where, [(w.value, words.text(f"export.where_{w.value}")) for w in Where])
        if form.cull_where.property("chosen") is None:
            form.cull_where.setCurrentIndex(form.cull_where.findData(Where.BENCH.value))
            form.cull_where.setProperty("chosen", True)  # noqa: FBT003  # Qt's own
        row = max(form.cull_defect.currentRow(), 0)
        form.cull_defect.clear()
        form.cull_defect.addItems(
            [f"{key}  {each.name}" for key, each in zip(_KEYS, setup.defects, strict=False)]
        )
        form.cull_defect.setCurrentRow(row)
        unchanged = ("", words.text("ui.as_it_is"))
        fill(form.fix_defect, [unchanged, *coded(setup.defects)])

    @Slot()
    def enter(self) -> None:
        """Enter the cull that was typed."""
        form, setup = self.form, self._hub.setup
        row = form.cull_defect.currentRow()
        amounts = self._amounts(form.cull_count, form.cull_weight)
        if amounts is None or not 0 <= row < len(setup.defects):
            return
        count, weight = amounts
        if count is None and weight is None:
            self._hub.tell(Message("ui.count_or_weight"))
            return
        done = self._hub.do(
            EnterCull(
                **self._hub.moment(),
                load=form.cull_load.currentData() or "",
                defect=setup.defects[row].code,
                where=Where(form.cull_where.currentData()),
                count=count,
                weight=weight,
            )
        )
        if done:
            form.cull_count.clear()
            form.cull_weight.clear()
            form.cull_defect.setFocus()

    def _amounts(
        self, count: QLineEdit, weight: QLineEdit
    ) -> tuple[int | None, Mass | None] | None:
        """Read count and weight; say what is wrong and give none if they cannot be read."""
        unit = self._hub.setup.bench(self._hub.bench).unit
        try:
            number = typed_count(count.text()) if count.text() else None
            mass = typed_mass(weight.text(), unit) if weight.text() else None
        except ValueError as wrong:
            self._hub.tell(Message("ui.not_understood", {"found": str(wrong)}))
            return None
        return number, mass

    def chosen(self) -> Cull | None:
        """Give the entry that is marked in the table."""
        index = self.form.entries.currentIndex()
        if not index.isValid():
            return None
        return self._hub.desk.station.ledger.cull(self._entries.first_text(index.row()))

    @Slot()
    def fix(self) -> None:
        """Correct the marked entry by the lead's word."""
        cull, form = self.chosen(), self.form
        amounts = self._amounts(form.fix_count, form.fix_weight)
        if cull is None:
            self._hub.tell(Message("ui.mark_entry"))
            return
        if amounts is None:
            return
        given = {"count": amounts[0], "weight": amounts[1], "defect": form.fix_defect.currentData()}
        changes = {name: value for name, value in given.items() if value}
        if not changes:
            self._hub.tell(Message("ui.nothing_to_change"))
            return
        title = Message("ui.correct_cull_of", {"entry": cull.id})
        self._hub.ask_lead(title, _Fix(self, self._hub, cull.id, changes))

    def forget_changes(self) -> None:
        """Empty the correction's fields, so that the next entry is not changed by mistake."""
        self.form.fix_count.clear()
        self.form.fix_weight.clear()
        self.form.fix_defect.setCurrentIndex(0)


@dataclass(frozen=True)
class _Fix:
    """Carries out a correction once its reason is known."""

    screen: CullsScreen
    hub: Hub
    cull: str
    changes: dict[str, int | Mass | str | None]

    def __call__(self, reason: str, by: str | None) -> None:
        done = self.hub.do(
            Correct(
                **self.hub.moment(),
                what="cull",
                which=(self.cull,),
                set=self.changes,
                reason=reason,
                by=by,
            )
        )
        if done:
            self.screen.forget_changes()
