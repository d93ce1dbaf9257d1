"""Set colours, letters and sizes in one place: paper white, blue and rust, readable in daylight."""

from typing import Final

from PySide6.QtGui import QColor, QFont, QFontDatabase
from PySide6.QtWidgets import QApplication

from shedstation import resources

PAPER: Final = "#FBF8F1"
SAND: Final = "#EEE7D6"
INK: Final = "#1A211D"
SOFT: Final = "#454D48"
GREEN: Final = "#1F4A3D"
BLUE: Final = "#174F92"
RUST: Final = "#8A3410"
AMBER: Final = "#E3A32B"
LINE: Final = "#B9AF98"
WHITE: Final = "#FFFFFF"

FAMILY: Final = "Atkinson Hyperlegible"
BASE_PX: Final = 17
TOUCH_PX: Final = 57
"""15 mm on a screen of 96 dots per inch, the least size of what a finger must hit."""

TONES: Final = {"add": BLUE, "on": GREEN, "out": RUST, "wait": INK, "trouble": RUST}
"""Colour of the sign and sentence; word and sign say the same without it."""

_SHEET: Final = f"""
QWidget {{ font-family: "{FAMILY}"; font-size: {BASE_PX}px; color: {INK}; }}
QWidget#window_root, QStackedWidget, QStackedWidget > QWidget,
QScrollArea, QScrollArea > QWidget > QWidget {{ background: {PAPER}; }}
QLabel {{ background: transparent; }}
QLabel[role="soft"] {{ color: {SOFT}; font-size: 18px; }}
QLabel[role="strong"] {{ font-weight: bold; }}
QLabel[role="heading"] {{ font-weight: bold; font-size: 23px; color: {GREEN}; }}
QLabel[role="caution"] {{ background: {SAND}; border-left: 6px solid {RUST}; padding: 8px; }}
QLabel[role="say"] {{ font-weight: bold; font-size: 24px; }}
QLabel[role="read"] {{ font-size: 18px; }}
QLabel[role="warning"] {{ color: {RUST}; font-weight: bold; font-size: 19px; }}
QLabel[role="weight"] {{ font-weight: bold; font-size: 108px; }}
QLabel[role="weight_mid"] {{ font-weight: bold; font-size: 54px; }}
QLabel[role="sign"] {{ font-weight: bold; font-size: 50px; }}
QLabel[role="sentence"] {{ font-weight: bold; font-size: 40px; }}
QLabel[role="serial"] {{ font-weight: bold; font-size: 34px; color: {GREEN}; }}
QLabel[role="message"] {{ background: {RUST}; color: {WHITE}; font-weight: bold; font-size: 19px;
  padding: 10px 28px; }}
QFrame[role="head"] {{ background: {GREEN}; }}
QFrame[role="head"] QLabel {{ color: {WHITE}; }}
QLabel[role="head_big"] {{ font-weight: bold; font-size: 24px; }}
QLabel[role="head_mid"] {{ font-weight: bold; font-size: 20px; }}
QLabel[role="head_small"] {{ font-size: 17px; }}
QFrame[role="foot"], QFrame[role="practice"], QFrame[role="nav_bar"] {{ background: {SAND}; }}
QFrame[role="practice"] {{ border-top: 2px dashed {SOFT}; }}
QFrame#line {{ color: {LINE}; }}
QPushButton {{ background: {WHITE}; border: 2px solid {INK}; border-radius: 8px; padding: 4px 12px;
  min-height: {TOUCH_PX - 12}px; }}
QPushButton:focus {{ border: 4px solid {BLUE}; }}
QPushButton:disabled {{ color: {SOFT}; border-color: {LINE}; background: {PAPER}; }}
QPushButton:checked {{ background: {GREEN}; color: {WHITE}; border-color: {GREEN}; }}
QPushButton[role="main"] {{ background: {BLUE}; color: {WHITE}; font-weight: bold;
  border-color: {BLUE}; }}
QPushButton[role="main"]:focus {{ border: 4px solid {INK}; }}
QPushButton[role="main"]:disabled {{ background: {SAND}; color: {SOFT}; border-color: {LINE}; }}
QPushButton[role="step"] {{ text-align: left; padding: 6px 22px; font-size: 22px; font-weight: bold;
  border-width: 3px; border-radius: 12px; min-height: 76px; }}
QPushButton[role="step"]:enabled {{ background: {BLUE}; color: {WHITE}; border-color: {BLUE}; }}
QPushButton[role="nav"] {{ border: none; background: transparent; font-size: 16px; padding: 2px 6px; }}
QPushButton[role="nav"]:checked {{ background: {GREEN}; color: {WHITE}; }}
QPushButton[role="small"] {{ font-size: 13px; padding: 2px 3px; }}
QLineEdit, QComboBox, QPlainTextEdit, QListWidget, QTableView {{ background: {WHITE};
  border: 2px solid {SOFT}; border-radius: 6px; padding: 4px 6px; selection-background-color: {BLUE};
  selection-color: {WHITE}; }}
QLineEdit, QComboBox {{ min-height: 30px; }}
QLineEdit {{ placeholder-text-color: {SOFT}; }}
QComboBox::drop-down {{ border: none; width: 34px; }}
QComboBox::down-arrow {{ image: url("{resources.mark("down").as_posix()}"); width: 16px; height: 10px; }}
QLineEdit:focus, QComboBox:focus, QPlainTextEdit:focus, QListWidget:focus, QTableView:focus {{
  border: 3px solid {BLUE}; }}
QListWidget::item {{ padding: 4px; }}
QTableView {{ alternate-background-color: {PAPER}; gridline-color: {LINE}; }}
QTableView::indicator {{ width: 10px; height: 10px; background: {WHITE};
  border: 2px solid {SOFT}; border-radius: 3px; }}
QTableView::indicator:checked {{ background: {BLUE}; border-color: {BLUE};
  image: url("{resources.mark("tick").as_posix()}"); }}
QHeaderView {{ background: {SAND}; }}
QTableView::item {{ padding: 3px 9px; }}
QHeaderView::section {{ background: {SAND}; font-weight: bold; border: none; padding: 5px 10px; }}
QGroupBox {{ border: 2px solid {LINE}; border-radius: 10px; margin-top: 16px; font-weight: bold; }}
QGroupBox::title {{ subcontrol-origin: margin; left: 14px; padding: 0 6px; color: {GREEN}; }}
QTabWidget::pane {{ border: none; }}
QTabBar::tab {{ padding: 8px 16px; background: {SAND}; margin-right: 3px; }}
QTabBar::tab:selected {{ background: {GREEN}; color: {WHITE}; }}
QProgressBar {{ border: 2px solid {SOFT}; border-radius: 6px; min-height: 26px; text-align: center; }}
QProgressBar::chunk {{ background: {AMBER}; }}
"""


def dress(application: QApplication) -> None:
    """Give the program its letters and colours."""
    for name in ("AtkinsonHyperlegible-Regular", "AtkinsonHyperlegible-Bold"):
        QFontDatabase.addApplicationFont(str(resources.font(name)))
    application.setStyle("Fusion")
    application.setFont(QFont(FAMILY))
    application.setStyleSheet(_SHEET)


def contrast(one: str, other: str) -> float:
    """Give the contrast ratio of two colours (WCAG 2.1, relative luminance)."""
    light, dark = sorted((_luminance(one), _luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def _luminance(colour: str) -> float:
    found = QColor(colour)
    parts = map(_linear, (found.redF(), found.greenF(), found.blueF()))
    return sum(weight * part for weight, part in zip((0.2126, 0.7152, 0.0722), parts, strict=True))


def _linear(part: float) -> float:
    return part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4  # noqa: PLR2004  # WCAG
