"""The floor at a moment: its running clocks and its waits, read once and handed down."""

from dataclasses import dataclass
from datetime import datetime

from shopbook.models.floor import RunningClock
from shopbook.queries.floor.clocks import list_running, overdue_among
from shopbook.queries.floor.windows import FloorWaits, RunningWait, read_waits
from shopbook.queries.shop.shop_on import ShopOn


@dataclass(frozen=True, slots=True)
class FloorNow:
    """What runs on the floor at a moment. The edge reads it once; whatever asks of clocks or waits takes it."""

    shop: ShopOn
    moment: datetime
    clocks: tuple[RunningClock, ...]
    dries: FloorWaits

    @property
    def waits(self) -> list[RunningWait]:
        """Waits that run, or are over while what follows was not begun, the soonest first."""
        return list(self.dries.waits)

    @property
    def running_waits(self) -> list[RunningWait]:
        """Those that are not over."""
        return [wait for wait in self.waits if not wait.is_over(self.moment)]

    @property
    def ended_waits(self) -> list[RunningWait]:
        """Those that are over and that nobody has answered yet, the longest over first."""
        over = [wait for wait in self.waits if wait.is_over(self.moment) and wait.ready_at > wait.since_at]
        return [wait for wait in over if not wait.is_answered]

    def waits_of(self, job_id: int) -> list[RunningWait]:
        """The waits of one job."""
        return [wait for wait in self.waits if wait.job_id == job_id]

    def clocks_on(self, stage_id: int) -> list[RunningClock]:
        """The clocks that stand on a stage."""
        return [clock for clock in self.clocks if stage_id in clock.stage_ids]

    @property
    def is_settled(self) -> bool:
        """Whether no clock runs too long, and no window has passed without its stage."""
        return not overdue_among(self.clocks, self.shop, self.moment) and not self.dries.passed


def floor_now(shop: ShopOn, moment: datetime) -> FloorNow:
    """The floor at a moment of the shop's day; two statements."""
    session = shop.session
    return FloorNow(shop, moment, tuple(list_running(session)), read_waits(session, moment))
