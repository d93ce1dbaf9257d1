"""Let a person choose what to audit, and by whose rule."""

from datetime import date
from typing import Final

from PySide6.QtCore import QObject, QSignalBlocker, Slot
from PySide6.QtWidgets import QComboBox

from shedstation.domain.audit import MOST_ALLOWANCE, AuditRule, LotKey, lots_of
from shedstation.domain.box import Box
from shedstation.domain.farm import NetOnLabel
from shedstation.domain.message import Message
from shedstation.domain.scale_tolerance import Standard
from shedstation.presenters.audit import plan_said
from shedstation.presenters.typed import typed_percent
from shedstation.station.actions import StartAudit
from shedstation.ui.audit_form import AuditForm
from shedstation.ui.hub import Hub
from shedstation.ui.loads_screen import fill

_MOST_DAYS: Final = 30
"""Days that are offered; fruit does not stand in the shed for longer."""


class AuditChoice(QObject):
    """The fields that say what is audited; what each offers follows from the one before it."""

    def __init__(self, hub: Hub, form: AuditForm) -> None:
        """Take over the fields of the page's form."""
        super().__init__()
        self._hub = hub
        self._form = form
        self._boxes: tuple[Box, ...] = ()
        self._keys: dict[str, LotKey] = {}
        form.audit_day.currentIndexChanged.connect(self._show_packs)
        form.audit_pack.currentIndexChanged.connect(self._show_lots)
        form.audit_lot.currentIndexChanged.connect(self._show_plan)
        form.audit_rule.currentIndexChanged.connect(self._show_plan)

    def refresh(self) -> None:
        """Offer what stands in the shed now."""
        words, days = self._hub.words, self._hub.desk.records.days()[:_MOST_DAYS]
        self._offer(self._form.audit_day, [(day.isoformat(), words.day(day)) for day in days])
        rules = sorted(AuditRule, key=self._is_abroad)
        names = [(each.value, words.text(f"audit.rule_{each.value}")) for each in rules]
        self._offer(self._form.audit_rule, names)
        self._show_packs()

    def _is_abroad(self, rule: AuditRule) -> bool:
        """Tell whether a rule is not the one of the farm's own market."""
        is_metric = self._hub.setup.scale_standard is Standard.OIML
        return (rule is AuditRule.HANDBOOK_133) is is_metric

    def _offer(self, combo: QComboBox, items: list[tuple[str, str]]) -> None:
        blocked = QSignalBlocker(combo)
        fill(combo, items)
        blocked.unblock()

    @Slot()
    def _show_packs(self) -> None:
        day = self._form.audit_day.currentData()
        ledger = self._hub.desk.station.ledger
        self._boxes = ledger.boxes_on(date.fromisoformat(day)) if day else ()
        keys = [key for key in lots_of(self._boxes) if self._declares(key)]
        self._keys = {f"{key.pack} {key.label}": key for key in keys}
        self._offer(
            self._form.audit_pack, [(name, self._said(self._keys[name])) for name in self._keys]
        )
        self._show_lots()

    def _declares(self, key: LotKey) -> bool:
        pack = self._hub.setup.pack_or_none(key.pack)
        return pack is None or pack.net_on_label is NetOnLabel.DECLARED

    def _said(self, key: LotKey) -> str:
        return self._hub.words.text("ui.pack_and_label", pack=key.pack, label=key.label)

    @property
    def _key(self) -> LotKey | None:
        return self._keys.get(self._form.audit_pack.currentData() or "")

    @Slot()
    def _show_lots(self) -> None:
        key = self._key
        lots = () if key is None else sorted({box.lot for box in self._boxes if key.holds(box)})
        every = ("", self._hub.words.text("audit.all_lots"))
        self._offer(self._form.audit_lot, [every, *((lot, lot) for lot in lots)])
        self._show_plan()

    @Slot()
    def _show_plan(self) -> None:
        form, hub, key = self._form, self._hub, self._key
        form.start_audit.setEnabled(key is not None)
        form.allowance.setEnabled(self._rule is AuditRule.HANDBOOK_133)
        if key is None:
            form.plan_said.setText(hub.words.text("ui.nothing_to_audit"))
            return
        lot = form.audit_lot.currentData()
        boxes = [box for box in self._boxes if key.holds(box) and lot in ("", box.lot)]
        bench, standard = hub.setup.bench(hub.bench), hub.setup.scale_standard
        said = plan_said(
            hub.words, rule=self._rule, key=key, lot=len(boxes), bench=bench, standard=standard
        )
        form.plan_said.setText(said)

    @property
    def _rule(self) -> AuditRule:
        return AuditRule(self._form.audit_rule.currentData())

    def action(self) -> StartAudit | None:
        """Give what was chosen as an action; say what cannot be read."""
        form, key, rule = self._form, self._key, self._rule
        if key is None:
            return None
        try:
            allowance = typed_percent(form.allowance.text(), MOST_ALLOWANCE)
        except ValueError as wrong:
            values = {"found": str(wrong), "most": MOST_ALLOWANCE}
            self._hub.tell(Message("ui.allowance_wrong", values))
            return None
        return StartAudit(
            **self._hub.moment(),
            pack=key.pack,
            rule=rule,
            packed_on=key.packed_on,
            lot=form.audit_lot.currentData() or None,
            label=key.label,
            allowance=allowance if rule is AuditRule.HANDBOOK_133 else None,
        )
