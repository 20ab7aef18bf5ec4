"""What can go wrong on the way, to be laid before the next calls of a method."""

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class Refuse:
    """An error as the Bot API words it; 429 with the seconds to wait, 400 with the group's new number."""

    code: int
    description: str = "Error"
    retry_after: int | None = None
    migrate_to: int | None = None


@dataclass(frozen=True, kw_only=True)
class Drop:
    """The connection breaks: before anything is done, or after it, with the answer lost."""

    is_done: bool = False


@dataclass(frozen=True, kw_only=True)
class Wait:
    """The answer takes its time."""

    seconds: float


@dataclass(frozen=True, kw_only=True)
class Garbage:
    """A page of some proxy in place of an answer."""

    code: int = 502
    body: str = "<html><body>Bad Gateway</body></html>"


@dataclass(frozen=True, kw_only=True)
class HalfAnswer:
    """The call is done, the answer breaks off in the middle."""


Fault = Refuse | Drop | Wait | Garbage | HalfAnswer


def too_many(retry_after=1):
    """Flood control."""
    return Refuse(code=429, description=f"Too Many Requests: retry after {retry_after}", retry_after=retry_after)


def broken():
    """Give an error of the server itself."""
    return Refuse(code=500, description="Internal Server Error")
