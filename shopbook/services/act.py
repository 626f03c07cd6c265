"""The act: what every service is given first, namely the open session, who acts, when, and on which day."""

from dataclasses import dataclass, field
from datetime import date, datetime
from functools import cached_property

from sqlalchemy.orm import Session

from shopbook.queries.shop.days import day_of
from shopbook.trade.permissions import Actor


@dataclass(frozen=True)
class Act:
    """One thing a person does: `session` is a write transaction the edge has begun, `moment` is aware.

    `told` collects what its answer must say beside what was done.
    """

    session: Session
    actor: Actor
    moment: datetime
    told: list[str] = field(default_factory=list, compare=False)

    @cached_property
    def day(self) -> date:
        """The shop's local day of the moment; read when first asked, for not every act needs it."""
        return day_of(self.session, self.moment)
