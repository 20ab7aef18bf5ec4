"""Whether anything was lost, doubled or put out of order: what was sent, what was seen and what is recorded."""

import itertools
from collections import Counter, defaultdict
from dataclasses import dataclass, field

from core.journal.notices import Asked
from tests.crash.ledger import PUSH, REPLY, UNDONE, Mark


@dataclass(kw_only=True)
class Verdict:
    """What does not hold, a sentence each, and the counts."""

    lost: list[str] = field(default_factory=list)
    doubled: list[str] = field(default_factory=list)
    disordered: list[str] = field(default_factory=list)
    faults: list[str] = field(default_factory=list)  # of the processes themselves
    messages: int = 0
    presses: int = 0
    reminders: int = 0
    reminders_lost: int = 0
    overtaken: int = 0  # reminders of a tray that was pulled before they could leave
    repeated: int = 0  # messages of the bot that came once more than they should
    reminders_repeated: int = 0
    most_reminders_repeated_by_a_kill: int = 0
    most_repeated_by_a_kill: int = 0
    kills_that_repeated: int = 0

    @property
    def is_well(self):
        """Whether all was done once, in order."""
        return not (self.lost or self.doubled or self.disordered or self.faults)


def judge(ledger, chats, records):
    """Compare; `records` are those since the setting up, `chats` those of each farm."""
    verdict = Verdict(messages=sum(act.mark.what == REPLY for act in ledger.acts), faults=list(ledger.faults))
    verdict.presses = len(ledger.acts) - verdict.messages
    for chat_list in chats.values():
        _judge_journal(verdict, ledger, records.journals[chat_list[0]], set(chat_list))
    _judge_inbox(verdict, records)
    _judge_outbox(verdict, ledger, chats, records)
    _judge_answers(verdict, ledger, chats, _overtaken(records))
    _judge_repeats(verdict, ledger)
    for chat in (chat for chat_list in chats.values() for chat in chat_list):
        _judge_order_of_answers(verdict, ledger, chat)
    return verdict


def _judge_journal(verdict, ledger, journal, chats):
    acts = [act for act in ledger.acts if act.mark.chat in chats]
    told = [entry for entry in journal if entry.is_told]
    by_message = defaultdict(list)
    for entry in told:
        by_message[entry.message].append(entry)
    for act in acts:
        found = by_message.pop(act.message, [])
        if not found:
            verdict.lost.append(f"{act.mark} is not in the journal")
        elif len(found) > 1:
            verdict.doubled.append(f"{act.mark} is in the journal {len(found)} times")
        elif act.mark.what != UNDONE and str(act.mark.number) not in found[0].text:
            verdict.lost.append(f"{act.mark} is in the journal as {found[0].text}")
    verdict.doubled += [f"nobody sent what {message} recorded" for message in by_message]
    _judge_order_of_events(verdict, acts, told)
    _judge_asked(verdict, acts, journal)


def _judge_order_of_events(verdict, acts, told):
    update = {act.message: act.update for act in acts}
    found = [update[entry.message] for entry in told if entry.message in update]
    if found != sorted(found):
        verdict.disordered.append(f"events of a farm are not in the order sent: {_first_descent(found)}")


def _judge_asked(verdict, acts, journal):
    asked = Counter(entry.asks_for for entry in journal if entry.asks_for)
    for act in acts:
        times = asked[f"B{act.mark.number}"]
        if act.is_tray and times != 1:
            (verdict.doubled if times else verdict.lost).append(f"the tray of {act.mark} was asked for {times} times")


def _judge_inbox(verdict, records):
    if records.waiting:
        verdict.lost.append(f"{records.waiting} messages are still in the inbox")
    if records.failed:
        verdict.lost.append(f"{records.failed} messages were given up")


