"""What is bought for one job: added, ordered, received, sent back, removed."""

from datetime import date
from typing import Any

from shopbook.models.jobs import Job, JobPart
from shopbook.queries.jobs.jobs import get_job_by_id
from shopbook.queries.jobs.parts import get_part
from shopbook.queries.shop.rates import materials_rates, settings_on
from shopbook.services.act import Act
from shopbook.services.jobs.history import log_job
from shopbook.services.jobs.line_keys import draw_keys
from shopbook.services.postings import is_changed, refuse_closed
from shopbook.trade.car.part_kinds import PartKind, PartSource
from shopbook.trade.errors import RuleBroken
from shopbook.trade.pricing import marked_up
from shopbook.trade.settings import SettingName

_MARKUPS = {
    PartKind.PART: SettingName.PARTS_MARKUP_PERMILLE,
    PartKind.COLOUR: SettingName.PARTS_MARKUP_PERMILLE,
    PartKind.SUBLET: SettingName.SUBLET_MARKUP_PERMILLE,
}


def add_part(
    act: Act,
    job_id: int,
    *,
    name: str,
    kind: str = PartKind.PART,
    cost_minor: int = 0,
    price_minor: int | None = None,
    source: str = "",
    group_key: str = "",
    supplier_id: int | None = None,
    due_on: date | None = None,
) -> JobPart:
    """One thing or service to buy for one car. Without a price it is its cost with the shop's markup of the day, and
    nothing for colour where the payer's materials hold it.

    RuleBroken without a name, for a figure below zero or an unknown kind.
    """
    job = get_job_by_id(act.session, job_id)
    part = JobPart(
        job_id=job.id,
        kind=PartKind(kind),
        name=_name(name),
        source=PartSource(source) if source else "",
        quote_group_key=group_key,
        supplier_id=supplier_id,
        cost_minor=_not_below(cost_minor, "cost_minor"),
        is_touched=price_minor is not None,
        due_on=due_on,
        line_key=draw_keys(job),
    )
    usual = _price(act, part, job.payer_kind) if price_minor is None else price_minor
    part.price_minor = _not_below(usual, "price_minor")
    act.session.add(part)
    act.session.flush()
    _log(act, "add_part", job, part, f"Added {part.name}")
    return part


def change_part(act: Act, part_id: int, **given: Any) -> JobPart:
    """Change name, kind, cost_minor, price_minor, source, quote_group_key, supplier_id or due_on.

    A price that was never typed follows the cost.
    """
    part = get_part(act.session, part_id)
    job = get_job_by_id(act.session, part.job_id)
    if "name" in given:
        given["name"] = _name(given["name"])
    for field in ("cost_minor", "price_minor"):
        if given.get(field) is not None:
            _not_below(given[field], field)
    typed = given.pop("price_minor", None)
    with act.session.no_autoflush:
        for field, value in given.items():
            setattr(part, field, value)
        if typed is not None and typed != part.price_minor:
            part.price_minor, part.is_touched = typed, True
        elif not part.is_touched:
            part.price_minor = _price(act, part, job.payer_kind)
    if not is_changed(act, part):
        return part
    act.session.flush()
    _log(act, "change_part", job, part, f"Changed {part.name}")
    return part


def order_part(act: Act, part_id: int, due_on: date | None = None) -> JobPart:
    """It was ordered, with a due day if the supplier named one."""
    part = get_part(act.session, part_id)
    _refuse_struck(part)
    part.ordered_at, part.due_on = part.ordered_at or act.moment, due_on or part.due_on
    _log(act, "order_part", get_job_by_id(act.session, part.job_id), part, f"Ordered {part.name}")
    return part


def part_came(act: Act, part_id: int, cost_minor: int | None = None) -> JobPart:
    """It arrived; its cost counts from today. RuleBroken when today's month is closed."""
    part = get_part(act.session, part_id)
    _refuse_struck(part)
    day, job = act.day, get_job_by_id(act.session, part.job_id)
    refuse_closed(act.session, day)
    if cost_minor is not None:
        part.cost_minor = _not_below(cost_minor, "cost_minor")
        if not part.is_touched:
            part.price_minor = _price(act, part, job.payer_kind)
    part.came_at, part.came_on, part.sent_back_at = act.moment, day, None
    _log(act, "part_came", job, part, f"Received {part.name}")
    return part


def send_part_back(act: Act, part_id: int) -> JobPart:
    """It goes back to the supplier; a second press saves that the credit came."""
    part = get_part(act.session, part_id)
    if part.came_at is None:
        raise RuleBroken("This part has not arrived yet. Remove it instead.")
    if part.sent_back_at is None:
        part.sent_back_at, words = act.moment, f"Sent back: {part.name}"
    else:
        part.credit_came_at, words = part.credit_came_at or act.moment, f"Received the credit for {part.name}"
    _log(act, "send_part_back", get_job_by_id(act.session, part.job_id), part, words)
    return part


def strike_part(act: Act, part_id: int) -> JobPart:
    """Remove it. RuleBroken once it arrived: then it is sent back."""
    part = get_part(act.session, part_id)
    if part.came_at is not None and part.sent_back_at is None:
        raise RuleBroken("This part has arrived. Send it back, so that its cost is corrected.")
    part.struck_at = part.struck_at or act.moment
    _log(act, "strike_part", get_job_by_id(act.session, part.job_id), part, f"Removed {part.name}")
    return part


def _price(act: Act, part: JobPart, payer_kind: str) -> int:
    kind = PartKind(part.kind)
    if kind not in _MARKUPS:
        return part.cost_minor
    held = settings_on(act.session, act.day)
    if kind is PartKind.COLOUR and materials_rates(held).rule(payer_kind).holds_colour:
        return 0
    return marked_up(part.cost_minor, held[_MARKUPS[kind]])


def _name(name: str) -> str:
    if not name.strip():
        raise RuleBroken("Enter what it is, for example left headlight.", "name")
    return name.strip()[:200]


def _not_below(minor: int, field: str) -> int:
    if minor < 0:
        raise RuleBroken("Enter an amount of zero or more, for example 120 or 120.50.", field)
    return minor


def _refuse_struck(part: JobPart) -> None:
    if part.struck_at is not None:
        raise RuleBroken("This part was removed. Add it again.")


def _log(act: Act, deed: str, job: Job, part: JobPart, words: str) -> None:
    log_job(act, deed, job, words, subject="job_part", subject_id=part.id)
