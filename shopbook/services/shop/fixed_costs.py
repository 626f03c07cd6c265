"""Fixed costs are added, changed from a day, ended, removed and restored."""

from datetime import date, timedelta

from shopbook.models.shop import DatedCost
from shopbook.queries.shop.house_costs import get_fixed_cost
from shopbook.services.act import Act
from shopbook.services.postings import is_changed, refuse_closed, write_log
from shopbook.trade.errors import Conflict, RuleBroken
from shopbook.trade.results.fixed_costs import Per

_DAY = timedelta(days=1)
REMOVED = "This fixed cost was removed meanwhile. Restore it first."


def add_fixed_cost(
    act: Act, *, name: str, amount_minor: int, per: str, from_on: date, until_on: date | None = None
) -> DatedCost:
    """One more fixed cost from a day, until another (included) where that is known.

    RuleBroken without a name, for an amount of nothing, a last day before the first, or a day in a closed month.
    """
    _check_days(act, from_on, until_on)
    row = DatedCost(
        name=_name(name), amount_minor=_amount(amount_minor), per=_per(per), from_on=from_on, until_on=until_on
    )
    act.session.add(row)
    act.session.flush()
    _log(act, "add_fixed_cost", row, f"Added, from {from_on.isoformat()}")
    return row


def change_fixed_cost(
    act: Act, cost_id: int, *, name: str, amount_minor: int, per: str, from_on: date, until_on: date | None = None
) -> DatedCost:
    """Let a fixed cost be another from a day: what was paid before stays as it was.

    Rent of 3,000.00 from January 1 that is 3,200.00 from December 1: the first ends on November 30 and a second begins.
    A day up to the one it began on corrects it in place. RuleBroken as when it is added, Conflict once it was removed.
    """
    row = _standing(act, cost_id)
    _check_days(act, from_on, until_on)
    if from_on > row.from_on:
        row.until_on = min(row.until_on or from_on, from_on - _DAY)
        return add_fixed_cost(act, name=name, amount_minor=amount_minor, per=per, from_on=from_on, until_on=until_on)
    refuse_closed(act.session, row.from_on, field="from_on")
    row.name, row.amount_minor, row.per = _name(name), _amount(amount_minor), _per(per)
    row.from_on, row.until_on = from_on, until_on
    if is_changed(act, row):
        _log(act, "change_fixed_cost", row, f"Changed, from {from_on.isoformat()}")
    return row


def end_fixed_cost(act: Act, cost_id: int, until_on: date | None) -> DatedCost:
    """It applies up to a day, included; with None it goes on. RuleBroken for a day before it began."""
    row = _standing(act, cost_id)
    if until_on is not None and until_on < row.from_on:
        raise RuleBroken("Enter a last day on or after the first. To undo a mistake, remove it.", "until_on")
    ends = [day for day in (until_on, row.until_on) if day is not None]
    if ends:
        refuse_closed(act.session, min(ends) + _DAY, field="until_on")
    row.until_on = until_on
    _log(act, "end_fixed_cost", row, f"Ended {until_on.isoformat()}" if until_on else "Goes on")
    return row


def strike_fixed_cost(act: Act, cost_id: int) -> DatedCost:
    """It was a mistake and counts in no month. RuleBroken once a closed month counted it: it is ended instead."""
    row = _standing(act, cost_id)
    _refuse_counted(act, row)
    row.struck_at = act.moment
    _log(act, "strike_fixed_cost", row, "Removed")
    return row


def restore_fixed_cost(act: Act, cost_id: int) -> DatedCost:
    """What was removed counts again. RuleBroken where a month that was closed meanwhile would change."""
    row = get_fixed_cost(act.session, cost_id)
    if row.struck_at is None:
        raise Conflict("This fixed cost is there already.")
    _refuse_counted(act, row)
    row.struck_at = None
    _log(act, "restore_fixed_cost", row, "Restored")
    return row


def _standing(act: Act, cost_id: int) -> DatedCost:
    row = get_fixed_cost(act.session, cost_id)
    if row.struck_at is not None:
        raise Conflict(REMOVED)
    return row


def _refuse_counted(act: Act, row: DatedCost) -> None:
    """The month in which it began must be open: a closed one keeps what it counted."""
    try:
        refuse_closed(act.session, row.from_on)
    except RuleBroken as broken:
        raise RuleBroken(f"{row.name} is in a closed month. Enter its last day instead.") from broken


def _check_days(act: Act, from_on: date, until_on: date | None) -> None:
    refuse_closed(act.session, from_on, field="from_on")
    if until_on is not None and until_on < from_on:
        raise RuleBroken("Enter a last day on or after the first, or leave it empty.", "until_on")


def _name(name: str) -> str:
    plain = " ".join(name.split())
    if not plain:
        raise RuleBroken("Enter what it is for, for example Rent.", "name")
    return plain


def _amount(amount_minor: int) -> int:
    if amount_minor <= 0:
        raise RuleBroken("Enter an amount above zero, for example 120 or 120.50.", "amount_minor")
    return amount_minor


def _per(per: str) -> Per:
    if per not in set(Per):
        raise RuleBroken("Choose how often it is paid.", "per")
    return Per(per)


def _log(act: Act, deed: str, row: DatedCost, verb: str) -> None:
    write_log(act, deed, "fixed_cost", row.id, f"{verb}: fixed cost {row.name}")
