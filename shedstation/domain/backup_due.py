"""Say whether a backup is overdue."""

from datetime import date, timedelta
from typing import Final

WORKING_DAYS: Final = 2
_SATURDAY: Final = 5


def is_overdue(last: date, today: date) -> bool:
    """Tell whether more than two working days (Monday to Friday) went by since the last backup."""
    days = (last + timedelta(days=number) for number in range(1, (today - last).days + 1))
    return sum(day.weekday() < _SATURDAY for day in days) > WORKING_DAYS
