"""The days that a job could have: its plan placed into the hours and places that are not promised yet."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta

from shopbook.models.jobs import Job
from shopbook.queries.diary.hands import Away, hands_by_day, list_absences, list_workers
from shopbook.queries.diary.needs import WorkNeeded, needs_of_draft, needs_of_job
from shopbook.queries.diary.odds import list_car_hours
from shopbook.queries.diary.promised import Minutes, PromisedJob, count_cars, list_promised, sum_minutes
from shopbook.queries.jobs.whole import WholeJob
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.trade.car.damage import SKILL_WORDS
from shopbook.trade.diary.odds import OF_TEN, hours_for_most
from shopbook.trade.diary.opening import HalfDay, OpeningHours
from shopbook.trade.diary.placing import Room, StageNeed
from shopbook.trade.diary.promise import Promise, promise_car
from shopbook.trade.diary.workload import Hand, in_pools, pools_of, share_hands
from shopbook.trade.errors import RuleBroken
from shopbook.trade.letters import upper_first
from shopbook.trade.measures.amounts import divide_half_away
from shopbook.trade.measures.days import DateForm
from shopbook.trade.measures.half_days import half_day_end, half_day_words
from shopbook.trade.permissions import Actor
from shopbook.trade.planning.shapes import DraftPlan

AHEAD_DAYS = 150
"""Calendar days ahead in which a promise is looked for."""


@dataclass(frozen=True, slots=True)
class Suggestion:
    """When a car could come and go, or in `trouble` why no day can be offered; `waits` are what holds it up.

    `is_here` says that the car is in the shop: then only the promise is news. `most` is the promise that eight of ten
    of the last `cars` would have kept by their hours, where that is later.
    """

    promise: Promise | None
    trouble: str = ""
    waits: tuple[str, ...] = ()
    is_here: bool = False
    most: Promise | None = None
    cars: int = 0
    with_hours: Callable[[int], Promise | None] | None = field(default=None, compare=False)
    """The promise of the same plan with so many thousandths of its hours; None where it cannot be placed."""

    @property
    def sentence(self) -> str:
        """Why these days."""
        if self.promise is None:
            return self.trouble
        return f"{upper_first(self.reasons or 'there is time free')}."

    @property
    def reasons(self) -> str:
        """What decides them, in words without an end; nothing where nothing holds the car up."""
        return "; ".join([*self.waits, *(self.promise.why if self.promise else ())])

    def words(self, today: date, form: DateForm) -> str:
        """The days as the customer is told: "Drop-off Tuesday morning, ready Friday afternoon"."""
        made = self.promise
        if made is None:
            return "No day to offer yet"
        back = half_day_words(made.collect_on, made.collect_half, today, form)
        if self.is_here:
            return f"Ready {back}"
        return f"Drop-off {half_day_words(made.drop_off_on, made.drop_off_half, today, form)}, ready {back}"

    def odds(self, today: date, form: DateForm) -> str:
        """How likely the day is, for the shop alone; nothing where the last cars kept to their hours."""
        if self.most is None:
            return ""
        back = half_day_words(self.most.collect_on, self.most.collect_half, today, form)
        return f"{OF_TEN} in 10 ready by {back}, judging by the last {self.cars} cars."


def suggest_for(whole: WholeJob, shop: ShopOn, now: datetime) -> Suggestion:
    """The same for a job that is read already, in the shop on the day of `now`."""
    return read_ahead(shop).suggest(whole, now, list_car_hours(shop.session))


def suggest_for_draft(shop: ShopOn, draft: DraftPlan, now: datetime) -> Suggestion:
    """The days for a car whose plan is not saved yet: the quick price at the kerb."""
    return read_ahead(shop).suggest_draft(draft, now)


def _missing_skills(plan: WorkNeeded, pools: Mapping[str, str]) -> list[str]:
    """Skills that the plan needs and nobody in the shop has."""
    return sorted({need.skill for need in plan.stages if need.minutes and need.skill not in pools})


@dataclass(frozen=True, slots=True)
class Ahead:
    """The diary from a day on, read once: who is there when, and what is promised already. Any number of cars are
    placed into it without a further statement."""

    shop: ShopOn
    promised: Sequence[PromisedJob]
    actors: Sequence[Actor]
    hands: Mapping[date, Sequence[Hand]]

    @property
    def pools(self) -> dict[str, str]:
        """The pool of each skill that somebody has."""
        return pools_of(actor.skills for actor in self.actors)

    def suggest(self, whole: WholeJob, now: datetime, cars: Sequence[tuple[int, int]] = ()) -> Suggestion:
        """The days of a job from `now` on; `cars` are the hours of the last ones, for the odds."""
        opening = self.shop.opening
        plan, start = needs_of_job(whole, opening, now), _start(whole.job, opening, now)
        return _suggest(self, plan, start, besides=whole.job, cars=cars)

    def suggest_draft(self, draft: DraftPlan, start: datetime, cars: Sequence[tuple[int, int]] = ()) -> Suggestion:
        """The days of a car that nobody has booked in yet, from a moment on."""
        return _suggest(self, needs_of_draft(draft), start, cars=cars)


def absences_ahead(shop: ShopOn) -> list[Away]:
    """Who is away from the shop's day on, as far as the diary is looked into; one statement."""
    return list_absences(shop.session, shop.day, shop.day + timedelta(days=AHEAD_DAYS))


