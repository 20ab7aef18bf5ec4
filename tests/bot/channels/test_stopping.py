"""A program that is told to stop ends soon, whatever it is at."""

import asyncio
import signal
import sys
import textwrap

import pytest

HEAD = """
import asyncio, sys, time
from bot import logs
from bot.channels.stopping import StopSignals

logs.start("INFO")
signals = StopSignals(end_within=0.5)
signals.listen()

def say(word):
    print(word, flush=True)
"""


async def ended(body, number=signal.SIGTERM):
    """Run a program up to its first word, tell it to stop; give how it ended and what else it said."""
    program = await asyncio.create_subprocess_exec(
        sys.executable,
        "-c",
        HEAD + textwrap.dedent(body),
        stdout=asyncio.subprocess.PIPE,
        stderr=asyncio.subprocess.PIPE,
    )
    try:
        assert await program.stdout.readline() == b"ready\n"
        program.send_signal(number)
        async with asyncio.timeout(5):
            said, logged = await program.communicate()
    finally:
        if program.returncode is None:
            program.kill()
            await program.wait()
    return program.returncode, said.decode(), logged.decode()


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT])
async def test_what_runs_is_told_and_may_end_by_itself(number):
    body = """
    async def run(stop):
        say("ready")
        await stop.wait()
        say("ended")

    asyncio.run(signals.run(run))
    """

    assert await ended(body, number) == (0, "ended\n", "")


@pytest.mark.parametrize(
    "hanging",
    ["await asyncio.sleep(60)", "time.sleep(60)", "await asyncio.to_thread(time.sleep, 60)", "while True: pass"],
)
async def test_what_does_not_end_by_itself_is_cut_short(hanging):
    body = f"""
    async def run(stop):
        say("ready")
        {hanging}

    asyncio.run(signals.run(run))
    """

    code, _, logged = await ended(body)

    assert code == 0
    assert "the end took too long and is cut short" in logged


async def test_a_thread_that_is_left_over_holds_nothing_up():
    body = """
    async def run(stop):
        asyncio.get_running_loop().run_in_executor(None, time.sleep, 60)
        say("ready")
        await stop.wait()

    asyncio.run(signals.run(run))
    """

    assert (await ended(body))[0] == 0


async def test_before_all_parts_are_at_work_it_ends_at_once():
    assert await ended('say("ready")\ntime.sleep(60)') == (0, "", "")


async def test_what_ended_after_a_signal_leaves_without_tidying_up():
    body = """
    import atexit

    async def run(stop):
        say("ready")
        await stop.wait()

    atexit.register(time.sleep, 60)
    asyncio.run(signals.run(run))
    signals.leave()
    """

    assert await ended(body) == (0, "", "")


async def test_what_ended_by_itself_goes_on():
    body = """
    async def run(stop):
        pass

    asyncio.run(signals.run(run))
    signals.leave()
    say("ready")
    time.sleep(60)
    """

    assert await ended(body) == (0, "", "")
