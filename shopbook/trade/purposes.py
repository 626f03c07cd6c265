"""Why a job is done, and why a stage is: for pay, for goodwill, for the shop itself, or once more."""

from enum import StrEnum


class JobPurpose(StrEnum):
    """Why the shop does a job."""

    PAID = "paid"
    GOODWILL = "goodwill"
    OWN_CAR = "own_car"
    COMEBACK = "comeback"


JOB_PURPOSE_WORDS: dict[JobPurpose, str] = {
    JobPurpose.PAID: "paid for",
    JobPurpose.GOODWILL: "goodwill",
    JobPurpose.OWN_CAR: "our own car",
    JobPurpose.COMEBACK: "comeback",
}


def is_paid_for(purpose: str) -> bool:
    """Whether somebody pays for a job. Our own car, goodwill and a comeback are never quoted, take no deposit and owe
    nothing; only an invoice that stands all the same is owed."""
    return purpose == JobPurpose.PAID


class StagePurpose(StrEnum):
    """Why a stage is in a plan. Only plan and extra want a yes and can be billed."""

    PLAN = "plan"
    EXTRA = "extra"
    STRIP_AND_LOOK = "strip_and_look"
    REWORK = "rework"
    GOODWILL = "goodwill"
    OWN_CAR = "own_car"


STAGE_PURPOSE_WORDS: dict[StagePurpose, str] = {
    StagePurpose.PLAN: "as planned",
    StagePurpose.EXTRA: "extra",
    StagePurpose.STRIP_AND_LOOK: "strip and look",
    StagePurpose.REWORK: "rework",
    StagePurpose.GOODWILL: "goodwill",
    StagePurpose.OWN_CAR: "our own car",
}


def is_put_right(job_purpose: str, stage_purpose: str = "") -> bool:
    """Whether a cost mends a defect: any of a comeback, on other jobs only that of a stage of rework."""
    return job_purpose == JobPurpose.COMEBACK or stage_purpose == StagePurpose.REWORK
