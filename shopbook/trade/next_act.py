"""What comes next on a job: one act, from its moments and what is open of it, the same words on every page.

Today, the list of jobs and the page of a job ask `next_act`; a page may add a button, never another word for the act.
Its words and address as a press are `web/parts/next_press.py`.
"""

from collections.abc import Callable, Collection
from dataclasses import dataclass, replace
from datetime import date, datetime
from enum import StrEnum

from shopbook.trade.catalogue.stage_codes import StageCode
from shopbook.trade.diary.late import LateCar
from shopbook.trade.floor.readiness import Hold, Readiness, StageState
from shopbook.trade.permissions import PERMISSIONS, Role
from shopbook.trade.standing import Moments, Standing, standing_of

LAST_STAGES = frozenset({"hand_over"})
"""Codes of stages that are done while the customer is there: a car is ready without them."""


class NextStep(StrEnum):
    """What somebody does next with a job."""

    SET_DAY = "set_day"
    CHECK_IN = StageCode.CHECK_IN
    LOOK = "look"
    PLAN = "plan"
    PRICE = "price"
    GIVE = "give"
    SEND = "send"
    ANSWER = "answer"
    WORK = "work"
    MARK_READY = "mark_ready"
    TELL = "tell"
    INVOICE = "invoice"
    FURTHER = "further"
    PAY = "pay"
    HAND_OVER = "hand_over"
    GIVE_BACK = "give_back"
    NOTHING = "nothing"


ACT_WORDS: dict[NextStep, str] = {
    NextStep.SET_DAY: "Give the customer the new day",
    NextStep.CHECK_IN: "Check in",
    NextStep.LOOK: "Look at the car",
    NextStep.PLAN: "Draft the plan",
    NextStep.PRICE: "Draft the {estimate}",
    NextStep.GIVE: "Issue the {estimate}",
    NextStep.SEND: "Send the {estimate}",
    NextStep.ANSWER: "Get an answer",
    NextStep.MARK_READY: "Mark ready",
    NextStep.TELL: "Tell the customer",
    NextStep.INVOICE: "Write invoice",
    NextStep.FURTHER: "Write follow-up invoice",
    NextStep.PAY: "Take payment",
    NextStep.HAND_OVER: "Hand over",
    NextStep.GIVE_BACK: "Refund money held",
    NextStep.NOTHING: "Nothing left to do",
}
"""The act in words, to be said by country; for work it is the name of the stage."""


class Price(StrEnum):
    """How far the price of a job has come: none, a draft, fixed but with nobody yet, or with the customer."""

    NONE = "none"
    DRAFT = "draft"
    GIVEN = "given"
    ASKED = "asked"


@dataclass(frozen=True, slots=True)
class OpenStage:
    """A stage that is not done, with what it waits for; `is_owed` where it was agreed or begun."""

    name: str
    readiness: Readiness
    is_owed: bool = True


@dataclass(frozen=True, slots=True)
class PlanFacts:
    """The facts of damage and plan that decide the next act; stages in the order of the plan, without the last ones."""

    has_damage: bool = False
    has_plan: bool = False
    open_stages: tuple[OpenStage, ...] = ()
    is_over_hours: bool = False


@dataclass(frozen=True, slots=True)
class MoneyFacts:
    """The money facts that decide the next act, with tax, in minor units.

    `due_now_minor` is due on collection; `held_minor` is what the shop holds for the customer, securities too.
    """

    is_to_invoice: bool = False
    rest_minor: int = 0
    due_now_minor: int = 0
    owed_minor: int = 0
    held_minor: int = 0


@dataclass(frozen=True, slots=True)
class JobFacts:
    """Everything that decides a job's next act.

    `open_things` is what `things_open` names before it is ready, `quote_id` the estimate that `price` is about, `late`
    the day that can be kept of a promise that cannot be.
    """

    moments: Moments
    came_at: datetime | None = None
    drop_off_on: date | None = None
    told_ready_at: datetime | None = None
    asked_on: date | None = None
    price: Price = Price.NONE
    quote_id: int | None = None
    plan: PlanFacts = PlanFacts()
    money: MoneyFacts = MoneyFacts()
    open_things: tuple[str, ...] = ()
    late: LateCar | None = None


@dataclass(frozen=True, slots=True)
class NextAct:
    """The next act in words, a tag of a kind beside it, and the moment that the tag names, if any.

    `late` is the promise that a new day is to be set for; `then` what would come next without it.
    """

    act: NextStep
    words: str
    tag: str = ""
    kind: str = ""
    not_before_at: datetime | None = None
    open_things: tuple[str, ...] = ()
    quote_id: int | None = None
    stage_id: int = 0
    late: LateCar | None = None
    then: "NextAct | None" = None


def next_act(job: JobFacts, roles: Collection[Role], today: date) -> NextAct:
    """What comes next on a job on a day for a person of these roles.

    Before work goes on, who may give a customer a day sees a late promise: told Wednesday and ready on Thursday, owner
    and desk set Thursday and text the customer, a technician starts the next stage. Whatever else comes next, or
    without such a promise, the act is the same for everybody.
    A car that is due by today is checked in first. The price is drafted, given and sent before anybody waits for an
    answer. With every stage done the job is marked ready, then the customer is told, the invoice written, what is due
    on collection paid, the car handed over. A cancelled job with 120.00 held for it is done once that is refunded;
    with nothing held, it is done at once.
    """
    found = _OF[standing_of(job.moments)](job, today)
    if job.late is None or found.act is not NextStep.WORK or PERMISSIONS["diary", "change"].isdisjoint(roles):
        return found
    return replace(_plain(NextStep.SET_DAY), late=job.late, then=found)


