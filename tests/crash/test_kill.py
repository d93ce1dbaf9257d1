"""Kill the station at random moments and find every acknowledged box."""

import os
import random
import subprocess
import sys
import time
from pathlib import Path

from conftest import IS_LONG

from shedstation.bootstrap.headless import check_data, reading_ledger
from shedstation.domain.box import JobState

KILLS = 400 if IS_LONG else 50
CHILD = Path(__file__).with_name("packing_child.py")


def run_and_kill(folder: Path, after_s: float) -> list[str]:
    """Start packing, kill it some time after it is ready, and give what it acknowledged."""
    path = os.pathsep.join([str(CHILD.parents[1]), *sys.path])
    child = subprocess.Popen(
        [sys.executable, str(CHILD), str(folder)],
        stdout=subprocess.PIPE,
        env={**os.environ, "PYTHONPATH": path},
        text=True,
    )
    assert child.stdout is not None
    assert child.stdout.readline() == "ready\n"
    time.sleep(after_s)
    child.kill()
    acknowledged = child.stdout.read().split("\n")
    child.stdout.close()
    child.wait()
    # The last piece may be cut off in the middle: then it was not acknowledged.
    return acknowledged[:-1]


def test_that_no_kill_loses_an_acknowledged_box(tmp_path: Path) -> None:
    seed = random.randrange(10**9) if IS_LONG else 1
    moments = random.Random(seed)
    acknowledged: list[str] = []
    interrupted = 0
    for _ in range(KILLS):
        acknowledged += run_and_kill(tmp_path, moments.uniform(0.0, 0.12))
        report = check_data(tmp_path)
        assert report.damage == (), seed
        asked = {each.name for each in report.waiting}
        with reading_ledger(tmp_path) as ledger:
            sending = ledger.label_jobs(JobState.SENDING)
            queued = ledger.label_jobs(JobState.QUEUED)
        assert bool(sending) == ("store.did_label_come_out" in asked)
        assert bool(queued) == ("store.label_waits" in asked)
        interrupted += bool(sending) + bool(queued) + ("store.box_left_open" in asked)
    with reading_ledger(tmp_path) as ledger:
        boxes = [box for day in ledger.days() for box in ledger.boxes_on(day)]
        jobs = {box.serial: ledger.label_jobs_of(box.serial) for box in boxes}
    serials = [box.serial for box in boxes]
    assert set(acknowledged) <= set(serials), seed
    assert len(serials) == len(set(serials)), seed
    assert all(box.gross - box.tare == box.net for box in boxes)
    assert all(jobs.values()), "a box without its label was recorded"
    assert len(acknowledged) > KILLS, "the child hardly packed"
    assert interrupted, "no kill fell between two facts"
