"""The three rows of First in words: the job, why it comes first, and what its press sets."""

from dataclasses import dataclass
from datetime import date

from shopbook.queries.reports.first import LACKS, FirstRow
from shopbook.trade.first import Reason
from shopbook.trade.measures.half_days import half_day_words
from shopbook.web.parts.frame import country, money, promise_text
from shopbook.web.parts.kept_day import called_name, kept_day
from shopbook.web.parts.near import near_words
from shopbook.web.parts.rows import Job


@dataclass(frozen=True, slots=True)
class FirstWords:
    """One row: title, a red remark and words beside it; `set_words` is the press that sets the day on which the car
    can be ready, with the `fields` it sends."""

    row: FirstRow
    title: str
    late: str
    words: str
    set_words: str = ""
    fields: dict[str, str] | None = None


def first_words(row: FirstRow, today: date) -> FirstWords:
    """What a row says, by its reason."""
    return _OF[row.reason](row, today)


def _named(job: Job) -> str:
    called = called_name(job)
    return f"{job.number} {called}" if called else str(job.number)


def _of_promise(row: FirstRow, today: date) -> FirstWords:
    job, late, form = row.job, row.late, country().date_form
    title = f"{_named(job)}, promised {promise_text(job)}"
    if late is None:
        return FirstWords(row, title, "late", "no day can be said yet")
    kept = kept_day(job, late, today)
    said, why = late.tag_words(today, form), late.why.partition("; ")[0]
    return FirstWords(row, title, said, why, kept.words, kept.fields)


def _of_pickup(row: FirstRow, today: date) -> FirstWords:
    when = half_day_words(row.job.promise_on or today, row.job.promise_half, today, country().date_form)
    due = f"{money(row.due_now_minor)} due" if row.due_now_minor else ""
    return FirstWords(
        row,
        f"{_named(row.job)}, pickup {when}",
        "",
        " · ".join(each for each in (LACKS.get(row.next.act, "") if row.next else "", due) if each),
    )


def _of_stopped(row: FirstRow, today: date) -> FirstWords:
    waits = row.stopped
    due = waits.due_on if waits else None
    late = f"due {near_words(due, today)}" if due and due < today else ""
    words = f"waits for {waits.name if waits else ''}" + (f", due {near_words(due, today)}" if due and not late else "")
    return FirstWords(row, f"{_named(row.job)}, stopped", late, words)


def _of_money(row: FirstRow, today: date) -> FirstWords:
    days = (today - row.debt.due_on).days if row.debt else 0
    late = f"{days} day{'s' if days != 1 else ''} late"
    payer = row.debt.payer if row.debt else ""
    return FirstWords(row, f"{_named(row.job)}, {money(row.overdue_minor)} overdue", late, payer)


_OF = {
    Reason.BROKEN: _of_promise,
    Reason.UNMET: _of_promise,
    Reason.PICKUP: _of_pickup,
    Reason.STOPPED: _of_stopped,
    Reason.MONEY: _of_money,
}
