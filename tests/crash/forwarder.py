"""What stands before the webhooks of several processes: calls go to them in turn, past those that are down."""

import aiohttp
from aiohttp import web

PATH = "/telegram"
PASSED_ON = ("Content-Type", "X-Telegram-Bot-Api-Secret-Token")


class Forwarder:
    """A reverse proxy of a few lines."""

    def __init__(self, ports):
        self._ports = list(ports)
        self._runner = None
        self._session = None
        self.url = None

    async def __aenter__(self):
        self._session = aiohttp.ClientSession()
        app = web.Application()
        app.router.add_post(PATH, self._called)
        self._runner = web.AppRunner(app, access_log=None, shutdown_timeout=0.01)
        await self._runner.setup()
        await web.TCPSite(self._runner, "127.0.0.1", 0).start()
        self.url = f"http://127.0.0.1:{self._runner.addresses[0][1]}{PATH}"
        return self

    async def __aexit__(self, *_):
        await self._runner.cleanup()
        await self._session.close()

    async def _called(self, request):
        body = await request.read()
        headers = {name: request.headers[name] for name in PASSED_ON if name in request.headers}
        for port in list(self._ports):
            self._ports.append(self._ports.pop(0))
            try:
                async with self._session.post(f"http://127.0.0.1:{port}{PATH}", data=body, headers=headers) as answer:
                    return web.Response(
                        status=answer.status, body=await answer.read(), content_type=answer.content_type
                    )
            except aiohttp.ClientError:  # it is down, or was killed at this: as with any proxy, the next one is asked
                continue
        return web.Response(status=502)
