"""Jobs, the damage on a car, their pictures, the plan of stages and what is bought for one job."""

from shopbook.models.jobs.damage import Damage, GaugeReading, Picture, PictureStrike
from shopbook.models.jobs.jobs import Job
from shopbook.models.jobs.parts import JobPart
from shopbook.models.jobs.plans import PlanVersion, Stage, StageAfter, StagePanel, StageUse, StageWait

__all__ = [
    "Damage",
    "GaugeReading",
    "Job",
    "JobPart",
    "Picture",
    "PictureStrike",
    "PlanVersion",
    "Stage",
    "StageAfter",
    "StagePanel",
    "StageUse",
    "StageWait",
]
