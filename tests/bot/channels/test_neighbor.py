"""What the doctor sees of a program that is already at work."""

import asyncio

import pytest
from aiohttp import web

from bot.channels.neighbor import examine_port


@pytest.fixture
async def answering(unused_tcp_port):
    """Let something answer on a port; give the port."""
    runners = []

    async def answer(text):
        async def handle(_):
            return web.Response(text=text)

        app = web.Application()
        app.router.add_get("/{path:.*}", handle)
        runners.append(web.AppRunner(app))
        await runners[-1].setup()
        await web.TCPSite(runners[-1], "127.0.0.1", unused_tcp_port).start()
        return unused_tcp_port

    yield answer
    for runner in runners:
        await runner.cleanup()


def test_a_free_port_is_well(unused_tcp_port):
    found = examine_port(unused_tcp_port)

    assert found.is_well
    assert found.text == f"health and metrics on port {unused_tcp_port}: `ovipost serve` will answer there"


async def test_a_bot_that_is_well_is_well(answering):
    port = await answering('{"status":"ok","inbox":0}')

    found = await asyncio.to_thread(examine_port, port)

    assert found.is_well
    assert found.text.endswith(": `ovipost serve` answers there")


async def test_what_ails_a_bot_is_told(answering):
    port = await answering('{"status":"look","reasons":["the database does not answer"]}')

    found = await asyncio.to_thread(examine_port, port)

    assert not found.is_well
    assert found.text.endswith("`ovipost serve` answers there: the database does not answer.")


@pytest.mark.parametrize("text", ["hello", "{}", '{"status":"up"}', "[]"])
async def test_another_program_is_told(answering, text):
    port = await answering(text)

    found = await asyncio.to_thread(examine_port, port)

    assert not found.is_well
    assert found.text.endswith("(address already in use); set OVIPOST_METRICS_PORT to a port that is free.")
