"""The plan: stages in order with what they use and wait for, and a frozen copy of every version."""

from sqlalchemy import CheckConstraint, Index, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column, relationship

from shopbook.models.base import (
    Base,
    JsonList,
    JsonObject,
    Key,
    Kind,
    Line,
    Minor,
    Moment,
    Thousandths,
    Whole,
    Words,
    refers,
)
from shopbook.trade.floor.coat_waits import CoatWait, Touch, longest


class PlanVersion(Base):
    """The whole plan as it stood after one change; approvals point here. Append-only."""

    __tablename__ = "plan_version"
    __table_args__ = (UniqueConstraint("job_id", "version"),)

    id: Mapped[Key]
    job_id: Mapped[int] = refers("job.id", index=False)
    version: Mapped[Whole]
    why: Mapped[Line]
    body: Mapped[JsonObject]
    at: Mapped[Moment]
    person_id: Mapped[int | None] = refers("person.id", index=False)


class Stage(Base):
    """One piece of work by one skill. Begun, done and agreed are moments; struck stages stay and can come back."""

    __tablename__ = "stage"
    __table_args__ = (
        Index("ix_stage_job_id_position", "job_id", "position"),
        CheckConstraint("planned_minutes >= 0", name="minutes_not_negative"),
        CheckConstraint("flash_minutes >= 0", name="flash_not_negative"),
    )

    id: Mapped[Key]
    job_id: Mapped[int] = refers("job.id", index=False)
    position: Mapped[Whole] = mapped_column(default=0)
    code: Mapped[Kind]
    name: Mapped[Line]
    skill: Mapped[Kind]
    purpose: Mapped[Kind]
    """plan, extra, strip_and_look, rework, goodwill, own_car."""
    quote_group_key: Mapped[Line] = mapped_column(default="")
    """The panel (or "car") whose group of the quote carries this stage."""
    standard_minutes: Mapped[Whole] = mapped_column(default=0)
    planned_minutes: Mapped[Whole] = mapped_column(default=0)
    is_touched: Mapped[bool] = mapped_column(default=False)
    """Somebody changed the hours: only such figures teach the standards."""
    flash_minutes: Mapped[Whole] = mapped_column(default=0)
    """Elapsed minutes of flashes within it that are no man-minutes and count in a promise."""
    waits_for_part_id: Mapped[int | None] = refers("job_part.id", index=False)
    cautions: Mapped[JsonList]
    """Their codes."""
    steps: Mapped[JsonList]
    """The small steps inside."""
    reasons: Mapped[JsonList]
    """Sentences that the screens unfold."""
    mixes: Mapped[JsonList]
    """Planned mixes: name, ml, ratio, parts, pot life, batches."""
    rework_of_id: Mapped[int | None] = refers("stage.id", index=False)
    added_why: Mapped[Line] = mapped_column(default="")
    agreed_at: Mapped[Moment | None]
    begun_at: Mapped[Moment | None]
    finished_at: Mapped[Moment | None]
    finished_by_id: Mapped[int | None] = refers("person.id", index=False)
    struck_at: Mapped[Moment | None]
    struck_why: Mapped[Line] = mapped_column(default="")
    dry_seen_at: Mapped[Moment | None]
    """When somebody last pressed Seen on a wait of its coats that had ended."""

    after: Mapped[list["StageAfter"]] = relationship(
        lazy="raise", foreign_keys="StageAfter.stage_id", order_by="StageAfter.after_id", viewonly=True
    )
    panels: Mapped[list["StagePanel"]] = relationship(lazy="raise", order_by="StagePanel.id", viewonly=True)
    uses: Mapped[list["StageUse"]] = relationship(lazy="raise", order_by="StageUse.id", viewonly=True)
    waits: Mapped[list["StageWait"]] = relationship(lazy="raise", order_by="StageWait.id", viewonly=True)

    @property
    def coat_waits(self) -> tuple[CoatWait, ...]:
        """The waits of the coats that it lays."""
        return tuple(each.wait for each in self.waits)

    @property
    def inside_waits(self) -> tuple[CoatWait, ...]:
        """What is sat out within it, the first wait of each coat, whatever the panels."""
        inside = {each.coat: each for each in reversed(self.coat_waits) if each.is_inside}
        return tuple(reversed(inside.values()))

    @property
    def last_wait(self) -> CoatWait | None:
        """The longest wait after it."""
        return longest(self.coat_waits)

    @property
    def not_before_minutes(self) -> int:
        """Minutes of its longest wait; zero without one."""
        return self.last_wait.not_before_minutes if self.last_wait else 0

    @property
    def wait_kind(self) -> str:
        """What the longest wait is."""
        return self.last_wait.kind if self.last_wait else ""

    @property
    def wait_reason(self) -> str:
        """Why the longest wait is."""
        return self.last_wait.reason if self.last_wait else ""

    @property
    def not_after_minutes(self) -> int | None:
        """Minutes until the first window on its coats closes; None where none does."""
        shuts = [each.not_after_minutes for each in self.coat_waits if each.closes and not each.is_inside]
        return min((each for each in shuts if each is not None), default=None)

    @property
    def panel_names(self) -> tuple[str, ...]:
        """The panels that it is done on, in their order."""
        return tuple(each.panel for each in self.panels if each.panel)

    @property
    def is_idle(self) -> bool:
        """Whether nobody has begun or finished it."""
        return self.begun_at is None and self.finished_at is None

    @property
    def is_over(self) -> bool:
        """Whether nothing more of it will come: finished or removed."""
        return self.finished_at is not None or self.struck_at is not None

    @property
    def is_in_hand(self) -> bool:
        """Whether it was begun and is not finished."""
        return self.begun_at is not None and self.finished_at is None


