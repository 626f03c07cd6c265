"""The press that sets the day on which a late car can be ready, and opens the text that tells its customer."""

from dataclasses import dataclass
from datetime import date

from shopbook.trade.customer_kinds import CustomerKind
from shopbook.trade.diary.late import LateCar
from shopbook.web.parts.near import near_words
from shopbook.web.parts.rows import Job


@dataclass(frozen=True, slots=True)
class KeptDay:
    """The words of the press ("Set Monday, text Una") and the fields that it sends."""

    words: str
    fields: dict[str, str]


def kept_day(job: Job, late: LateCar, today: date) -> KeptDay:
    """The day that can be kept, by one press."""
    day, half = late.ready
    near, spoken = near_words(day, today), spoken_name(job)
    return KeptDay(
        f"Set {near}, text {spoken}" if spoken else f"Set {near}",
        {"promise_on": day.isoformat(), "promise_half": half, "told": "text"},
    )


def called_name(job: Job) -> str:
    """Whose car it is, by name or number; nothing where nobody is known or the customer was erased."""
    who = job.customer
    return who.called if who and not who.erased_at else ""


def spoken_name(job: Job) -> str:
    """A person's first name, a firm's whole one."""
    called = called_name(job)
    return called.split()[0] if called and job.customer and job.customer.kind == CustomerKind.PRIVATE else called
