"""The technicians of the demo: each takes the next stage that can be done, for about as long as it was planned."""

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta

from shopbook.commands.demo.frame import Frame
from shopbook.models.jobs import Stage
from shopbook.queries.jobs.plans import layer_of, list_stages
from shopbook.services.act import Act
from shopbook.services.floor.attendance import come_in, go_home
from shopbook.services.floor.clocks import close_overdue_clocks, pause_clock, start_clock, start_other
from shopbook.services.floor.finishing import finish_stages
from shopbook.trade.catalogue.stage_codes import StageCode
from shopbook.trade.floor.coat_waits import Layer, asked_of
from shopbook.trade.floor.hours import StopCause, next_stop
from shopbook.trade.floor.readiness import NEEDS_APPROVAL
from shopbook.trade.permissions import Actor

_LATEST_SESSION_HOUR = 14
_ONE_CLOCK_MINUTES = 200
_ELSE = ("cleaning", "cleaning", "setting_up", "moving_cars", "fetching")
_LONG = frozenset({StageCode.BASE_CLEAR})


@dataclass
class Step:
    """What of one stage decides who does it and when."""

    id: int
    code: str
    skill: str
    minutes: int
    layer: Layer
    after: set[int]
    is_allowed: bool
    done_at: datetime | None
    is_taken: bool = False

    @property
    def dries(self) -> bool:
        """Whether something has to dry after it."""
        return any(not wait.is_inside for wait in self.layer.waits)


@dataclass
class CarInHand:
    """A car in the technicians' hands; `told` hears of each stage done, `done` when nothing is left to do."""

    job_id: int
    pace: float
    told: Callable[[datetime, Step, Actor], None]
    done: Callable[[datetime], None]
    steps: dict[int, Step] = field(default_factory=dict)
    held: set[int] = field(default_factory=set)
    """Stages that wait for a part still to come."""


@dataclass
class Task:
    """Stages that one person does together, and the minutes still to go."""

    car: CarInHand
    steps: list[Step]
    minutes: int


def _before(car: CarInHand, step: Step) -> list[Step]:
    return [car.steps[key] for key in step.after if key in car.steps]


def _is_dry(car: CarInHand, step: Step, moment: datetime) -> bool:
    """Whether every coat that a step works on is laid and dry."""
    layers = [replace(each.layer, finished_at=each.done_at) for each in car.steps.values()]
    own = next(layer for layer in layers if layer.id == step.id)
    return all(each.ready_at is not None and each.ready_at <= moment for each in asked_of(own, layers))


def _is_for(who: Actor, car: CarInHand, step: Step) -> bool:
    """Whether a step is still to do, agreed, held by nothing, and something that the person can."""
    if step.done_at or step.is_taken or not step.is_allowed:
        return False
    return step.skill in who.skills and step.id not in car.held


def _joins(car: CarInHand, step: Step, batch: list[Step], moment: datetime) -> bool:
    """Whether a step is short enough for one clock, and what stands before it is done or under that clock too."""
    if step.code in _LONG or sum(each.minutes for each in batch) + step.minutes > _ONE_CLOCK_MINUTES:
        return False
    if not _is_dry(car, step, moment):
        return False
    return all(each.done_at is not None or each in batch for each in _before(car, step))


