"""The flat tables of jobs, hours and what people cost."""

from shopbook.documents.accountant.columns import (
    CUSTOMER,
    JOB,
    PERSON,
    CellKind,
    FlatColumn,
    FlatTable,
    day,
    money,
    text,
    whole,
)

STAGE = (
    whole("stage_id", "key of the stage"),
    text("stage", "name of the stage"),
    text("stage_purpose", "plan, extra, strip_and_look, rework, goodwill or own_car"),
)

JOBS = FlatTable(
    "jobs",
    "Jobs",
    "opened up to the last day, as they stood then",
    (
        *JOB,
        text("purpose", "paid, goodwill, own_car or comeback"),
        text("payer_kind", "private, dealer, insurer or fleet"),
        *CUSTOMER,
        text("plate", "its plate"),
        text("car", "make and model, as typed"),
        whole("comeback_of_job_id", "of a comeback: the job that it comes back from"),
        day("opened_on", "day on which it was opened"),
        day("approved_on", "day on which it was approved"),
        day("begun_on", "day on which work began"),
        day("ready_on", "day on which it was marked ready"),
        day("handed_over_on", "day on which the car was handed over"),
        day("cancelled_on", "day on which it was cancelled"),
        text("cancelled_why", "why it was cancelled"),
        FlatColumn("is_sample", CellKind.FLAG, "whether it is a sample that came with the book"),
    ),
)

CLOCK_SHARES = FlatTable(
    "clock_shares",
    "Hours on jobs",
    "clocked on stages from the first to the last day; a correction is a negative row and a new one",
    (
        whole("share_id", "key of the row"),
        whole("entry_id", "key of the clock entry; one entry may be shared by stages"),
        day("on", "its day"),
        *PERSON,
        *JOB,
        text("job_purpose", "purpose of the job"),
        *STAGE,
        text("skill", "body, paint or detail"),
        whole("minutes", "minutes worked"),
        money("cost", "those minutes at what the person’s hour cost on the day", is_pay=True),
        whole("reverses_entry_id", "the clock entry that this one takes back"),
    ),
)

BOUGHT_PARTS = FlatTable(
    "bought_parts",
    "Bought parts",
    "parts, mixed paint, sublet work and fees for one job that came, or were sent back, from the first to the last day",
    (
        whole("part_id", "key of the part"),
        text("event", "came; sent_back is negative"),
        day("on", "day on which it came or was sent back"),
        *JOB,
        text("job_purpose", "purpose of the job"),
        text("kind", "part, colour, sublet or fee"),
        text("name", "what it is"),
        text("supplier", "who it was bought from"),
        money("cost", "what it cost"),
    ),
)

PERSON_COSTS = FlatTable(
    "person_costs",
    "Cost of an hour",
    "what an hour of each person costs, each figure from its day; all that apply up to the last day",
    (
        *PERSON,
        day("from_on", "first day on which it applies"),
        money("cost_per_hour", "cost of an hour", is_pay=True),
    ),
    is_pay=True,
)

ATTENDANCE = FlatTable(
    "attendance",
    "Attendance",
    "each person’s days from the first to the last day",
    (
        *PERSON,
        day("on", "the day"),
        whole("minutes", "minutes here, without the lunch break"),
        money("cost_per_hour", "what the person’s hour cost on that day", is_pay=True),
        money("cost", "the minutes at that cost", is_pay=True),
    ),
)

PAID_HOURS = FlatTable(
    "paid_hours",
    "Paid hours and wages",
    "one row a person: what is paid for the days from the first to the last, by attendance or by the week",
    (
        *PERSON,
        FlatColumn("is_owner", CellKind.FLAG, "whether it is an owner, whose pay is no wages"),
        whole("minutes", "paid minutes"),
        money("wages", "the paid minutes at what an hour cost", is_pay=True),
        money("on_costs", "what comes on top of the wages", is_pay=True),
        money("clocked", "of it clocked on jobs, at cost", is_pay=True),
    ),
    is_pay=True,
)

FIXED_COSTS = FlatTable(
    "fixed_costs",
    "Fixed costs",
    "what the shop pays whether a car is repaired or not, with the share of the days from the first to the last",
    (
        whole("fixed_cost_id", "key of the fixed cost"),
        text("name", "what it is"),
        money("amount", "amount for each month, quarter or year, without tax where the shop reclaims it"),
        text("per", "month, quarter or year"),
        day("from_on", "first day on which it applies"),
        day("until_on", "last day on which it applies; empty while it goes on"),
        money("share", "its share of the days"),
    ),
)

WORK_IN_PROGRESS = FlatTable(
    "work_in_progress",
    "Work in progress on the last day",
    "every job that somebody pays for and that was not invoiced when the last day ended, at cost",
    (
        *JOB,
        money("before", "its cost up to the month of the last day; as kept, where that month is closed"),
        money("added", "its cost of that month so far"),
        money("cost", "its cost when the last day ended"),
        FlatColumn("is_finished", CellKind.FLAG, "whether it was finished and only wants its invoice"),
        money("to_bill", "of a finished one: what was approved, before tax"),
    ),
)

HOURS = FlatTable(
    "hours",
    "Hours by person and week",
    "from the first to the last day; weeks begin on Monday and are cut where the days begin and end",
    (
        *PERSON,
        text("week", "ISO week, for example 2026-W45"),
        day("first_on", "first of its days that is counted"),
        day("last_on", "last of its days that is counted"),
        whole("here_minutes", "minutes here, without the lunch break"),
        whole("on_cars_minutes", "of them clocked on cars"),
        whole("elsewhere_minutes", "of them clocked on other things"),
        whole("to_place_minutes", "of them not placed yet"),
    ),
)
