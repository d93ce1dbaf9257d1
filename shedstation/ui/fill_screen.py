"""Show what to aim at and why, what was given away, and how evenly boxes are filled and fruit culled."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Final

from PySide6.QtCore import QObject, Slot
from PySide6.QtWidgets import (
    QComboBox,
    QHeaderView,
    QLabel,
    QLineEdit,
    QPushButton,
    QTableView,
    QTabWidget,
    QWidget,
)

from shedstation.domain.cull_charts import culled_a_box, culled_share
from shedstation.domain.errors import Refused, WorldFault
from shedstation.domain.farm import Pack, Setup
from shedstation.domain.fill_advice import FillAdvice, advise_fill, aimed, figures_of, with_figures
from shedstation.domain.fills import Fill, week_of
from shedstation.domain.giveaway import ChartedFills, charted_fills, giveaway_sums
from shedstation.domain.message import Message
from shedstation.domain.reweighing import BoxReweigh
from shedstation.presenters.control_picture import ControlPicture, cull_pictures, fill_pictures
from shedstation.presenters.fill_aim import AimShown, aim_shown, drafted, typed_figures
from shedstation.presenters.giveaway import giveaway_picture
from shedstation.presenters.setup_draft import BadDraft
from shedstation.ui.bars import NamedBars
from shedstation.ui.control_chart import ControlChart
from shedstation.ui.forms import load_form, retranslate
from shedstation.ui.hub import Hub
from shedstation.ui.loads_screen import fill
from shedstation.ui.table_model import RowsModel, fit

SPAN: Final = timedelta(days=27)
"""Before the day: four weeks of boxes and culls are looked at."""

_MOST_FIVES: Final = 40
_GIVEN_ROOM: Final = 3.0
_EXAMPLES: Final = {
    "share_below": "2 %",
    "days_to_buyer": "7",
    "room_temperature": "60 F",
    "humidity": "85 %",
    "price": "1.20 USD/lb",
}
"""What may be typed, field by field."""


@dataclass(frozen=True)
class FillForm:
    """Widgets of the page about filling; the fields have the names of the station file's keys."""

    root: QWidget
    fill_pack: QComboBox
    share_below: QLineEdit
    days_to_buyer: QLineEdit
    room_temperature: QLineEdit
    humidity: QLineEdit
    price: QLineEdit
    aim_title: QLabel
    aim_sum: QTableView
    aim_said: QLabel
    use_target: QPushButton
    keep_figures: QPushButton
    fill_tabs: QTabWidget
    given_said: QLabel
    given_bars: NamedBars
    show_packers: QPushButton
    means_said: QLabel
    means: ControlChart
    ranges_said: QLabel
    ranges: ControlChart
    shares_said: QLabel
    shares: ControlChart
    rates_said: QLabel
    rates: ControlChart