class Floor:
    """The floor as it goes on by itself."""

    def __init__(self, frame: Frame) -> None:
        self._frame = frame
        self._cars: list[CarInHand] = []
        self._tasks: dict[str, Task] = {}
        self.away: set[tuple[str, date]] = set()
        self._idled: set[tuple[str, date]] = set()
        self.forgets: dict[str, date] = {}
        """Who does not press anything on the afternoon of a day."""
        for day in frame.days:
            for who in frame.technicians:
                frame.push_near(frame.at(day, "7:54"), self._arriving(who), 10)

    def take(self, car: CarInHand) -> None:
        """The car is here: its stages can be done from now on."""
        self.reload(car)
        self._cars.append(car)

    def reload(self, car: CarInHand) -> None:
        """Read the plan of a car anew, for it was changed."""
        before = car.steps
        car.steps = {stage.id: self._step(stage) for stage in list_stages(self._frame.session, car.job_id)}
        # Who works on a stage holds it: it stays the same, only what it waits for may be another.
        for key in before.keys() & car.steps.keys():
            before[key].after = car.steps[key].after
            car.steps[key] = before[key]

    def settle(self, changes: int) -> None:
        """What came about by the clock alone overnight may have changed plans."""
        if changes:
            for car in self._cars:
                self.reload(car)

    def _step(self, stage: Stage) -> Step:
        return Step(
            stage.id,
            stage.code,
            stage.skill,
            max(stage.planned_minutes, 5),
            layer_of(stage),
            {edge.after_id for edge in stage.after},
            stage.agreed_at is not None or stage.purpose not in NEEDS_APPROVAL,
            stage.finished_at,
        )

    def _arriving(self, who: Actor) -> Callable[[datetime], None]:
        def arrive(moment: datetime) -> None:
            if (who.name, self._frame.hours.local_day(moment)) in self.away:
                return
            come_in(Act(self._frame.session, who, moment))
            self._work(moment, who)

        return arrive

    def _work(self, moment: datetime, who: Actor) -> None:
        task = self._tasks.pop(who.name, None) or self._choose(moment, who)
        if task is None:
            self._idle(moment, who)
            return
        start_clock(Act(self._frame.session, who, moment), [step.id for step in task.steps])
        self._tasks[who.name] = task
        end = moment + timedelta(minutes=task.minutes)
        stop, cause = next_stop(moment, self._frame.hours)
        if end < stop:
            self._frame.push(end, lambda at: self._finish(at, who))
        else:
            task.minutes = max(int((end - stop).total_seconds()) // 60, 3)
            self._frame.push(stop, lambda at: self._stop(at, who, cause))

    def _choose(self, moment: datetime, who: Actor) -> Task | None:
        # What has to dry or harden is begun first, so that nobody stands beside it later.
        for is_waiting_after in (True, False):
            for car in self._cars:
                ready = [step for step in car.steps.values() if self._can_begin(car, step, moment, who)]
                if not ready or (is_waiting_after and not any(step.dries for step in ready)):
                    continue
                return self._take(moment, car, sorted(ready, key=lambda step: not step.dries), who)
        return None

    def _take(self, moment: datetime, car: CarInHand, ready: list[Step], who: Actor) -> Task:
        together = self._together(moment, car, ready, who)
        for step in together:
            step.is_taken = True
        minutes = sum(step.minutes for step in together) * car.pace * self._frame.rng.uniform(0.85, 1.25)
        return Task(car, together, max(int(minutes), 4))

    def _together(self, moment: datetime, car: CarInHand, ready: list[Step], who: Actor) -> list[Step]:
        """Like stages of several panels at once, and often small ones that follow on one another under one clock."""
        batch = [step for step in ready if step.code == ready[0].code][:3]
        if batch[0].code in _LONG or self._frame.rng.random() < 0.15:
            return batch
        for step in car.steps.values():
            if step not in batch and _is_for(who, car, step) and _joins(car, step, batch, moment):
                batch.append(step)
        return batch

    def _can_begin(self, car: CarInHand, step: Step, moment: datetime, who: Actor) -> bool:
        if not _is_for(who, car, step):
            return False
        if step.code in _LONG and self._clock_hour(moment) >= _LATEST_SESSION_HOUR:
            return False
        return all(each.done_at is not None for each in _before(car, step)) and _is_dry(car, step, moment)

    def _clock_hour(self, moment: datetime) -> float:
        day = self._frame.hours.local_day(moment)
        return (moment - self._frame.at(day, "0:00")).total_seconds() / 3600

    def _finish(self, moment: datetime, who: Actor) -> None:
        task = self._tasks.pop(who.name)
        finish_stages(Act(self._frame.session, who, moment), [step.id for step in task.steps])
        for step in task.steps:
            step.done_at = moment
        for step in task.steps:
            task.car.told(moment, step, who)
        if all(step.done_at for step in task.car.steps.values()):
            self._cars.remove(task.car)
            task.car.done(moment)
        self._work(moment, who)

    def _stop(self, moment: datetime, who: Actor, cause: StopCause) -> None:
        close_overdue_clocks(self._frame.session, moment)
        if cause is not StopCause.LUNCH:
            go_home(Act(self._frame.session, who, moment))
        elif self.forgets.get(who.name) != self._frame.hours.local_day(moment):
            self._frame.push(moment + timedelta(minutes=30), lambda at: self._work(at, who))
        else:
            self._frame.push(moment + timedelta(minutes=210), lambda at: self._work(at, who))

    def _idle(self, moment: datetime, who: Actor) -> None:
        """Nothing can be done: something else for a while, and if there is nothing then either, home."""
        session = self._frame.session
        stop, cause = next_stop(moment, self._frame.hours)
        today = (who.name, self._frame.hours.local_day(moment))
        if today in self._idled or cause is StopCause.CLOSING:
            go_home(Act(session, who, moment))
            return
        self._idled.add(today)
        start_other(Act(session, who, moment), self._frame.rng.choice(_ELSE))
        end = min(moment + timedelta(minutes=self._frame.rng.randint(35, 80)), stop - timedelta(minutes=2))
        self._frame.push(end, lambda at: self._go_on(at, who))

    def _go_on(self, moment: datetime, who: Actor) -> None:
        pause_clock(Act(self._frame.session, who, moment))
        self._work(moment, who)
