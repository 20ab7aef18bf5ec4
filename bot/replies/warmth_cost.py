"""What the warmth for a batch of eggs costs at one temperature and another, and why one is cheaper.

Not for sales and purchases.
"""

from collections.abc import Iterator

from bot.replies.voice import Voice
from core.rules.heat import HeatChoice
from core.science.heating import BatchCost, Cheaper


def warmth_cost(voice: Voice, choice: HeatChoice) -> str:
    """Compare batches by days and heat, and give the reason."""
    return "\n".join(_lines(voice, choice))


def _lines(voice: Voice, choice: HeatChoice) -> Iterator[str]:
    found = choice.comparison
    room = voice.temp(found.surroundings_c)
    if choice.place is None:
        yield voice.say("heat.head_guess", room=room)
    else:
        yield voice.say("heat.head", room=room, where=voice.at_place(choice.place))
    least = min(batch.kwh for batch in found.batches)
    for batch in found.batches:
        yield _line(voice, batch, least)
    yield voice.say(f"heat.{found.cheaper}", base=voice.temp(found.base_temp_c))
    if found.cheaper is not Cheaper.SAME:
        yield voice.say("heat.money")


def _line(voice: Voice, batch: BatchCost, least: float) -> str:
    more = round(100 * (batch.kwh / least - 1)) if least else 0
    told = {"temp": voice.subject(voice.temp(batch.temp_c)), "n": round(batch.days)}
    return voice.say("heat.least", **told) if more == 0 else voice.say("heat.more", more=str(more), **told)