class FillScreen(QObject):
    """The page about filling."""

    def __init__(self, hub: Hub) -> None:
        """Load the form."""
        super().__init__()
        self._hub = hub
        self.form = form = load_form("fill", FillForm, NamedBars, ControlChart)
        self.root = form.root
        self._model = RowsModel()
        fit(form.aim_sum, self._model)
        form.aim_sum.horizontalHeader().setStretchLastSection(True)
        form.aim_sum.horizontalHeader().hide()
        form.aim_sum.verticalHeader().setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        self._fields = {name: getattr(form, name) for name in _EXAMPLES}
        self._shown: tuple[str, Setup] | None = None
        self._fills: Sequence[Fill] = ()
        self._reweighs: Sequence[BoxReweigh] = ()
        self._charted: ChartedFills | None = None
        self._found: FillAdvice | None = None
        form.fill_pack.currentIndexChanged.connect(self._show_pack)
        for field in self._fields.values():
            field.textEdited.connect(self._show_aim)
            field.returnPressed.connect(form.use_target.setFocus)
        form.use_target.clicked.connect(self.use_target)
        form.keep_figures.clicked.connect(self.keep_figures)
        form.show_packers.clicked.connect(self.show_packers)

    def retranslate(self) -> None:
        """Say everything anew."""
        retranslate(self.root, self._hub.words)
        for name, example in _EXAMPLES.items():
            said = self._hub.words.text("fill.such_as", example=example)
            self._fields[name].setPlaceholderText(said)

    def refresh(self) -> None:
        """Show the last four weeks; what is being typed stays."""
        hub, form, setup = self._hub, self.form, self._hub.setup
        self._fills = hub.desk.station.ledger.fills_between(self._day() - SPAN, self._last())
        self._reweighs = hub.desk.station.ledger.reweighs()
        form.fill_pack.blockSignals(True)  # noqa: FBT003  # Qt's own
        is_new = form.fill_pack.count() == 0
        fill(form.fill_pack, [(pack.name, pack.name) for pack in setup.packs])
        choice = hub.desk.station.view(hub.bench).choice
        if is_new and choice is not None:
            form.fill_pack.setCurrentIndex(max(form.fill_pack.findData(choice.pack), 0))
        form.fill_pack.blockSignals(False)  # noqa: FBT003  # Qt's own
        self._show_given()
        self._show_culls()
        self._show_pack()

    def _day(self) -> date:
        return self._hub.day or self._hub.desk.today()

    def _last(self) -> date:
        return week_of(self._day())[1]

    def _pack(self) -> Pack:
        return self._hub.setup.pack(self.form.fill_pack.currentData())

    @Slot()
    def _show_pack(self) -> None:
        hub, pack = self._hub, self._pack()
        at_bench = [each for each in self._fills if each.bench == hub.bench]
        ledger = hub.desk.station.ledger
        targets = ledger.targets_between(pack.name, self._day() - SPAN, self._last())
        self._charted = charted_fills(at_bench, pack, targets=targets, most=_MOST_FIVES)
        division = hub.setup.bench(hub.bench).division
        means, ranges = fill_pictures(self._charted, pack.name, division, hub.words)
        self._show(self.form.means, self.form.means_said, means)
        self._show(self.form.ranges, self.form.ranges_said, ranges)
        if self._shown != (pack.name, hub.setup):
            self._shown = (pack.name, hub.setup)
            for name, text in drafted(figures_of(hub.setup, pack)).items():
                self._fields[name].setText(text)
        self._show_aim()

    def _show(self, chart: ControlChart, said: QLabel, picture: ControlPicture) -> None:
        chart.show_picture(picture)
        said.setText(picture.said)

    def _draft(self) -> dict[str, str]:
        return {name: field.text() for name, field in self._fields.items()}

    @Slot()
    def _show_aim(self) -> None:
        """Show the aim that follows from what stands in the fields."""
        form, words = self.form, self._hub.words
        try:
            shown = self._aim()
        except BadDraft as bad:
            self._found = None
            form.aim_title.setText(words.text("ui.aim_title"))
            form.aim_said.setText(words.say(bad.message))
        else:
            self._found = shown.advice
            form.aim_title.setText(shown.title)
            self._model.show_table(shown.table)
            form.aim_said.setText(shown.said)
        form.aim_sum.setVisible(self._found is not None)
        form.use_target.setEnabled(self._found is not None)

    def _aim(self) -> AimShown:
        """Compute the aim.

        Raises:
            BadDraft: if a figure cannot be read.
        """
        hub, pack, figures = self._hub, self._pack(), typed_figures(self._draft())
        setup, choice = hub.setup, hub.desk.station.view(hub.bench).choice
        bench = setup.bench(hub.bench)
        advice = advise_fill(
            replace(pack, share_below=figures.share_below),
            bench,
            setup,
            way=figures.way,
            charts=None if self._charted is None else self._charted.charts,
            reweighs=self._reweighs,
            cultivar=None if choice is None else choice.cultivar,
        )
        return aim_shown(advice, pack, bench, figures, cultivars=setup.cultivars, words=hub.words)

    def _show_given(self) -> None:
        hub, form, day = self._hub, self.form, self._day()
        week = [each for each in self._fills if each.packed_on >= week_of(day)[0]]
        by_packer = hub.setup.giveaway_by_packer
        sums = giveaway_sums(week, hub.setup.packs, day, by_packer=by_packer)
        picture = giveaway_picture(sums, hub.setup, day, hub.words)
        form.given_bars.show_sums(picture.bars, room=_GIVEN_ROOM)
        form.given_bars.setVisible(bool(picture.bars))
        form.given_said.setText(picture.said)
        name = "ui.hide_packers" if by_packer else "ui.show_packers"
        form.show_packers.setText(hub.words.text(name))

    def _show_culls(self) -> None:
        hub, form = self._hub, self.form
        days = hub.desk.station.ledger.cull_days(self._day() - SPAN, self._last())
        shares, rates = cull_pictures(culled_share(days), culled_a_box(days), hub.words)
        self._show(form.shares, form.shares_said, shares)
        self._show(form.rates, form.rates_said, rates)

    @Slot()
    def use_target(self) -> None:
        """Make the aim the pack's target by the lead's word, and keep the figures it came from."""
        if self._found is None:
            return
        pack = aimed(self._pack(), self._found)
        values = {"pack": pack.name, "target": pack.target}
        self._save(pack, Message("fill.use_target", values), Message("fill.target_used", values))

    @Slot()
    def keep_figures(self) -> None:
        """Keep the figures for the next time by the lead's word; the target stays."""
        title = Message("fill.keep_figures", {"pack": self._pack().name})
        self._save(self._pack(), title, Message("fill.figures_kept"))

    def _save(self, pack: Pack, title: Message, done: Message) -> None:
        try:
            figures = typed_figures(self._draft())
        except BadDraft as bad:
            self._hub.tell(bad.message)
            return
        setup = with_figures(self._hub.setup, pack, figures)
        self._hub.ask_lead(title, _SetUp(self._hub, setup, done, self.refresh))

    @Slot()
    def show_packers(self) -> None:
        """Show or hide what each packer gives away, by the lead's word."""
        shows = not self._hub.setup.giveaway_by_packer
        name = "fill.packers_shown" if shows else "fill.packers_hidden"
        setup = replace(self._hub.setup, giveaway_by_packer=shows)
        title = Message("ui.show_packers" if shows else "ui.hide_packers")
        self._hub.ask_lead(title, _SetUp(self._hub, setup, Message(name), self.refresh))


@dataclass(frozen=True)
class _SetUp:
    """Records a setup once the lead has given the word, if everything in it fits."""

    hub: Hub
    setup: Setup
    done: Message
    then: Callable[[], None]

    def __call__(self, reason: str, by: str | None) -> None:
        del reason
        desk = self.hub.desk
        findings = desk.check_setup(self.setup)
        if findings:
            self.hub.tell(findings[0])
            return
        try:
            desk.station.set_up(self.setup, at_s=desk.now_s(), by=by)
        except (Refused, WorldFault) as fault:
            self.hub.tell(fault.message)
            return
        self.then()
        self.hub.tell(self.done)
