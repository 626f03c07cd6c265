"""The promises that will not be met, each with its reason, the day that can be kept and its one press."""

from dataclasses import dataclass

from shopbook.queries.diary.board import Board
from shopbook.web.parts.frame import country, promise_text
from shopbook.web.parts.kept_day import KeptDay, called_name, kept_day
from shopbook.web.parts.rows import Job


@dataclass(frozen=True, slots=True)
class LateRow:
    """One car: what it was promised for, what the diary says instead, and why."""

    job: Job
    title: str
    late: str
    why: str
    kept: KeptDay


def late_rows(board: Board) -> list[LateRow]:
    """Every late car, the promise told first on top."""
    return [_row(job, board) for job in board.late_jobs]


def _row(job: Job, board: Board) -> LateRow:
    late = board.late[job.id]
    title = f"{job.number} {called_name(job)}".strip() + f", promised {promise_text(job)}"
    words = late.tag_words(board.today, country().date_form)
    return LateRow(job, title, words, late.why.partition("; ")[0], kept_day(job, late, board.today))
