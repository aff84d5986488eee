"""Moments of the record as people at the bench say them: in the workshop's own time."""

from __future__ import annotations

from datetime import UTC, date, datetime

#: Seconds of a minute, an hour; minutes beyond which a pause is told in hours, hours beyond which in days.
_MINUTE, _HOUR = 60, 3600
_MANY_MINUTES, _MANY_HOURS = 90, 36
#: Days beyond which the day of something says more than how long ago it was.
_MANY_DAYS = 14
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def local(moment: str) -> datetime:
    """Return a moment of the record in local time; a bare day is its beginning."""
    if len(moment) == len("2026-03-02"):
        return datetime.fromisoformat(moment)
    return datetime.fromisoformat(moment.replace("Z", "+00:00")).astimezone()


def day(moment: str | None) -> str:
    """Write the day of a moment, like ``2 Mar 2026``."""
    if not moment:
        return "day not known"
    at = local(moment)
    return f"{at.day} {_MONTHS[at.month - 1]} {at.year}"


def clock(moment: str | None) -> str:
    """Write the time of day of a moment, like ``10:15``."""
    return f"{local(moment):%H:%M}" if moment and len(moment) > len("2026-03-02") else ""


def whole(moment: str) -> str:
    """Write the day and the time of day of a moment, like ``2 Mar 2026, 10:15``."""
    return f"{day(moment)}, {clock(moment)}"


def ago(moment: str, now: datetime) -> str:
    """Say how long ago a moment was."""
    seconds = (now.astimezone(UTC) - local(moment).astimezone(UTC)).total_seconds()
    if seconds < _MINUTE:
        return "just now"
    minutes, hours = int(seconds // _MINUTE), int(seconds // _HOUR)
    if minutes < _MANY_MINUTES:
        return f"{minutes} min ago"
    if hours < _MANY_HOURS:
        return f"{hours} h ago"
    return f"{int(seconds // (24 * _HOUR))} days ago"


def long_ago(moment: str, now: datetime) -> bool:
    """Say whether a moment is so far off that its day says more than the days since."""
    return (now.astimezone(UTC) - local(moment).astimezone(UTC)).days > _MANY_DAYS


def due(on: str, today: date) -> str:
    """Say how far off a day is."""
    days = (date.fromisoformat(on[:10]) - today).days
    if days == 0:
        return "today"
    if days == 1:
        return "tomorrow"
    if days == -1:
        return "yesterday"
    return f"in {days} days" if days > 0 else f"{-days} days ago"
