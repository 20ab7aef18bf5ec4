"""Waiting after failures."""

import asyncio

import pytest

from bot.channels.telegram.backoff import Backoff, unless


async def test_waits_double_up_to_the_longest_and_begin_anew_after_success():
    backoff, stop = Backoff(first=0.001, longest=0.004), asyncio.Event()

    waits = [await backoff.wait(stop) for _ in range(4)]
    backoff.reset()
    waits.append(await backoff.wait(stop))

    for wait, most in zip(waits, (0.001, 0.002, 0.004, 0.004, 0.001), strict=True):
        assert most / 2 <= wait <= most


async def test_a_wait_may_be_told_how_long_and_ends_at_the_stop():
    stop = asyncio.Event()
    waiting = asyncio.create_task(Backoff().wait(stop, at_least=60))
    await asyncio.sleep(0)

    stop.set()

    assert await asyncio.wait_for(waiting, 1) == 60


async def test_work_is_done_or_cancelled_and_its_error_passes():
    stop = asyncio.Event()
    assert await unless(stop, asyncio.sleep(0, "done")) == "done"

    async def _fails():
        raise OSError("no")

    with pytest.raises(OSError, match="no"):
        await unless(stop, _fails())

    stop.set()
    assert await unless(stop, asyncio.sleep(60, "late")) is None