def read_ahead(
    shop: ShopOn, promised: Sequence[PromisedJob] | None = None, away: Sequence[Away] | None = None
) -> Ahead:
    """The diary from the shop's day on; a statement each for the promised jobs and the absences not read already."""
    opening, workers = shop.opening, list_workers(shop)
    days = opening.working_days(shop.day, shop.day + timedelta(days=AHEAD_DAYS))
    return Ahead(
        shop,
        list_promised(shop.session, opening, shop.day) if promised is None else promised,
        [actor for actor, _ in workers],
        hands_by_day(opening, days, workers, absences_ahead(shop) if away is None else away),
    )


def _suggest(
    ahead: Ahead,
    plan: WorkNeeded,
    start: datetime,
    besides: Job | None = None,
    cars: Sequence[tuple[int, int]] = (),
) -> Suggestion:
    opening, pools = ahead.shop.opening, ahead.pools
    is_here = besides is not None and besides.came_at is not None
    missing = _missing_skills(plan, pools)
    if missing:
        return Suggestion(None, _nobody(missing), is_here=is_here)
    needs = [_pooled(need, pools) for need in plan.stages]
    taken = sum_minutes(ahead.promised, besides)
    free = {} if is_here else _free_places(ahead, besides.id if besides else None)

    def place(permille: int = 1000) -> Promise:
        wanted = [replace(need, minutes=divide_half_away(need.minutes * permille, 1000)) for need in needs]
        room = _room(wanted, ahead.hands, ahead.actors, pools, taken)
        return promise_car(wanted, opening, room, start, free, not_before=plan.not_before)

    def with_hours(permille: int) -> Promise | None:
        try:
            return place(permille)
        except RuleBroken:
            return None

    try:
        made = place()
    except RuleBroken as broken:
        return Suggestion(None, broken.sentence, is_here=is_here)
    most = _most(made, cars, with_hours)
    return Suggestion(made, waits=plan.waits, is_here=is_here, most=most, cars=len(cars), with_hours=with_hours)


def _most(
    made: Promise, cars: Sequence[tuple[int, int]], with_hours: Callable[[int], Promise | None]
) -> Promise | None:
    """The promise with the hours that most of these cars kept to; None where that is no later, or cannot be placed."""
    permille = hours_for_most(cars)
    most = with_hours(permille) if permille is not None and permille > 1000 else None
    if most is None:
        return None
    is_later = half_day_end(most.collect_on, most.collect_half) > half_day_end(made.collect_on, made.collect_half)
    return most if is_later else None


def _nobody(skills: Sequence[str]) -> str:
    words = " or ".join(SKILL_WORDS[skill].lower() for skill in SKILL_WORDS if skill in skills)
    return f"Nobody here does {words or 'this'} work. Give somebody the skill in Settings."


def _room(
    needs: Sequence[StageNeed],
    hands: Mapping[date, Sequence[Hand]],
    actors: Sequence[Actor],
    pools: Mapping[str, str],
    taken: Minutes,
) -> Room:
    """Hours by day and pool that are not promised: people go to promised work first, then to what this plan needs."""
    own: dict[str, int] = {}
    for need in needs:
        own[need.skill] = own.get(need.skill, 0) + need.minutes
    promised: dict[date, dict[str, int]] = {day: {} for day in hands}
    for (day, skill), minutes in taken.items():
        pool = pools.get(skill, skill)
        if day in promised:
            promised[day][pool] = promised[day].get(pool, 0) + minutes
    free = {}
    for day, there in hands.items():
        shared = share_hands(in_pools(there, pools), promised[day], own)
        free[day] = {pool: max(minutes - promised[day].get(pool, 0), 0) for pool, minutes in shared.items()}
    people = {pool: sum(pool in {pools[skill] for skill in actor.skills} for actor in actors) for pool in own}
    return Room(free, people)


def _free_places(ahead: Ahead, besides_id: int | None) -> dict[date, int]:
    """Bays still free by day; nothing is ever full where there is a yard, which takes any number."""
    places = ahead.shop.places
    if not places or any(not place.is_bay for place in places):
        return {}
    return {day: len(places) - count_cars(ahead.promised, day, besides_id) for day in ahead.hands}


def _pooled(need: StageNeed, pools: Mapping[str, str]) -> StageNeed:
    return replace(need, skill=pools.get(need.skill, need.skill))


def _start(job: Job, opening: OpeningHours, now: datetime) -> datetime:
    if job.came_at is not None or job.drop_off_on is None or not opening.is_working_day(job.drop_off_on):
        return now
    stretches = opening.stretches_on(job.drop_off_on)
    is_late = job.drop_off_half == HalfDay.AFTERNOON
    begins = opening.end_of_half(job.drop_off_on, HalfDay.MORNING) if is_late else stretches[0][0]
    return max(begins, now)
