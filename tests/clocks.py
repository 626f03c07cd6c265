"""The shop's clock in a test's hand."""

from datetime import datetime, timedelta


class Clock:
    """It stands until the test turns it."""

    def __init__(self, moment: datetime) -> None:
        self.moment = moment

    def __call__(self) -> datetime:
        return self.moment

    def on(self, minutes: int) -> None:
        """Turn it on by so many minutes."""
        self.moment += timedelta(minutes=minutes)
