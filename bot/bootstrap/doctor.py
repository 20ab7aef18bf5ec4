"""What `ovipost doctor` looks at, joined: the database, the account, the ports."""

from collections.abc import Iterator
from contextlib import closing
from typing import TYPE_CHECKING

from bot import bootstrap

if TYPE_CHECKING:
    from bot.channels.checkup import Finding, Look
    from bot.settings import Settings


def checkup(settings: "Settings") -> Iterator["Finding"]:
    """Look at everything that the program needs."""
    import asyncio

    from bot import settings as environment
    from bot.channels.checkup import findings
    from bot.storage import engines

    file = engines.file_of(settings.db)
    return findings(
        clock=bootstrap.SystemClock(),
        folder=environment.data_folder() if file is None else file.absolute().parent,
        database=lambda: _look_at_database(settings.db),
        account=None if settings.telegram_token is None else lambda: asyncio.run(_look_at_account(settings)),
        more=lambda: _look_further(settings),
    )


def _look_at_database(url: str) -> "Look":
    from sqlalchemy.exc import SQLAlchemyError

    from bot.channels.checkup import Look, OtherClock
    from bot.ports.stores import StoreDownError
    from bot.storage import troubles

    clock = bootstrap.SystemClock()
    try:
        with closing(bootstrap.open_store(url, make=False)) as store:
            store.backlog(clock.now())
            began = clock.now()
            at = store.server_time()
    except bootstrap.StoreError as error:
        return Look(trouble=str(error))
    except (StoreDownError, SQLAlchemyError) as error:
        return Look(trouble=troubles.sentence(error))
    if at is None:
        return Look()
    middle = began + (clock.now() - began) / 2
    return Look(clock=OtherClock(whose="the database server's", ahead=at - middle))


async def _look_at_account(settings: "Settings") -> "Look":
    from bot.channels.telegram.examination import examine

    return await examine(bootstrap.telegram_account(settings), bootstrap.SystemClock(), settings.webhook_url)


def _look_further(settings: "Settings") -> Iterator["Finding"]:
    from bot.channels import checkup

    if settings.telegram_token is not None:
        yield checkup.founders(len(settings.owners))
    if settings.metrics_port is not None:
        from bot.channels.neighbor import examine_port

        yield examine_port(settings.metrics_port)
