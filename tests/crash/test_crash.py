"""Killed at any instant and started again, the program has lost nothing and has done nothing twice."""

import asyncio

import pytest

from tests import postgres
from tests.crash.harness import POLLING, WEBHOOK, Harness, Plan

SHORT = 3  # rounds
LONG = 200
SEED = 11
SQLITE, POSTGRESQL = "sqlite", "postgresql"
SET_UPS = (
    (SQLITE, POLLING, 1),
    (SQLITE, WEBHOOK, 1),
    (POSTGRESQL, POLLING, 1),
    (POSTGRESQL, WEBHOOK, 1),
    (POSTGRESQL, POLLING, 2),
)
MORE = ((POSTGRESQL, POLLING, 3), (POSTGRESQL, WEBHOOK, 3))

pytestmark = pytest.mark.database


def plan(made_in, server, set_up, rounds):
    database, way, workers = set_up
    url = server.new() if database == POSTGRESQL else f"sqlite:///{made_in / 'ovipost.db'}"
    return Plan(database=url, way=way, workers=workers, rounds=rounds, seed=SEED)


def assert_well(summary):
    assert summary.verdict.is_well, "\n".join(summary.lines())
    assert summary.verdict.messages > summary.plan.rounds
    assert len(summary.ledger.kills) >= summary.plan.rounds


@pytest.fixture(scope="module")
def short(tmp_path_factory, postgres_server):
    """Short runs of all set-ups side by side: most of the time they wait for the claims of the dead to run out."""

    async def run_all():
        folders = [tmp_path_factory.mktemp("crash") for _ in SET_UPS]
        plans = [plan(folder, postgres_server, set_up, SHORT) for folder, set_up in zip(folders, SET_UPS, strict=True)]
        runs = [Harness(one, folder).run() for one, folder in zip(plans, folders, strict=True)]
        return await asyncio.gather(*runs, return_exceptions=True)

    return dict(zip(SET_UPS, asyncio.run(run_all()), strict=True))


@pytest.mark.parametrize("set_up", SET_UPS)
def test_what_is_killed_loses_and_doubles_nothing(short, set_up):
    if isinstance(short[set_up], Exception):
        raise short[set_up]
    assert_well(short[set_up])


@pytest.mark.soak
@pytest.mark.parametrize("set_up", SET_UPS + MORE)
def test_two_hundred_kills_lose_and_double_nothing(tmp_path, set_up):
    with postgres.running() as server:
        assert_well(asyncio.run(Harness(plan(tmp_path, server, set_up, LONG), tmp_path).run()))
