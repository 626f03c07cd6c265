"""Pages of the diary: the week, the days of a job, time off; and its section on the page of a job."""

from shopbook.web.diary import absences, days, later, move, when
from shopbook.web.diary.routes import blueprint

__all__ = ["absences", "blueprint", "days", "later", "move", "when"]
