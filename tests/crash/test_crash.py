"""Killed at any instant and started again, the program has lost nothing and has done nothing twice."""

import pytest

from tests.crash.harness import POLLING, WEBHOOK, Harness, Plan

SHORT = 3
LONG = 200
SEED = 11


@pytest.fixture(params=["sqlite", "postgresql"])
def database(request, tmp_path):
    if request.param == "postgresql":
        return request.getfixturevalue("postgres")
    return f"sqlite:///{tmp_path / 'ovipost.db'}"


async def run(tmp_path, **plan):
    return await Harness(Plan(**plan), tmp_path).run()


def assert_well(summary):
    assert summary.verdict.is_well, "\n".join(summary.lines())
    assert summary.verdict.messages > summary.plan.rounds
    assert len(summary.ledger.kills) >= summary.plan.rounds


@pytest.mark.database
@pytest.mark.parametrize("way", [POLLING, WEBHOOK])
async def test_a_process_that_is_killed_loses_and_doubles_nothing(tmp_path, database, way):
    assert_well(await run(tmp_path, database=database, way=way, rounds=SHORT, seed=SEED))


@pytest.mark.soak
@pytest.mark.database
@pytest.mark.parametrize("way", [POLLING, WEBHOOK])
async def test_two_hundred_kills_lose_and_double_nothing(tmp_path, database, way):
    assert_well(await run(tmp_path, database=database, way=way, rounds=LONG, seed=SEED))
