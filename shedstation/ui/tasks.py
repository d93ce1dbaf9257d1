"""Do slow one-shot work off the GUI thread and bring back progress, the answer or the fault."""

from collections.abc import Callable, Iterator
from contextlib import suppress

from PySide6.QtCore import QObject, QRunnable, QThreadPool, Signal, Slot

from shedstation.domain.errors import WorldFault


class Task(QObject):
    """Work in steps that can be stopped between them.

    Signals:
        stepped: What a step gave.
        finished: All steps were done, or it was stopped.
        failed: The world's fault that ended it.
        broke: Our own fault that ended it; the GUI thread must raise it.
    """

    stepped = Signal(object)
    finished = Signal()
    failed = Signal(object)
    broke = Signal(object)

    def __init__(self, steps: Callable[[], Iterator[object]], parent: QObject) -> None:
        """Prepare the work; `parent` must outlive it."""
        super().__init__(parent)
        self._steps = steps
        self._stopped = False

    def start(self) -> None:
        """Start on the pool."""
        QThreadPool.globalInstance().start(_Runner(self._run))

    def stop(self) -> None:
        """Stop after the step that is under way."""
        self._stopped = True

    @Slot()
    def _run(self) -> None:
        # The window, and this with it, may be closed while a step is under way.
        with suppress(RuntimeError):
            self._steps_through()

    def _steps_through(self) -> None:
        try:
            for result in self._steps():
                self.stepped.emit(result)
                if self._stopped:
                    break
        except WorldFault as fault:
            self.failed.emit(fault)
            return
        except Exception as fault:  # noqa: BLE001  # told where the program's last resort is
            self.broke.emit(fault)
            return
        self.finished.emit()


class _Runner(QRunnable):
    def __init__(self, work: Callable[[], None]) -> None:
        super().__init__()
        self._work = work

    def run(self) -> None:
        self._work()
