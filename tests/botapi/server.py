"""A Bot API server on loopback, for tests: one bot, the people around it, and what can go wrong.

    async with BotApiServer() as server:
        noor = server.person("Noor")
        server.says(noor, "tub 3 watered")
        ...                                  # a bot that knows server.api and server.token
        await server.until(lambda: server.sent(noor))

It behaves as https://core.telegram.org/bots/api documents it, as far as it goes; it knows nothing of the program
that it tests.
"""

import asyncio
import contextlib
import itertools
import time
from collections import defaultdict, deque
from email.utils import formatdate

from aiohttp import web

from tests.botapi.faults import Drop, Garbage, HalfAnswer, Refuse, Wait
from tests.botapi.methods import METHODS, decoded
from tests.botapi.queue import UpdateQueue
from tests.botapi.refusals import RefusedError
from tests.botapi.world import Call, File, Group, Person, Sent

TOKEN = "4200000001:AAtest_token-of-no-bot-0123456789abcd"  # noqa: S105 - of no bot
BLOCKED = "Forbidden: bot was blocked by the user"
KICKED = "Forbidden: bot was kicked from the supergroup chat"
LOOK_AGAIN = 0.05  # seconds


class BotApiServer:
    """One bot's end of Telegram."""

    def __init__(
        self,
        *,
        token=TOKEN,
        username="farm_test_bot",
        port=0,
        first_update=1000,
        calls_kept=None,
        now=time.time,  # noqa: TID251 - the server's own clock
    ):
        """Make the bot; `now` gives the seconds since 1970 that messages are dated with."""
        self.token = token
        self.port = port
        self.bot = {"id": int(token.partition(":")[0]), "is_bot": True, "first_name": "Farm", "username": username}
        self._now = now
        self._changes = asyncio.Event()  # anything happened
        self.chats = {}  # by number, as the Bot API writes them
        self.closed = {}  # chats that the bot cannot write to, and why
        self.moved = {}  # groups that became supergroups
        self.updates = UpdateQueue(first_update, self._done, self._changes.set)
        self.calls = deque(maxlen=calls_kept)
        self.commands = {}  # by language; "" for all others
        self.webhook_trouble = {}  # what getWebhookInfo tells of the last call that failed
        self.presses_open = set()
        self.answered = []
        self.on_sent = None  # is called with each Sent
        self._sent = defaultdict(list)
        self._faults = defaultdict(list)
        self._message_ids = itertools.count(1)
        self._person_ids = itertools.count(7001)
        self._runner = None

    # -- running

    async def __aenter__(self):
        app = web.Application(client_max_size=64 * 1024 * 1024)
        app.router.add_route("*", "/bot{token}/{method}", self._called)
        self._runner = web.AppRunner(app, access_log=None, shutdown_timeout=0.01)
        await self._runner.setup()
        site = web.TCPSite(self._runner, "127.0.0.1", self.port)
        await site.start()
        self.port = self._runner.addresses[0][1]
        return self

    async def __aexit__(self, *_):
        await self.updates.close()
        await self._runner.cleanup()

    @property
    def api(self):
        """Give the address up to the token."""
        return f"http://127.0.0.1:{self.port}/bot"

    # -- what people do

    def person(self, name, *, username=None, language="en"):
        """Make somebody who has begun a chat with the bot."""
        person = Person(id=next(self._person_ids), name=name, username=username, language=language)
        self.chats[person.id] = person.chat
        return person

    def group(self, title, *, kind="supergroup"):
        """Make a group that the bot is in."""
        group = Group(id=-1000000000000 - next(self._person_ids), title=title, kind=kind)
        self.chats[group.id] = group.chat
        return group

    def says(self, who, text, *, to=None, reply_to=None):
        """Have somebody write a text, to a group if one is given; give the message."""
        return self.posts(who, to=to, reply_to=reply_to, text=text)

    def shares_location(self, who, latitude, longitude, *, to=None):
        """Have somebody share a place."""
        return self.posts(who, to=to, location={"latitude": latitude, "longitude": longitude})

    def posts(self, who, *, to=None, reply_to=None, **content):
        """Have somebody send a message of any content, in the fields of the Bot API."""
        message = self.message((to or who).chat, self.next_message(), who.user) | content
        if isinstance(reply_to, Sent):
            reply_to = self.message(self.chats[reply_to.chat], reply_to.message_id, self.bot) | {"text": reply_to.text}
        if reply_to is not None:
            message["reply_to_message"] = reply_to
        self.update(message=message)
        return message

    def edits(self, message, text):
        """Have a message's writer change it; give the changed message."""
        edited = message | {"text": text, "edit_date": int(self._now())}
        self.update(edited_message=edited)
        return edited

    def presses(self, who, sent, label):
        """Have somebody press a button under a message of the bot; give the id of the press."""
        press = str(int(self._now()) * 1_000_000 + self.next_message())
        self.presses_open.add(press)
        chat = self.chats[sent.chat]
        message = self.message(chat, sent.message_id, self.bot) | {"text": sent.text, "reply_markup": sent.markup}
        query = {"id": press, "from": who.user, "chat_instance": "1", "message": message, "data": sent.data(label)}
        self.update(callback_query=query)
        return press

    def blocks(self, who):
        """Have somebody block the bot, or a group throw it out."""
        self.closed[who.id] = BLOCKED if isinstance(who, Person) else KICKED

    def unblocks(self, who):
        """Have somebody let the bot in again."""
        self.closed.pop(who.id, None)

    def deletes(self, who):
        """Have a chat be no more."""
        self.chats.pop(who.id)

    def upgrades(self, group):
        """Turn a group into a supergroup; give the new one."""
        new = self.group(group.title)
        self.moved[group.id] = new.id
        return new

    def update(self, *, update_id=None, **content):
        """Queue an update of any kind, in the fields of the Bot API."""
        self.updates.add(content, update_id)

    # -- what the bot did

    def sent(self, to=None):
        """Give what the bot sent to a person or group, or to all."""
        if to is None:
            return [sent for chat in self._sent.values() for sent in chat]
        return list(self._sent[to.id])

    def calls_of(self, method):
        """Give the calls of a method."""
        return [call for call in self.calls if call.method == method]

    async def until(self, holds, *, within=5.0):
        """Wait until a condition holds; give what it gave. It is looked at after each call, and now and then."""
        async with asyncio.timeout(within):
            while not (found := holds()):
                self._changes.clear()
                with contextlib.suppress(TimeoutError):
                    await asyncio.wait_for(self._changes.wait(), LOOK_AGAIN)
        return found

    # -- what goes wrong

    def faults(self, method, *faults, times=1):
        """Lay faults before the next calls of a method, one a call, all of them `times` over."""
        self._faults[method.lower()] += list(faults) * times

    def heals(self):
        """Take all faults away that are still to come."""
        self._faults.clear()

    # -- for the methods

    def next_message(self):
        """Give a number for a message."""
        return next(self._message_ids)

    def message(self, chat, number, user):
        """Write the head of a message."""
        return {"message_id": number, "date": int(self._now()), "chat": chat, "from": user}

    def keep(self, sent):
        """Keep a message of the bot."""
        self._sent[sent.chat].append(sent)
        if self.on_sent is not None:
            self.on_sent(sent)
        return sent

    # -- HTTP

    async def _called(self, request):
        method = request.match_info["method"].lower()
        try:
            params = decoded(dict(request.query) | await _body(request))
        except ConnectionError:  # the bot was killed in the middle of a call
            return web.Response(status=400)
        if request.match_info["token"] != self.token:
            return _error(401, "Unauthorized")
        self.calls.append(Call(method=method, params=params, at=asyncio.get_running_loop().time()))
        fault = self._faults[method].pop(0) if self._faults.get(method) else None
        try:
            return await self._with_fault(fault, request, method, params)
        finally:
            self._changes.set()

    async def _with_fault(self, fault, request, method, params):
        match fault:
            case None:
                return await self._done(method, params)
            case Wait():
                await asyncio.sleep(fault.seconds)
                return await self._done(method, params)
            case Refuse():
                given = {"retry_after": fault.retry_after, "migrate_to_chat_id": fault.migrate_to}
                known = {name: value for name, value in given.items() if value is not None}
                return _error(fault.code, fault.description, **known)
            case Garbage():
                return web.Response(status=fault.code, text=fault.body, content_type="text/html")
            case Drop():
                if fault.is_done:
                    await self._done(method, params)
                request.transport.abort()
                return web.Response()
            case HalfAnswer():
                return await _half(request, await self._done(method, params))

    async def _done(self, method, params):
        try:
            if method == "getupdates":
                result = await self.updates.poll(params)
            elif method in METHODS:
                result = METHODS[method](self, params)
            else:
                return _error(404, "Not Found")
        except RefusedError as refused:
            return _error(refused.code, refused.description, **refused.parameters)
        dated = {"Date": formatdate(self._now(), usegmt=True)}
        return web.json_response({"ok": True, "result": result}, headers=dated)


async def _body(request):
    if request.content_type == "application/json":
        return dict(await request.json())
    if not request.can_read_body:
        return {}
    given = dict(await request.post())
    for name, value in given.items():
        if isinstance(value, web.FileField):
            given[name] = File(name=value.filename, content=value.file.read())
    return given


def _error(code, description, **parameters):
    body = {"ok": False, "error_code": code, "description": description}
    return web.json_response(body | ({"parameters": parameters} if parameters else {}), status=code)


async def _half(request, whole):
    answer = web.StreamResponse(headers={"Content-Type": "application/json", "Content-Length": str(len(whole.body))})
    await answer.prepare(request)
    await answer.write(whole.body[: len(whole.body) // 2])
    request.transport.close()
    return answer
