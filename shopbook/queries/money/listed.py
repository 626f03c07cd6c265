"""The list's price for each hurt panel of a job, or why the plan prices it."""

from datetime import date

from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.queries.jobs.catalogue import catalogue_on
from shopbook.queries.jobs.damage import list_damages
from shopbook.queries.jobs.planning import draft_damage
from shopbook.queries.shop.rates import labour_rates_on
from shopbook.trade.catalogue.kinds import Skill
from shopbook.trade.customer_kinds import CustomerKind
from shopbook.trade.planning.list_price import ListAnswer, list_price
from shopbook.trade.planning.shapes import Damage
from shopbook.trade.pricing.lines import hour_of


def list_prices_of(session: Session, job: Job, day: date, *, is_by_hours: bool = False) -> dict[str, ListAnswer]:
    """The list's answer by hurt panel, in the order of the damages, for the payer of the job on a day.

    Damage that was left is passed over. A fixed number of statements.
    """
    catalogue, labour = catalogue_on(session, day), labour_rates_on(session, day)
    by_panel: dict[str, list[Damage]] = {}
    for row in list_damages(session, job.id):
        if row.left_at is None:
            by_panel.setdefault(row.panel, []).append(draft_damage(row))
    door = hour_of(labour, Skill.BODY, CustomerKind.PRIVATE)
    return {
        panel: list_price(
            catalogue, damages, door, payer_kind=job.payer_kind, labour_minor=labour, is_by_hours=is_by_hours
        )
        for panel, damages in by_panel.items()
    }
