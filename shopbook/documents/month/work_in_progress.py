"""Work in progress in words: how it came to what it is on the last day, which cars it is, and what they are billed."""

from shopbook.documents.month.section import Section, SectionRow
from shopbook.documents.month.wording import MonthWording, counted
from shopbook.trade.results.work_in_progress import WorkInProgress


def sections(work: WorkInProgress, wording: MonthWording) -> tuple[Section, Section, Section]:
    """From the first day to the last; the cars of the last day by what became of them; and each job's way."""
    return _movement(work, wording), _on_the_last_day(work, wording), _by_job(work, wording)


def _movement(work: WorkInProgress, wording: MonthWording) -> Section:
    money, opened = wording.money, counted(len(work.opened_with), "car")
    changed = SectionRow("changed", "Changed since it was closed", (money(work.changed_minor),))
    rows = [
        SectionRow("opening", f"{wording.first}, {opened}", (money(work.opening_minor),)),
        *([changed] if work.changed_minor else []),
        SectionRow("added", f"Added in {wording.month}", (money(work.added_minor),)),
        SectionRow("invoiced", "Invoiced", (wording.less(work.invoiced_minor),)),
        *_cancelled(work, wording),
    ]
    carried = counted(len(work.in_work) + len(work.finished), "car")
    total = SectionRow("closing", f"{wording.last}, {carried}", (money(work.closing_minor),))
    return Section("work", "Work in progress, at cost", tuple(rows), total)


def _cancelled(work: WorkInProgress, wording: MonthWording) -> list[SectionRow]:
    if not work.cancelled:
        return []
    label = wording.say(f"{{Cancelled}}, {counted(len(work.cancelled), 'job')}")
    return [SectionRow("cancelled", label, (wording.less(work.cancelled_minor),))]


def _on_the_last_day(work: WorkInProgress, wording: MonthWording) -> Section:
    in_work, finished = work.in_work, work.finished
    rows = [
        SectionRow("in_work", f"In work, {counted(len(in_work), 'car')}", (wording.money(work.closing_of(in_work)),)),
        SectionRow(
            "finished",
            f"Finished, not invoiced: {counted(len(finished), 'car')}",
            (wording.money(work.closing_of(finished)),),
        ),
    ]
    if finished:
        jobs = " · ".join(f"{number}: {_to_bill(work.to_bill.get(number, 0), wording)}" for number in finished)
        total = wording.money(sum(work.to_bill.values()))
        rows.append(SectionRow("to_bill", "To be billed, before tax", (total,), jobs))
    return Section("work_state", f"Cars not invoiced on {wording.last}", tuple(rows))


def _to_bill(minor: int, wording: MonthWording) -> str:
    return wording.money(minor) if minor else "nothing approved yet"


def _by_job(work: WorkInProgress, wording: MonthWording) -> Section:
    rows = []
    for number, job in work.jobs.items():
        out = job.invoiced.total_minor + job.cancelled.total_minor
        figures = (job.opening_minor + job.changed_minor, job.added.total_minor, -out, job.closing_minor)
        if any(figures):
            below = "finished, not invoiced" if job.is_finished else ""
            rows.append(SectionRow(f"job_{number}", number, tuple(map(wording.money, figures)), below))
    opening, out = work.opening_minor + work.changed_minor, work.invoiced_minor + work.cancelled_minor
    sums = (opening, work.added_minor, -out, work.closing_minor)
    total = SectionRow("total", "Total", tuple(map(wording.money, sums)))
    heads = ("Job", "Before", "Added", "Out", "Carried over")
    return Section("work_jobs", "Work in progress, job by job", tuple(rows), total, heads)
