"""From starting the program to its first painted window, with Qt alone beside it."""

import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from measuring import report

OURS = """
import sys, time
from contextlib import ExitStack
from pathlib import Path
from shedstation.bootstrap.desktop import make_desk
from shedstation.ui.app import application, make_window
app = application()
with ExitStack() as stack:
    window = make_window(make_desk(stack, Path(sys.argv[1]), None))
    window.show()
    app.processEvents()
    window.grab()
    print(time.time())
    window.close()
"""
QT = """
import time
from PySide6.QtWidgets import QApplication, QLabel
app = QApplication([])
window = QLabel("hello")
window.show()
app.processEvents()
window.grab()
print(time.time())
"""
SAMPLE = Path(__file__).parents[2] / "sample_shed_day"
ROUNDS = 7


def first_paint(code: str, folder: str) -> float:
    """Give the seconds from starting a process to its first painted window."""
    env = {**os.environ, "QT_QPA_PLATFORM": "offscreen"}
    start = time.time()
    done = subprocess.run(
        [sys.executable, "-c", code, folder], env=env, capture_output=True, text=True, check=True
    )
    return float(done.stdout.split()[-1]) - start


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        fill(folder)
        first_paint(OURS, folder)
        ours, qt = [], []
        for _ in range(ROUNDS):
            ours.append(first_paint(OURS, folder))
            qt.append(first_paint(QT, folder))
    mine, other = statistics.median(ours), statistics.median(qt)
    report("start to first paint, the bench of a set-up farm", mine, "s", "at most 1.5")
    report("start to first paint, Qt alone", other, "s", "figure")
    report("start to first paint, ours beside Qt alone", mine / other, "times", "figure")


def fill(folder: str) -> None:
    code = (
        "import sys; from shedstation.bootstrap.headless import run_day; from pathlib import Path;"
    )
    code += (
        "run_day(Path(sys.argv[2]), Path(sys.argv[1]) / 'out', Path(sys.argv[1]), lambda s: None)"
    )
    subprocess.run([sys.executable, "-c", code, folder, str(SAMPLE)], check=True)


if __name__ == "__main__":
    main()
