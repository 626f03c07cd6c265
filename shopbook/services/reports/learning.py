"""A standard is set from the shop's own figures: by a press, from a day, and never by itself."""

from shopbook.queries.reports.learning import taught_by_code
from shopbook.queries.shop.rates import catalogue_on
from shopbook.services.act import Act
from shopbook.services.shop.rates import set_standard
from shopbook.trade.catalogue.entries import OWN_SOURCE, EntryKind
from shopbook.trade.catalogue.reading import entry_body
from shopbook.trade.errors import Conflict, RuleBroken
from shopbook.trade.measures.amounts import divide_half_away
from shopbook.trade.results.learning import ELSEWHERE, FEWEST, Taught, ThreeFigures, scaled_stage


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


def use_minutes(act: Act, code: str, figures: ThreeFigures, minutes: int) -> None:
    """Make a stage's standard hours from today what somebody typed for the repair that `figures` speak of.

    All minutes of the stage are multiplied alike: 54 typed where 45 are usual is 1.2 times each. What the shop's own
    hours say is taken as such. RuleBroken for a stage whose minutes stand with the panels, or that none are known of.
    """
    if code in ELSEWHERE or not figures.usual:
        raise RuleBroken("The minutes of this stage are set by the panel.", "minutes")
    if figures.yours == minutes:
        take_taught_standard(act, code, figures.permille)
        return
    permille = divide_half_away(minutes * 1000, figures.usual)
    whole = entry_body(scaled_stage(catalogue_on(act.session, act.day).stages[code], permille))
    set_standard(act, EntryKind.STAGE, code, whole | {"sure": 100, "source": OWN_SOURCE}, act.day)
