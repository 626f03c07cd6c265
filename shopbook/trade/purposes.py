"""Why a job or a stage is done: for pay, as goodwill, for the shop itself, or as rework."""

from enum import StrEnum


class JobPurpose(StrEnum):
    """Why the shop does a job."""

    PAID = "paid"
    GOODWILL = "goodwill"
    OWN_CAR = "own_car"
    COMEBACK = "comeback"


JOB_PURPOSE_WORDS: dict[JobPurpose, str] = {
    JobPurpose.PAID: "paid job",
    JobPurpose.GOODWILL: "goodwill",
    JobPurpose.OWN_CAR: "our own car",
    JobPurpose.COMEBACK: "{comeback}",
}


def is_paid_for(purpose: str) -> bool:
    """Whether somebody pays for a job. Our own car, goodwill and a comeback get no estimate, take no deposit and owe
    nothing, except on an invoice that was issued all the same."""
    return purpose == JobPurpose.PAID


class StagePurpose(StrEnum):
    """Why a stage is in a plan. Only plan and extra need approval and can be billed."""

    PLAN = "plan"
    EXTRA = "extra"
    STRIP_AND_LOOK = "strip_and_look"
    REWORK = "rework"
    GOODWILL = "goodwill"
    OWN_CAR = "own_car"


STAGE_PURPOSE_WORDS: dict[StagePurpose, str] = {
    StagePurpose.PLAN: "as planned",
    StagePurpose.EXTRA: "extra work",
    StagePurpose.STRIP_AND_LOOK: "strip and inspect",
    StagePurpose.REWORK: "rework",
    StagePurpose.GOODWILL: "goodwill",
    StagePurpose.OWN_CAR: "our own car",
}


def is_put_right(job_purpose: str, stage_purpose: str = "") -> bool:
    """Whether a cost is rework: every cost of a comeback, on other jobs only that of a rework stage."""
    return job_purpose == JobPurpose.COMEBACK or stage_purpose == StagePurpose.REWORK
