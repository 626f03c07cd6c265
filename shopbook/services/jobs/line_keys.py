"""The keys of a job's priced lines: drawn from its own counter, never used again."""

from shopbook.models.jobs import Job


def draw_keys(job: Job, count: int = 1) -> int:
    """The first of `count` keys that follow one another; the job must be held by the act that writes the lines."""
    first = job.last_line_key + 1
    job.last_line_key += count
    return first
