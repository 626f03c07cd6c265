"""How long a wrong PIN or password slows the next try: longer each time, never for good."""

from datetime import datetime, timedelta

FREE_TRIES = 3
LONGEST = timedelta(minutes=2)


def wait_before_try(wrong: int, last_at: datetime, now: datetime) -> timedelta:
    """What is left to wait after `wrong` tries in a row, the last at `last_at`; nothing for the first few.

    One second after the third, doubling, at most two minutes: a painter is slowed, never locked out, not even by a
    clock that was put back meanwhile.
    """
    if wrong < FREE_TRIES:
        return timedelta(0)
    pause = min(timedelta(seconds=2 ** min(wrong - FREE_TRIES, 10)), LONGEST)
    return min(pause, max(timedelta(0), last_at + pause - now))
