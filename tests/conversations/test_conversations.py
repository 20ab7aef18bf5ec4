"""Conversations from beginning to end: what a grower texts, what is answered, and each reminder at its minute.

The scripts beside this file say how they are written: see script.py.
"""

import pathlib

import pytest

from bot.storage.sql_store import SqlStore
from core.journal import wants
from core.journal.kinds import Addable, Role, Setting
from tests.conversations import script as scripts
from tests.conversations.stage import GROUP, Stage
from tests.memory import MemoryStore

HERE = pathlib.Path(__file__).parent
SCRIPTS = sorted(HERE.glob("*.txt"))


def test_there_are_conversations():
    assert len(SCRIPTS) >= 8


@pytest.fixture(params=["memory", "sqlite"])
def store(request):
    made = MemoryStore() if request.param == "memory" else SqlStore("sqlite://")
    yield made
    made.close()


@pytest.mark.parametrize("path", SCRIPTS, ids=lambda path: path.stem)
def test_a_conversation_goes_as_it_is_written(path, store, reader):
    script = scripts.read(path.read_text(encoding="utf-8"))
    assert script.steps

    Play(path.name, script, store, reader).run()


class Play:
    """A script on its way through a stage."""

    def __init__(self, name, script, store, reader):
        self.name = name
        self.script = script
        owners = frozenset(f"chat:{who}" for who in script.listed("owners"))
        self.stage = Stage(reader, script.start, store=store, owners=owners)
        self.stage.languages = dict(who.split() for who in script.listed("languages"))
        self.pushed = []  # and not listed yet
        if "farm" in script.heading:
            people = tuple((n, Role(role)) for n, role in (who.split() for who in script.listed("people")))
            self.stage.open_farm(*_things(script), zone=script.heading["zone"], people=people)

    def run(self):
        for step in self.script.steps:
            self.pushed += self.stage.pass_until(step.at)
            match step.act:
                case "push":
                    self._push(step)
                case "daily":
                    self._daily(step)
                case "skip":
                    self.pushed.clear()
                case _:
                    self._nothing_unlisted(step)
                    self._act(step)
        assert not self.pushed, self._where(self.script.steps[-1], f"and then: {self._shown(self.pushed)}")

    def _act(self, step):
        before = self.stage.farm.last_number
        told = self._done(step)
        if step.act == "restart":
            return
        if step.is_silent:
            assert not told, self._where(step, f"an answer: {self._shown(told)}")
        else:
            assert len(told) == 1, self._where(step, f"{len(told)} answers: {self._shown(told)}")
            self._holds(step, told[0])
        if step.records is not None:
            recorded = self.stage.kinds_since(before)
            assert recorded == step.records, self._where(step, f"records {recorded}\n{self._shown(told)}")

    def _done(self, step):
        words, stage = step.words, self.stage
        group = bool(words.get("group"))
        match step.act:
            case "say":
                addressed = not group or bool(words["bot"])
                return stage.says(words["who"], words["text"] or "", group=group, addressed=addressed)
            case "edit":
                return stage.edits(words["who"], words["text"])
            case "press":
                return stage.presses(words["who"], words["label"], group=group, at=words["from"])
            case "share":
                return stage.shares(words["who"], float(words["latitude"]), float(words["longitude"]))
            case "restart":
                stage.restart()
                return []
            case _:
                raise AssertionError(step.act)

    def _push(self, step):
        assert self.pushed, self._where(step, f"no push; the next is due {self.stage.next_due}")
        told = self.pushed.pop(0)
        assert told.at == step.at, self._where(step, f"a push at {self._shown([told])}")
        to = GROUP if step.words["people"] == GROUP else step.words["people"].replace(" ", "")
        assert sorted(told.to) == sorted(to.split(",")), self._where(step, f"to {told.to}")
        self._holds(step, told)

    def _daily(self, step):
        """Each whole day since the last push that was listed has pushes at these times of day and at no other."""
        wanted = {part.strip() for part in step.words["times"].split(",")}
        days = {}
        for told in self.pushed:
            at = told.at.astimezone(self.script.zone)
            days.setdefault(at.date(), set()).add(f"{at:%H:%M}")
        assert days, self._where(step, "no push at all")
        dates = sorted(days)
        for date in dates:
            is_whole = date not in (dates[0], step.at.astimezone(self.script.zone).date())
            times = days[date]
            fits = times == wanted if is_whole else times <= wanted
            assert fits, self._where(step, f"{date}: {sorted(times)}\n{self._shown(self.pushed)}")
        assert (dates[-1] - dates[0]).days == len(dates) - 1, self._where(step, f"days without any: {dates}")
        self.pushed.clear()

    def _nothing_unlisted(self, step):
        assert not self.pushed, self._where(step, f"pushed before: {self._shown(self.pushed)}")

    def _holds(self, step, told):
        shown = self._shown([told])
        for words in step.has:
            assert any(words in line for line in told.lines), self._where(step, f"not said: {words!r}\n{shown}")
        for words in step.has_not:
            assert words not in told.text, self._where(step, f"said: {words!r}\n{shown}")
        for label in step.labels:
            assert label in told.labels, self._where(step, f"no button {label!r}\n{shown}")

    def _where(self, step, what):
        return f"{self.name}, line {step.line}: {what}"

    def _shown(self, told):
        zone = self.script.zone
        heads = [f"{t.at.astimezone(zone):%a %b %d %H:%M} to {', '.join(t.to)}" for t in told]
        buttons = [" ".join(f"[{label}]" for label in t.labels) for t in told]
        return "\n\n".join(f"{head}\n{t.text}\n{row}" for head, t, row in zip(heads, told, buttons, strict=True))


def _things(script):
    yield wants.Set(what=Setting.NAME, to=script.heading["farm"])
    for name in script.listed("bins"):
        yield wants.Add(what=Addable.BIN, name=name)
    for place in script.listed("places"):
        name, _, kind = place.removesuffix(")").partition(" (")
        traits = {"lamp": kind == "lamp", "humidifier": kind == "humidifier"} if kind else {}
        yield wants.Add(what=Addable.PLACE, name=name, **traits)
