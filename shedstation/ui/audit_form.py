"""Name the widgets of the page for audits."""

from dataclasses import dataclass

from PySide6.QtWidgets import (
    QComboBox,
    QLabel,
    QLineEdit,
    QPushButton,
    QStackedWidget,
    QTableView,
    QTabWidget,
    QWidget,
)


@dataclass(frozen=True)
class AuditForm:
    """Widgets of the page for audits."""

    root: QWidget
    parts: QStackedWidget
    audit_day: QComboBox
    audit_pack: QComboBox
    audit_lot: QComboBox
    audit_rule: QComboBox
    allowance: QLineEdit
    plan_said: QLabel
    start_audit: QPushButton
    single: QLineEdit
    weigh_single: QPushButton
    single_said: QLabel
    loss_said: QLabel
    audit_sentence: QLabel
    audit_progress: QLabel
    audit_box: QLineEdit
    weigh: QPushButton
    not_found: QPushButton
    end_audit: QPushButton
    reading: QLabel
    reading_state: QLabel
    own_control: QLabel
    audit_said: QLabel
    audit_tabs: QTabWidget
    figures: QTableView
    audit_boxes: QTableView
    audit_of: QLabel
