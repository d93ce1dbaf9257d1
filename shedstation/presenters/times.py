"""Say UTC times as people in the shed read them."""

from datetime import datetime
from zoneinfo import ZoneInfo


def local(at: str, time_zone: str) -> datetime:
    """Give the local time of a recorded UTC time."""
    return datetime.fromisoformat(at).astimezone(ZoneInfo(time_zone))


def clock_time(at: str, time_zone: str) -> str:
    """Give hours and minutes in the farm's zone; nothing for a time that is not known."""
    return local(at, time_zone).strftime("%H:%M") if at else ""
