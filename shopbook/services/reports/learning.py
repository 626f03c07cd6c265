"""A standard is set from the shop's own figures: by a press, from a day, and never by itself."""

from shopbook.queries.reports.learning import taught_by_code
from shopbook.queries.shop.rates import catalogue_on
from shopbook.services.act import Act
from shopbook.services.shop.rates import set_standard
from shopbook.trade.catalogue.entries import OWN_SOURCE, EntryKind
from shopbook.trade.catalogue.reading import entry_body
from shopbook.trade.errors import Conflict, RuleBroken
from shopbook.trade.results.learning import FEWEST, Taught, scaled_stage


def take_taught_standard(act: Act, code: str, permille: int) -> Taught:
    """Make a stage's standard hours from today what touched figures say they are: times `permille`, as it was shown.

    RuleBroken where fewer than five figures speak of it; Conflict where they say something else by now.
    """
    day = act.day
    taught = taught_by_code(act.session, day).get(code)
    if taught is None:
        raise RuleBroken(f"A standard needs at least {FEWEST} finished stages with hours clocked or typed.")
    if taught.permille != permille:
        raise Conflict("More hours were clocked meanwhile, so the figure changed. Check it again.")
    whole = entry_body(scaled_stage(catalogue_on(act.session, day).stages[code], permille))
    source = f"{OWN_SOURCE}, from {taught.cases} figures clocked or typed"
    set_standard(act, EntryKind.STAGE, code, whole | {"sure": 100, "source": source}, day)
    return taught
