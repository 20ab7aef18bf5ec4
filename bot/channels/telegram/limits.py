"""How fast messages may leave, over all chats and in one group.

What a person sends is limited elsewhere: this is about Telegram's own bounds.
"""

from collections.abc import Callable, Coroutine
from typing import Any

from telegram.ext import AIORateLimiter

from bot.channels.telegram.request import GroupFullError, Json

GROUP_MESSAGES = (
    20  # a group and minute, https://core.telegram.org/bots/faq#my-bot-is-hitting-limits-how-do-i-avoid-this
)
GROUP_SECONDS = 60
BURST_SECONDS = 0.1  # what may leave at once is what this long allows

Answer = bool | Json | list[Json]


class SendLimiter(AIORateLimiter):
    """The library's limiter, without its bursts, and one that sends a full group away instead of keeping it waiting.

    A sender that waits a minute within a call would hold a message that others take for lost.
    """

    def __init__(self, rate: float) -> None:
        """Bound all messages to `rate` a second; 0 lifts this bound and the one for groups."""
        burst = max(1.0, rate * BURST_SECONDS)
        super().__init__(
            overall_max_rate=burst if rate else 0,
            overall_time_period=burst / rate if rate else 0,
            group_max_rate=GROUP_MESSAGES if rate else 0,
            group_time_period=GROUP_SECONDS if rate else 0,
        )

    async def process_request(
        self,
        callback: Callable[..., Coroutine[Any, Any, Answer]],
        args: Any,  # noqa: ANN401 - the library's own signature
        kwargs: dict[str, Any],
        endpoint: str,
        data: dict[str, Any],
        rate_limit_args: int | None,
    ) -> Answer:
        """Make one call to the Bot API in its turn; raise GroupFullError where the group has had its share."""
        chat = data.get("chat_id")
        if (
            self._group_max_rate
            and isinstance(chat, int)
            and chat < 0
            and not self._get_group_limiter(chat).has_capacity()
        ):
            raise GroupFullError(GROUP_SECONDS / GROUP_MESSAGES)
        return await super().process_request(callback, args, kwargs, endpoint, data, rate_limit_args)
