"""Makers of quotes and of yeses to them."""

from datetime import datetime, timedelta
from typing import Any

from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.models.money import Approval, Quote
from shopbook.services.act import Act
from shopbook.services.money.approvals import agree_quote, ask_again
from shopbook.services.money.quote_groups import SaidPrice
from shopbook.services.money.quotes import draft_quote, give_quote, keep_kerb_price
from shopbook.trade.permissions import THE_PROGRAM
from tests.makers.jobs import make_planned_job
from tests.makers.shop import STARTED

GIVEN = STARTED + timedelta(hours=1)


def make_quote(session: Session, job: Job | None = None, *panels: str, at: datetime = GIVEN) -> Quote:
    """A quote from the plan of a job (a new one with dents on two panels, unless given), not given yet."""
    hurt = panels or ("right_quarter", "rear_bumper")
    return draft_quote(Act(session, THE_PROGRAM, at), (job or make_planned_job(session, *hurt)).id)


def make_given_quote(session: Session, job: Job | None = None, *panels: str, at: datetime = GIVEN) -> Quote:
    """The same, given and sent to its customer."""
    quote = make_quote(session, job, *panels, at=at)
    give_quote(Act(session, THE_PROGRAM, at), quote.id, revision=quote.revision)
    return ask_again(Act(session, THE_PROGRAM, at), quote.id, "customer", "sent")


def make_kerb(session: Session, job: Job, **prices: int) -> Quote:
    """A kerb price for each panel named (minor units), said aloud."""
    rows = [SaidPrice(panel, panel.replace("_", " ").capitalize(), "", price) for panel, price in prices.items()]
    return keep_kerb_price(
        Act(session, THE_PROGRAM, GIVEN), job, rows, working_days_tenths=30, has_tax_inside=False, is_said=True
    )


def make_yes(session: Session, quote: Quote, *group_ids: int, at: datetime = GIVEN, **given: Any) -> Approval:
    """The owner's yes in person to these groups, or to all of them."""
    plain: dict[str, Any] = {"party": "customer", "means": "in_person", "said_by": "Ines Okafor"}
    if given.get("means") == "phone":
        plain["number_called"] = "555-0153"
    wanted = group_ids or tuple(group.id for group in quote.groups)
    return agree_quote(Act(session, THE_PROGRAM, at), quote.id, taken_group_ids=wanted, **(plain | given))
