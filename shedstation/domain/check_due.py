"""Say whether a scale is due for a check with test weights."""

from datetime import date


def is_check_due(last: date, today: date, every_days: int) -> bool:
    """Tell whether the time between checks has passed; every 0 days never reminds.

    The time is the farm's own choice: common practice, no published source.
    """
    return every_days > 0 and (today - last).days >= every_days
