"""What may be told of an error of the Bot API."""

import pytest
from telegram import error

from bot.channels.telegram.failures import why
from bot.channels.telegram.request import FloodError
from tests.botapi.faults import Drop, Garbage, Refuse, Wait, broken


@pytest.mark.parametrize(
    ("failure", "told"),
    [
        (
            error.BadRequest('Can\'t parse entities: unsupported start tag "Noor" at byte offset 7'),
            "can't parse entities",
        ),
        (error.BadRequest("Bad Request: Noor, tub 3"), None),
        (error.Forbidden("Forbidden: bot was blocked by the user"), "bot was blocked"),
        (error.Conflict("Conflict: terminated by other getUpdates request; x"), "terminated by other getupdates"),
        (error.ChatMigrated(-1001234), None),
        (FloodError(7), "Too many messages; wait 7 s"),
        (error.NetworkError("Unknown error in HTTP implementation: ValueError('/bot1:token')"), None),
    ],
    ids=lambda value: value if isinstance(value, str) else type(value).__name__,
)
def test_of_telegrams_words_only_known_ones_are_told(failure, told):
    kind = type(failure).__name__

    assert why(failure) == (f"{kind}: {told}" if told else kind)


@pytest.mark.parametrize(
    ("fault", "told"),
    [
        (broken(), "ServerTroubleError: HTTP 500"),
        (Refuse(code=502, description="Noor wrote: tub 3"), "ServerTroubleError: HTTP 502"),
        (Garbage(body="<p>Noor wrote: tub 3"), "ServerTroubleError: HTTP 502"),
        (Garbage(code=200, body="Noor wrote: tub 3"), "NetworkError: The answer has no result"),
        (Drop(), "NetworkError: Connection failed: ServerDisconnectedError"),
        (Wait(seconds=1), "TimedOut: Timed out"),
    ],
    ids=repr,
)
async def test_of_a_bad_network_our_own_words_are_told(server, account, fault, told):
    server.faults("getMe", fault)

    with pytest.raises(error.NetworkError) as caught:
        await account.get_me(read_timeout=0.2)

    assert why(caught.value) == told
