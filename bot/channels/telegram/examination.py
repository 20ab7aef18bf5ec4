"""What `ovipost doctor` sees of Telegram: the token, the way there, its clock, and who is told of messages."""

import datetime as dt
import urllib.parse

from telegram import WebhookInfo, error

from bot.channels.checkup import Finding, Look, OtherClock, found
from bot.channels.telegram.account import TelegramAccount
from bot.channels.telegram.request import FloodError
from bot.ports.clock import Clock

RECENTLY = dt.timedelta(hours=1)  # a failed call that is older says little
HALF_A_SECOND = dt.timedelta(seconds=0.5)  # a date in an answer is cut to the second


async def examine(account: TelegramAccount, clock: Clock, webhook_url: str | None) -> Look:
    """Sign in and ask where updates go; `webhook_url` is where they should, None for polling."""
    seen = None
    try:
        began = clock.now()
        try:
            await account.initialize()
        finally:
            seen = _compared(account.server_time, began, clock.now())
        info = await account.get_webhook_info()
    except error.TelegramError as failure:
        return Look(trouble=_trouble(failure), clock=seen)
    finally:
        await account.shutdown()
    return Look(clock=seen, more=(_webhook(info, webhook_url, account.server_time or clock.now()),))


def _compared(at: dt.datetime | None, began: dt.datetime, ended: dt.datetime) -> OtherClock | None:
    if at is None:
        return None
    return OtherClock(whose="Telegram's", ahead=at + HALF_A_SECOND - (began + (ended - began) / 2))


def _trouble(failure: error.TelegramError) -> str:
    match failure:
        case error.InvalidToken():
            return (
                "it refuses the token; copy the token that BotFather gives into OVIPOST_TELEGRAM_TOKEN, "
                "and check OVIPOST_TELEGRAM_API if it is set."
            )
        case FloodError():
            return f"it has had too many calls; look again in {failure.seconds:g} seconds."
        case _:
            return f"no answer ({failure.message}); check the network, and OVIPOST_TELEGRAM_API if it is set."


def _webhook(info: WebhookInfo, wanted: str | None, now: dt.datetime) -> Finding:
    waiting = f", {info.pending_update_count} waiting there" if info.pending_update_count else ""
    if info.url and info.url != wanted:
        trouble = (
            f"they go to {_host(info.url)}; where another program has this bot, make a bot of its own for it, "
            "else `ovipost serve` puts it right when it starts."
        )
        return found("messages", trouble)
    if info.url and info.last_error_date and now - info.last_error_date < RECENTLY:
        minutes = max(0, round((now - info.last_error_date) / dt.timedelta(minutes=1)))
        trouble = (
            f"Telegram's last call, {minutes} min ago, failed ({info.last_error_message}){waiting}; "
            "see that `ovipost serve` runs and that the proxy passes the path of OVIPOST_WEBHOOK_URL on to it."
        )
        return found("messages", trouble)
    if wanted is None:
        return found(f"messages: `ovipost serve` asks Telegram for them{waiting}", None)
    way = "Telegram brings them" if info.url else "`ovipost serve` will tell Telegram where to bring them"
    return found(f"messages: {way}{waiting}", None)


def _host(url: str) -> str:
    return urllib.parse.urlsplit(url).hostname or "another address"
