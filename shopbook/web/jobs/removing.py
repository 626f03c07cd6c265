"""Removing what an approved plan or a given estimate holds: what changes is said first, then it is asked."""

from collections.abc import Callable
from dataclasses import dataclass

from flask import render_template, request

from shopbook.queries.jobs.jobs import get_job
from shopbook.queries.jobs.plans import list_bare_stages
from shopbook.queries.money.approvals import agreed_quotes, sum_agreed
from shopbook.queries.money.quotes import find_current_quote, sum_of_quote
from shopbook.services.money.quotes import draft_quote
from shopbook.trade.errors import Conflict, RuleBroken
from shopbook.web.parts import Act, Answer, Done, act_by_press, perform, reader
from shopbook.web.parts.rows import Job


@dataclass(frozen=True, slots=True)
class Foreseen:
    """What a removal does: planned man-minutes before and after, the stages that leave, and sums with tax.

    `new_minor` is what a new version of the estimate would come to, None where none can be drafted.
    """

    what: str
    before_minutes: int
    after_minutes: int
    leaving: tuple[str, ...]
    is_approved: bool
    total_minor: int
    new_minor: int | None

    @property
    def shown(self) -> str:
        """The hours in one line, as they come back with the second press."""
        return f"{self.before_minutes}-{self.after_minutes}"


class _OnlyTried(Exception):
    """Ends the transaction without keeping anything."""

    def __init__(self, foreseen: Foreseen) -> None:
        super().__init__()
        self.foreseen = foreseen


def remove_by_press(number: int, doing: Callable[[Act], Done], what: Callable[[Act], str], back: str) -> Answer:
    """The press "Remove": where something is approved or given, tried first, said, and kept by a second press.

    What is tried is the removal itself in a transaction that is given up, so that the page says what will be.
    """
    if not _is_held(get_job(reader(), number)):
        return act_by_press(doing, back)
    try:
        perform(lambda act: _try(act, number, doing, what), request.form.get("act_key", ""))
    except _OnlyTried as tried:
        if request.form.get("sure") == tried.foreseen.shown:
            return act_by_press(doing, back)
        job = get_job(reader(), number)
        return render_template("jobs/remove.html", job=job, found=tried.foreseen, back=back, here=request.path)
    except (RuleBroken, Conflict):
        pass
    # Refused, or pressed a second time: said, or led where the first press led.
    return act_by_press(doing, back)


def _is_held(job: Job) -> bool:
    """Whether its work is approved, or an estimate of it was given."""
    quote = find_current_quote(reader(), job.id)
    return job.agreed_at is not None or (quote is not None and quote.given_at is not None)


def _try(act: Act, number: int, doing: Callable[[Act], Done], what: Callable[[Act], str]) -> Done:
    job = get_job(act.session, number)
    before = {stage.id: (stage.name, stage.planned_minutes) for stage in list_bare_stages(act.session, job.id)}
    said, total = what(act), _total(act, job)
    doing(act)
    # The removal before it is read back.
    act.session.flush()
    after = {stage.id: stage.planned_minutes for stage in list_bare_stages(act.session, job.id)}
    raise _OnlyTried(
        Foreseen(
            what=said,
            before_minutes=sum(minutes for _, minutes in before.values()),
            after_minutes=sum(after.values()),
            leaving=tuple(name for key, (name, _) in before.items() if key not in after),
            is_approved=job.agreed_at is not None,
            total_minor=total,
            new_minor=_new_total(act, job),
        )
    )


def _total(act: Act, job: Job) -> int:
    """With tax: what was approved, else what was given."""
    agreed = agreed_quotes(act.session, job.id)
    if agreed:
        return sum_agreed(agreed).gross_minor
    quote = find_current_quote(act.session, job.id)
    return sum_of_quote(act.session, quote).taken.gross_minor if quote else 0


def _new_total(act: Act, job: Job) -> int | None:
    """With tax: what a new version from the plan would come to, drafted in the transaction that is given up."""
    try:
        return sum_of_quote(act.session, draft_quote(act, job.id)).taken.gross_minor
    except (RuleBroken, Conflict):
        return None
