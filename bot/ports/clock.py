"""The clock, as a role."""

import datetime as dt
from typing import Protocol


class Clock(Protocol):
    """Where the time comes from."""

    def now(self) -> dt.datetime:
        """Give the time, aware, in UTC."""
        ...
