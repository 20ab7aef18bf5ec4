"""The bot that the load is measured against: python-telegram-bot as documented, repeating what it is told.

    python bench_echo.py ADDRESS TOKEN one|many

`many` handles updates side by side, which its documentation suggests for load.
"""

import logging
import sys

from telegram import Update
from telegram.ext import Application, ContextTypes, MessageHandler, filters


async def _echo(update: Update, _: ContextTypes.DEFAULT_TYPE) -> None:
    if update.message is not None:
        await update.message.reply_text(update.message.text or "")


def main(address: str, token: str, at_once: str) -> None:
    """Run until killed."""
    logging.basicConfig(level=logging.WARNING)
    application = Application.builder().token(token).base_url(address).concurrent_updates(at_once == "many").build()
    application.add_handler(MessageHandler(filters.TEXT & ~filters.COMMAND, _echo))
    application.run_polling()


if __name__ == "__main__":
    main(*sys.argv[1:4])