def things_open(
    stages: tuple[str, ...], parts: tuple[str, ...], extras: tuple[str, ...], unbilled: str = ""
) -> tuple[str, ...]:
    """What is still open on a car that is about to be marked ready, a sentence each: work, parts, extra work, sums.

    `stages`, `parts` and `extras` are names; `unbilled` an amount above what was approved.
    """
    named = (("Not finished", stages), ("Part not here", parts), ("Extra work not approved", extras))
    said = [f"{words}: {name}." for words, names in named for name in names]
    return tuple(said + ([f"Over the approved amount and not billed: {unbilled}."] if unbilled else []))


def _plain(act: NextStep, tag: str = "", kind: str = "") -> NextAct:
    return NextAct(act, ACT_WORDS[act], tag, kind)


def _check_in(drop_off_on: date, today: date) -> NextAct:
    words, kind = ("overdue", "late") if drop_off_on < today else ("due today", "")
    return _plain(NextStep.CHECK_IN, words, kind)


def _before_work(job: JobFacts, today: date) -> NextAct:
    if job.came_at is None and job.drop_off_on is not None and job.drop_off_on <= today:
        return _check_in(job.drop_off_on, today)
    if not job.plan.has_plan and (job.moments.agreed_at is None or not job.moments.is_paid_for):
        return _plain(NextStep.PLAN if job.plan.has_damage else NextStep.LOOK, "no plan yet", "warn")
    if job.moments.is_paid_for and job.moments.agreed_at is None:
        return _price(job, today)
    return _work(job, today)


def _price(job: JobFacts, today: date) -> NextAct:
    if job.price is Price.ASKED:
        return replace(_plain(NextStep.ANSWER, f"asked {_ago(job.asked_on, today)}", "warn"), quote_id=job.quote_id)
    act, tag = {
        Price.NONE: (NextStep.PRICE, "no price yet"),
        Price.DRAFT: (NextStep.GIVE, "draft"),
        Price.GIVEN: (NextStep.SEND, "not sent yet"),
    }[job.price]
    return replace(_plain(act, tag, "warn"), quote_id=job.quote_id)


def _ago(day: date | None, today: date) -> str:
    days = (today - (day or today)).days
    return "today" if days <= 0 else "1 day ago" if days == 1 else f"{days} days ago"


def _work(job: JobFacts, today: date) -> NextAct:
    stages, is_unapproved = job.plan.open_stages, job.moments.is_paid_for and job.moments.agreed_at is None
    if not stages:
        return _price(job, today) if is_unapproved else _ready_to_mark(job)
    chosen = next((stage for stage in stages if stage.readiness.can_begin), stages[0])
    each = chosen.readiness
    if each.holds[:1] == (Hold.NOT_APPROVED,) and is_unapproved and each.state is StageState.HELD:
        return _price(job, today)
    tag, kind, not_before = _stage_tag(each, is_over=job.plan.is_over_hours)
    return NextAct(NextStep.WORK, chosen.name, tag, kind, not_before, stage_id=each.stage_id)


def _stage_tag(each: Readiness, *, is_over: bool) -> tuple[str, str, datetime | None]:
    if is_over:
        return "over planned hours", "late", None
    if each.state is StageState.BEGUN:
        return "in progress", "wait", None
    if Hold.WAIT in each.holds and each.ready_at is not None:
        return "", "wait", each.ready_at
    if each.state is StageState.CAN_BEGIN:
        return "ready to start", "good", None
    return each.sentence, "warn" if each.holds[0] in {Hold.PART, Hold.NOT_APPROVED} else "", None


def _ready_to_mark(job: JobFacts) -> NextAct:
    many = len(job.open_things)
    tag = "all done" if not many else "1 thing open" if many == 1 else f"{many} things open"
    words = ACT_WORDS[NextStep.MARK_READY]
    return NextAct(NextStep.MARK_READY, words, tag, "warn" if many else "good", open_things=job.open_things)


def _ready(job: JobFacts, today: date) -> NextAct:
    if job.told_ready_at is None:
        return _plain(NextStep.TELL, "ready", "good")
    return _to_bill(job.money, job.money.due_now_minor) or _plain(NextStep.HAND_OVER, "customer told", "good")


def _to_bill(money: MoneyFacts, due_minor: int) -> NextAct | None:
    if money.is_to_invoice:
        return _plain(NextStep.INVOICE, "not invoiced", "warn")
    if money.rest_minor:
        return _plain(NextStep.FURTHER, "not invoiced", "warn")
    return _plain(NextStep.PAY, "not paid", "warn") if due_minor else None


def _gone(job: JobFacts, today: date) -> NextAct:
    return _to_bill(job.money, job.money.owed_minor) or _refund(job.money) or _plain(NextStep.NOTHING, "handed over")


def _refund(money: MoneyFacts) -> NextAct | None:
    return _plain(NextStep.GIVE_BACK, "money held", "warn") if money.held_minor else None


def _settled(job: JobFacts, today: date) -> NextAct:
    return _plain(NextStep.NOTHING, "settled", "good")


def _called_off(job: JobFacts, today: date) -> NextAct:
    if job.money.owed_minor:
        return _plain(NextStep.PAY, "not paid", "warn")
    return _refund(job.money) or _plain(NextStep.NOTHING, "{cancelled}")


_OF: dict[Standing, Callable[[JobFacts, date], NextAct]] = {
    Standing.BOOKED: _before_work,
    Standing.QUOTED: _before_work,
    Standing.AGREED: _before_work,
    Standing.IN_WORK: _work,
    Standing.READY: _ready,
    Standing.HANDED_OVER: _gone,
    Standing.SETTLED: _settled,
    Standing.CALLED_OFF: _called_off,
}
