"""The bot's account."""

from bot.channels.telegram.account import TelegramAccount, invite_link


def test_an_invite_link_opens_the_chat_with_its_token():
    assert invite_link("farm_test_bot", "A1-b_2") == "https://t.me/farm_test_bot?start=A1-b_2"


def test_the_token_does_not_show():
    account = TelegramAccount("1:hidden", api="http://127.0.0.1:9/bot", send_rate=30)

    assert "hidden" not in f"{account!r} {account}"


async def test_signing_in_learns_the_bots_name(server, account, running):
    await account.sign_in(running.stop)

    assert account.username == "farm_test_bot"


async def test_commands_that_telegram_refuses_do_not_keep_the_bot_out(server, account, running, caplog):
    await account.sign_in(running.stop, {"en": [("Due!", "What is due")]})

    assert server.commands == {}
    assert "refuses the list of commands" in caplog.text
