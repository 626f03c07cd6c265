"""A job from planned to made, for people who may see costs."""

from shopbook.documents.month.section import Section
from shopbook.documents.month.worst import steps_section
from shopbook.queries.money.job_page import JobPage
from shopbook.queries.money.margins import JobEarnings
from shopbook.queries.money.waterfalls import waterfall_of
from shopbook.trade.purposes import is_paid_for


def steps_of(page: JobPage, earned: JobEarnings) -> Section | None:
    """Its steps once it is invoiced; None before, where no hour has a cost, and where its planned work is not known."""
    if not earned.is_labour_known or not is_paid_for(page.job.purpose):
        return None
    found, country = waterfall_of(page.whole, page.accounts, earned.so_far), page.shop.country
    if found is None:
        return None
    return steps_section(found, country.money, lambda minor: country.money(minor, has_symbol=False), country.say)
