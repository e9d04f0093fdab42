"""How a contract's clock, a promise and a step of a call-out are said. Pure."""

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from maintenance.pages import wording

SOON = timedelta(hours=2)  # from here on minutes are said
NEAR = timedelta(days=5)  # a weekday alone says which day


def time_of(moment: datetime, now: datetime, timezone: str) -> str:
    """Tue 14:00; with the day of the month where the weekday alone could be another week's."""
    local = moment.astimezone(ZoneInfo(timezone))
    if abs(moment - now) < NEAR:
        return f"{local:%a %H:%M}"
    return f"{wording.day(local.date(), now.astimezone(ZoneInfo(timezone)).date())}, {local:%H:%M}"


def long(span: timedelta) -> str:
    """5 h, 1 h 20, 40 min, 3 days; rounded down."""
    if span >= timedelta(days=3):
        return wording.many(span.days, "day")
    minutes = int(span.total_seconds() // 60)
    return wording.minutes(minutes if span < SOON else minutes // 60 * 60)


def clock_says(runs_out: datetime | None, now: datetime, timezone: str) -> tuple[str, bool]:
    """What is left of the contract's hours, and whether they are over."""
    if runs_out is None:
        return "no contract's clock", False
    when = time_of(runs_out, now, timezone)
    if runs_out > now:
        return f"runs out {when}, {long(runs_out - now)} left", False
    ago = long(now - runs_out)
    return f"ran out {when}, {ago} ago: past the contract's hours", True


def kept_says(runs_out: datetime | None, closed_at: datetime) -> str:
    """How the contract's clock stood when a call-out was closed."""
    if runs_out is None:
        return "no contract's clock"
    if closed_at <= runs_out:
        return f"within the contract's hours, {long(runs_out - closed_at)} left"
    return f"{long(closed_at - runs_out)} past the contract's hours"


def stands(step: str, who: str, at: datetime, promised_at: datetime | None, now: datetime, zone: str) -> str:
    """How a call-out stands by what was said of it last; `at` is when it was said."""
    if not step:
        return "nobody promised anything yet"
    if step == "promised" and promised_at is not None:
        late = f", {long(now - promised_at)} ago" if promised_at <= now else ""
        return f"promised for {time_of(promised_at, now, zone)}{late}, {who} goes"
    if step in ("on the way", "there"):
        return f"{who} {step} since {time_of(at, now, zone)}"
    return f"{step}, {time_of(at, now, zone)}, {who}"


def was_said(step: str, who: str, promised_at: datetime | None, now: datetime, zone: str) -> str:
    """One step as the list of what was said has it."""
    if step == "promised" and promised_at is not None:
        return f"promised for {time_of(promised_at, now, zone)}, {who} goes"
    return f"{step}, {who}"