class StageAfter(Base):
    """One stage that must be done before another may begin."""

    __tablename__ = "stage_after"

    stage_id: Mapped[int] = refers("stage.id", primary_key=True, index=False)
    after_id: Mapped[int] = refers("stage.id", primary_key=True)


class StagePanel(Base):
    """What one stage does on one panel: its share of the minutes and the coat that it lays."""

    __tablename__ = "stage_panel"
    __table_args__ = (UniqueConstraint("stage_id", "panel"),)

    id: Mapped[Key]
    stage_id: Mapped[int] = refers("stage.id", index=False)
    panel: Mapped[Kind]
    minutes: Mapped[Whole]
    coats: Mapped[Line] = mapped_column(default="")
    """Comma-separated coats laid: filler, primer, base, clear."""


class StageWait(Base):
    """One wait of one coat that a stage lays on one panel ("" is the whole car), from when the stage is done."""

    __tablename__ = "coat_wait"
    __table_args__ = (
        CheckConstraint("not_before_minutes >= 0", name="wait_not_negative"),
        UniqueConstraint("stage_id", "panel", "coat", "opens", "is_inside"),
    )

    id: Mapped[Key]
    stage_id: Mapped[int] = refers("stage.id", index=False)
    panel: Mapped[Kind] = mapped_column(default="")
    coat: Mapped[Kind]
    opens: Mapped[Kind]
    """handle, coat, fit, sand: what may be done to the coat after it."""
    kind: Mapped[Kind]
    not_before_minutes: Mapped[Whole] = mapped_column(default=0)
    not_after_minutes: Mapped[Whole | None]
    adds: Mapped[Kind] = mapped_column(default="")
    """Code of the stage that a passed window adds; without one the limit is advice."""
    reason: Mapped[Words] = mapped_column(default="")
    is_inside: Mapped[bool] = mapped_column(default=False)
    """Sat out within the stage: it asks nothing of later ones."""
    is_kept_over_closed_days: Mapped[bool] = mapped_column(default=True)

    @property
    def wait(self) -> CoatWait:
        """The same as a value."""
        return CoatWait(
            panel=self.panel,
            coat=self.coat,
            opens=Touch(self.opens),
            kind=self.kind,
            not_before_minutes=self.not_before_minutes,
            not_after_minutes=self.not_after_minutes,
            adds=self.adds,
            reason=self.reason,
            is_inside=self.is_inside,
            is_kept_over_closed_days=self.is_kept_over_closed_days,
        )


class StageUse(Base):
    """What a stage is planned to use: a role of the catalogue, and the material once one stands for it."""

    __tablename__ = "stage_use"
    __table_args__ = (CheckConstraint("amount_thousandths >= 0", name="amount_not_negative"),)

    id: Mapped[Key]
    stage_id: Mapped[int] = refers("stage.id")
    role: Mapped[Kind]
    material_id: Mapped[int | None] = refers("material.id")
    unit: Mapped[Kind]
    way: Mapped[Kind]
    """measured, piece, floor."""
    amount_thousandths: Mapped[Thousandths]
    mix: Mapped[Kind] = mapped_column(default="")
    """Uses of one stage with the same word are parts of one mix."""
    guess_cost_minor: Mapped[Minor | None]
    is_touched: Mapped[bool] = mapped_column(default=False)
    reason: Mapped[Words] = mapped_column(default="")