def _judge_outbox(verdict, ledger, chats, records):
    """Each answer and each reminder stands there once, by its key, and is sent."""
    posts = Counter((post.chat, post.key) for post in records.posts)
    verdict.doubled += [f"{key} is in the outbox {times} times" for (_, key), times in posts.items() if times > 1]
    verdict.lost += [f"{p.key} was not sent" for p in records.posts if not (p.is_sent or p.is_overtaken)]
    for act in ledger.acts:
        if not posts.pop((act.mark.chat, f"reply:telegram:update:{act.update}"), 0):
            verdict.lost.append(f"the answer to {act.mark} is not in the outbox")
    pushes = Counter(chat for chat, key in posts if key.startswith("push:"))
    for chat in (chat for chat_list in chats.values() for chat in chat_list):
        asked = sum(isinstance(entry.body, Asked) for entry in records.journals[chat])
        if pushes[chat] != asked:
            fault = verdict.lost if pushes[chat] < asked else verdict.doubled
            fault.append(f"{pushes[chat]} reminders in the outbox for chat {chat}, {asked} in the journal")
    verdict.doubled += [f"{key} was posted for nothing" for _, key in posts if not key.startswith("push:")]


def _overtaken(records):
    """Give the reminders that were dropped since there was nothing left to remind of."""
    bins = {(chat, entry.number): entry.asks_for for chat, journal in records.journals.items() for entry in journal}
    return {
        Mark(what=PUSH, number=int(bins[post.chat, post.asked].removeprefix("B")), chat=post.chat)
        for post in records.posts if post.is_overtaken and bins[post.chat, post.asked]
    }  # fmt: skip


def _judge_answers(verdict, ledger, chats, overtaken):
    wanted = ledger.pushes(chats)
    pulled = set(ledger.pushes_of_pulled(chats))
    unseen = [mark for mark in wanted if mark not in ledger.seen and mark not in overtaken]
    verdict.reminders, verdict.reminders_lost, verdict.overtaken = len(wanted), len(unseen), len(overtaken)
    verdict.lost += [f"{mark} was never seen" for mark in unseen]
    verdict.lost += [f"{mark} was dropped, and nobody has pulled the tray" for mark in overtaken - pulled]
    verdict.lost += [f"{act.mark} was never answered" for act in ledger.unanswered()]
    known = set(wanted) | {act.mark for act in ledger.acts}
    verdict.doubled += [f"nobody asked for {mark}" for mark in ledger.seen if mark not in known]
    verdict.doubled += [f"nobody asked for {stray!r}" for stray in ledger.strays]


def _judge_repeats(verdict, ledger):
    """A chat may get one message once more for a kill, where the process died before it knew that it was sent."""
    by_kill, reminders_by_kill, by_chat = Counter(), Counter(), Counter()
    for mark, times in ledger.seen.items():
        for earlier, later in itertools.pairwise(times):
            verdict.repeated += 1
            verdict.reminders_repeated += mark.what == PUSH
            kill = next((kill for kill, _ in ledger.kills if earlier <= kill <= later), None)
            if kill is None:
                verdict.doubled.append(f"{mark} came again without a kill")
                continue
            by_kill[kill] += 1
            reminders_by_kill[kill] += mark.what == PUSH
            by_chat[kill, mark.chat] += 1
    verdict.kills_that_repeated = len(by_kill)
    verdict.most_repeated_by_a_kill = max(by_kill.values(), default=0)
    verdict.most_reminders_repeated_by_a_kill = max(reminders_by_kill.values(), default=0)
    verdict.doubled += [
        f"{n} messages came again in chat {chat} for one kill" for (_, chat), n in by_chat.items() if n > 1
    ]


def _judge_order_of_answers(verdict, ledger, chat):
    sent = {act.mark: act.update for act in ledger.acts}
    found = [sent[mark] for mark in ledger.order.get(chat, ()) if mark in sent]
    if found != sorted(found):
        verdict.disordered.append(f"answers of a chat are not in the order sent: {_first_descent(found)}")


def _first_descent(numbers):
    return next((pair for pair in itertools.pairwise(numbers) if pair[0] > pair[1]), None)
