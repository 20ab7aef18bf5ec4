"""A run in a few lines."""

import statistics
from collections import Counter
from dataclasses import dataclass

SHOWN = 20  # sentences


@dataclass(frozen=True, kw_only=True)
class Summary:
    """What came of a run."""

    plan: object
    ledger: object
    verdict: object
    conflicts: int  # polls of living processes that another one ended

    def lines(self):
        """Give the summary, and below it what does not hold."""
        plan, ledger, found = self.plan, self.ledger, self.verdict
        waits = ledger.waits_over_a_kill()
        rows = {
            "set-up": f"{plan.database.partition(':')[0]}, {plan.way}, workers {plan.workers}, seed {plan.seed}",
            "rounds": plan.rounds,
            "kills": len(ledger.kills),
            **{f"  {kind}": count for kind, count in sorted(Counter(kind for _, kind in ledger.kills).items())},
            "messages": found.messages,
            "presses": found.presses,
            "lost": len(found.lost),
            "doubled": len(found.doubled),
            "out of order": len(found.disordered),
            "reminders": found.reminders,
            "reminders lost": found.reminders_lost,
            "reminders overtaken by the work": found.overtaken,
            "repeated sends": f"{found.repeated}, by {found.kills_that_repeated} kills, "
            f"at most {found.most_repeated_by_a_kill} a kill, one a chat",
            "  of these reminders": f"{found.reminders_repeated}, "
            f"at most {found.most_reminders_repeated_by_a_kill} a kill",
            "message to answer over a kill": f"median {statistics.median(waits or [0]):.1f} s, "
            f"longest {max(waits, default=0):.1f} s",
        }  # fmt: skip
        if plan.way == "polling":
            rows["hand-over of polling"] = f"longest {max(ledger.handovers, default=0):.1f} s"
            rows["polls ended by another"] = self.conflicts
        wrong = [f"LOST: {text}" for text in found.lost]
        wrong += [f"DOUBLED: {text}" for text in found.doubled]
        wrong += [f"OUT OF ORDER: {text}" for text in found.disordered]
        wrong += [f"FAULT: {text}" for text in found.faults]
        return [f"{name:<38} {value}" for name, value in rows.items()] + wrong[:SHOWN]
