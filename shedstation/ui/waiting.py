"""Say at the start what waits for a person."""

from datetime import date

from shedstation.domain.backup_due import is_overdue
from shedstation.domain.box import JobState
from shedstation.domain.check_due import is_check_due
from shedstation.domain.farm import Setup
from shedstation.domain.message import Message
from shedstation.ui.desk import Desk, last_safe


def waiting(desk: Desk) -> Message | None:
    """Give the most pressing thing that waits for a person at the start."""
    station, today = desk.station, desk.today()
    setup = station.setup
    if setup is None:
        return None
    sending = station.ledger.label_jobs(JobState.SENDING)
    if sending:
        return Message("ui.answer_label", {"serial": sending[0].serial})
    if station.day is not None and station.day < today:
        return Message("store.day_left_open", {"day": station.day})
    if station.view(setup.benches[0].name).scale_failed:
        return Message("bench.scale_failed")
    if setup.backup_folder and is_overdue(last_safe(desk), today):
        return Message("ui.backup_overdue")
    return _scale_check(desk, setup, today)


def _scale_check(desk: Desk, setup: Setup, today: date) -> Message | None:
    """Remind of the check with test weights; a scale never checked counts from the first day packed."""
    last = desk.station.ledger.last_check(setup.benches[0].name)
    days = desk.records.days()
    since = last.day if last is not None else days[-1] if days else today
    if not is_check_due(since, today, setup.scale_check_days):
        return None
    if last is None:
        return Message("ui.scale_check_first")
    return Message("bench.scale_check_due", {"day": last.day})
