"""What the doctor sees of a program that is already at work here, on its port for whoever watches it."""

import http.client
from typing import Literal

import msgspec

from bot.channels.checkup import Finding, found
from bot.channels.listening import LOOPBACK, PortError, listen
from bot.channels.watching import VARIABLE

ANSWER_WITHIN = 5.0  # seconds
LONGEST = 65536  # bytes of an answer


class Health(msgspec.Struct, frozen=True, kw_only=True):
    """What `/health` answers, as far as it is of interest here."""

    status: Literal["ok", "look"]
    reasons: list[str] = []


def examine_port(port: int) -> Finding:
    """Say whether the port for health and metrics is free, or what answers there."""
    what = f"health and metrics on port {port}"
    try:
        listen(LOOPBACK, port, VARIABLE).close()
    except PortError as refused:
        health = _asked(port)
        if health is None:
            return found(what, str(refused))
        return found(
            f"{what}: `ovipost serve` answers there", "; ".join(health.reasons) + "." if health.reasons else None
        )
    return found(f"{what}: `ovipost serve` will answer there", None)


def _asked(port: int) -> Health | None:
    connection = http.client.HTTPConnection(LOOPBACK, port, timeout=ANSWER_WITHIN)
    try:
        connection.request("GET", "/health")
        return msgspec.json.decode(connection.getresponse().read(LONGEST), type=Health)
    except (OSError, http.client.HTTPException, msgspec.DecodeError, UnicodeDecodeError):
        return None
    finally:
        connection.close()
