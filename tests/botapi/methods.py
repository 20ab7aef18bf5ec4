"""The methods of the Bot API that send and set things, with the checks that the documentation names."""

import json
import re

from tests.botapi.markup import MarkupError, read_html, units
from tests.botapi.refusals import RefusedError, bad
from tests.botapi.world import File, Sent

LONGEST_TEXT = 4096
LONGEST_DATA = 64
COMMAND = re.compile(r"[a-z0-9_]{1,32}")
SECRET = re.compile(r"[A-Za-z0-9_-]{1,256}")


def get_me(server, params):
    """Say who the bot is."""
    return server.bot


def send_message(server, params):
    """Send a text."""
    chat = reachable(server, params)
    text, entities = _text(params)
    markup = _markup(params.get("reply_markup") or {}, is_private=chat["type"] == "private")
    sent = server.keep(
        Sent(chat=chat["id"], message_id=server.next_message(), text=text, entities=entities, markup=markup)
    )
    message = server.message(chat, sent.message_id, server.bot) | {"text": text}
    message |= {"entities": entities} if entities else {}
    return message | ({"reply_markup": markup} if sent.buttons else {})


def send_document(server, params):
    """Send a file that came with the call."""
    chat = reachable(server, params)
    file = next((value for value in params.values() if isinstance(value, File)), None)
    if file is None:
        raise bad("there is no document in the request")
    sent = server.keep(Sent(chat=chat["id"], message_id=server.next_message(), text="", file=file))
    document = {"file_id": f"file{sent.message_id}", "file_unique_id": f"f{sent.message_id}", "file_name": file.name}
    return server.message(chat, sent.message_id, server.bot) | {"document": document}


def answer_callback_query(server, params):
    """Stop the clock on a pressed button."""
    press = str(params.get("callback_query_id"))
    if press not in server.presses_open:
        raise bad("query is too old and response timeout expired or query ID is invalid")
    server.presses_open.discard(press)
    server.answered.append(press)
    return True


def set_my_commands(server, params):
    """Set the list of commands, for one language or for everybody without a list of their own."""
    commands = params.get("commands") or []
    for command in commands:
        if not COMMAND.fullmatch(command["command"]) or not 1 <= len(command["description"]) <= 256:
            raise bad("BOT_COMMAND_INVALID")
    server.commands[params.get("language_code") or ""] = commands
    return True


def set_webhook(server, params):
    """Have updates sent to an address."""
    secret = params.get("secret_token")
    if secret and not SECRET.fullmatch(secret):
        raise bad("secret token contains unallowed characters")
    server.updates.allow(params.get("allowed_updates"))
    server.updates.use_webhook(params.get("url") or None, secret)
    return True


def delete_webhook(server, params):
    """Have no updates sent any more."""
    server.updates.use_webhook(None, None)
    if params.get("drop_pending_updates"):
        server.updates.waiting.clear()
    return True


def get_webhook_info(server, params):
    """Say where updates are sent."""
    return {
        "url": server.updates.webhook or "",
        "has_custom_certificate": False,
        "pending_update_count": len(server.updates.waiting),
    } | server.webhook_trouble


METHODS = {
    "getme": get_me,
    "sendmessage": send_message,
    "senddocument": send_document,
    "answercallbackquery": answer_callback_query,
    "setmycommands": set_my_commands,
    "setwebhook": set_webhook,
    "deletewebhook": delete_webhook,
    "getwebhookinfo": get_webhook_info,
}


def reachable(server, params):
    """Find the chat that a call is about, or say as Telegram does why it cannot be reached."""
    given = params.get("chat_id")
    if given in (None, ""):
        raise bad("chat_id is empty")
    chat = int(given)
    if chat in server.moved:
        new = server.moved[chat]
        raise RefusedError(400, "Bad Request: group chat was upgraded to a supergroup chat", migrate_to_chat_id=new)
    if chat not in server.chats:
        raise bad("chat not found")
    if chat in server.closed:
        raise RefusedError(403, server.closed[chat])
    return server.chats[chat]


def _text(params):
    text, entities = str(params.get("text") or ""), []
    mode = str(params.get("parse_mode") or "").lower()
    if mode == "html":
        try:
            text, entities = read_html(text)
        except MarkupError as wrong:
            raise bad(f"can't parse entities: {wrong}") from None
    elif mode:
        raise bad("unsupported parse_mode")
    text = text.rstrip()
    if not text.strip():
        raise bad("message text is empty")
    if units(text) > LONGEST_TEXT:
        raise bad("message is too long")
    return text, entities


def _markup(markup, *, is_private):
    for row in markup.get("inline_keyboard", []):
        for button in row:
            _check_button(button)
    for row in markup.get("keyboard", []):
        if not is_private and any(isinstance(button, dict) and button.get("request_location") for button in row):
            raise bad("location can be requested in private chats only")
    return markup


def _check_button(button):
    if not button.get("text"):
        raise bad('can\'t parse inline keyboard button: Field "text" must be of type String')
    if "callback_data" in button:
        if not 1 <= len(button["callback_data"].encode()) <= LONGEST_DATA:
            raise bad("BUTTON_DATA_INVALID")
    elif "url" in button:
        if not re.match(r"(https?|tg)://\S+$", button["url"]):
            raise bad(f"inline keyboard button URL '{button['url']}' is invalid: Wrong HTTP URL")
    else:
        raise bad("can't parse inline keyboard button: Text buttons are unallowed in the inline keyboard")


def decoded(params):
    """Read values that came as text: lists and objects are JSON, the rest stays as it is."""
    return {name: _value(value) for name, value in params.items()}


def _value(value):
    if isinstance(value, str) and value[:1] in ("[", "{"):
        try:
            return json.loads(value)
        except ValueError:
            return value
    return value
