"""The invented farm that `ovipost chat --demo` opens with: its data file, set to end today.

Not for what the messages lead to: they are played through the real assistant.
"""

import datetime as dt
import tomllib
from importlib import resources
from typing import Any

from bot.channels.json_lines import Line
from core.farm.settings import tzinfo_of

OWNER = "Noor"  # who sits at the terminal unless another name is given
_LEAD = dt.timedelta(hours=1)  # from the farm's opening to the first message


def season(now: dt.datetime, timezone: str) -> tuple[dict[str, Any], list[Line]]:
    """Give the farm's description as it opens, and all that was said up to `now`, in a zone of a farm's settings."""
    data = tomllib.loads((resources.files("bot.channels") / "demo.toml").read_text("utf-8"))
    today = now.astimezone(tzinfo_of(timezone))
    script = [
        Line(number=number, at=_on(today, days_ago, time), sender=sender, text=text)
        for number, (days_ago, time, sender, text) in enumerate(data["script"]["said"], start=1)
    ]
    opening = {**data["farm"], "timezone": timezone, "now": (script[0].at - _LEAD).isoformat()}
    return opening, [line for line in script if line.at <= now]


def _on(today: dt.datetime, days_ago: int, time: str) -> dt.datetime:
    day = today.date() - dt.timedelta(days=days_ago)
    return dt.datetime.combine(day, dt.time.fromisoformat(time), tzinfo=today.tzinfo)
