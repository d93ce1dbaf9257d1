"""Show tables of text, with ticks where rows are to be chosen."""

from typing import Any

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QPersistentModelIndex, Qt
from PySide6.QtWidgets import QHeaderView, QTableView

from shedstation.presenters.rows import TextTable

Index = QModelIndex | QPersistentModelIndex
_EMPTY = TextTable((), (), frozenset())


class RowsModel(QAbstractTableModel):
    """A read-only table of text; its first column can carry ticks."""

    def __init__(self, *, has_ticks: bool = False) -> None:
        """Start with no rows."""
        super().__init__()
        self._table = _EMPTY
        self._has_ticks = has_ticks
        self._ticked: set[str] = set()

    def show_table(self, table: TextTable) -> None:
        """Show another table; ticks stay with rows whose first text is still there."""
        self.beginResetModel()
        self._table = table
        self._ticked &= {row[0] for row in table.rows}
        self.endResetModel()

    def ticked(self) -> tuple[str, ...]:
        """Give the first texts of ticked rows, in the order of the rows."""
        return tuple(row[0] for row in self._table.rows if row[0] in self._ticked)

    def tick_all(self) -> None:
        """Tick every row, or none if all are ticked."""
        every = {row[0] for row in self._table.rows}
        self.beginResetModel()
        self._ticked = set() if every == self._ticked else every
        self.endResetModel()

    def untick_all(self) -> None:
        """Untick every row."""
        self.beginResetModel()
        self._ticked.clear()
        self.endResetModel()

    def first_text(self, row: int) -> str:
        """Give the first text of a row."""
        return self._table.rows[row][0]

    def rowCount(self, parent: Index = QModelIndex()) -> int:  # noqa: N802, B008  # Qt's names
        """Give the number of rows."""
        return 0 if parent.isValid() else len(self._table.rows)

    def columnCount(self, parent: Index = QModelIndex()) -> int:  # noqa: N802, B008  # Qt's names
        """Give the number of columns."""
        return 0 if parent.isValid() else len(self._table.titles)

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:  # noqa: ANN401  # Qt's own
        """Give a cell's text, alignment or tick."""
        if not index.isValid():
            return None
        if role == Qt.ItemDataRole.DisplayRole:
            return self._table.rows[index.row()][index.column()]
        if role == Qt.ItemDataRole.TextAlignmentRole:
            return self._alignment(index.column())
        if role == Qt.ItemDataRole.CheckStateRole and self._has_ticks and index.column() == 0:
            ticked = self.first_text(index.row()) in self._ticked
            return Qt.CheckState.Checked if ticked else Qt.CheckState.Unchecked
        return None

    def _alignment(self, column: int) -> Qt.AlignmentFlag:
        right = column in self._table.numbers
        side = Qt.AlignmentFlag.AlignRight if right else Qt.AlignmentFlag.AlignLeft
        return side | Qt.AlignmentFlag.AlignVCenter

    def setData(self, index: Index, value: Any, role: int = Qt.ItemDataRole.EditRole) -> bool:  # noqa: N802, ANN401  # Qt's own
        """Take a tick."""
        if role != Qt.ItemDataRole.CheckStateRole or not self._has_ticks or index.column() != 0:
            return False
        name = self.first_text(index.row())
        if Qt.CheckState(value) == Qt.CheckState.Checked:
            self._ticked.add(name)
        else:
            self._ticked.discard(name)
        self.dataChanged.emit(index, index)
        return True

    def flags(self, index: Index) -> Qt.ItemFlag:
        """Let rows be chosen and, with ticks, ticked by the space key."""
        flags = super().flags(index)
        if self._has_ticks and index.column() == 0:
            flags |= Qt.ItemFlag.ItemIsUserCheckable
        return flags

    def headerData(  # noqa: N802  # Qt's name
        self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole
    ) -> Any:  # noqa: ANN401  # Qt's own
        """Give a column's title, standing like its cells."""
        if role == Qt.ItemDataRole.TextAlignmentRole:
            return self._alignment(section)
        if role == Qt.ItemDataRole.DisplayRole and orientation == Qt.Orientation.Horizontal:
            return self._table.titles[section] if section < len(self._table.titles) else None
        return None


def fit(view: QTableView, model: RowsModel) -> None:
    """Put a model into a view whose columns fit their text."""
    view.setModel(model)
    view.verticalHeader().hide()
    view.horizontalHeader().setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
