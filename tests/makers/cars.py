"""The cars that plans are held against, as a desk enters them: the twelve, and those that a painter would sign."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.services.act import Act
from shopbook.services.jobs.damage import add_reading
from shopbook.services.jobs.drafting import draft_plan
from shopbook.trade.permissions import THE_PROGRAM
from tests.makers.customers import make_customer, make_vehicle
from tests.makers.jobs import make_damage, make_job
from tests.makers.shop import STARTED


@dataclass(frozen=True, slots=True)
class HurtCar:
    """A car with its damages: (panel, what differs from a palm-sized, finger-deep dent in steel)."""

    damages: Sequence[tuple[str, Mapping[str, object]]]
    finish: str = "metallic"
    car: Mapping[str, object] = field(default_factory=dict)
    film: Mapping[str, int] = field(default_factory=dict)
    """What the gauge read by panel, in µm."""

    @property
    def panels(self) -> int:
        """How many panels are hurt."""
        return len({panel for panel, _ in self.damages})


_HAIL = {"kind": "small_dents", "dent_count": 45, "dent_class_mm": 25, "is_paint_sound": True, "paint": "no_paint"}
_BLEND = {"paint": "blend"}
CARS: Mapping[str, HurtCar] = {
    "one dent": HurtCar([("left_front_door", {})], "solid"),
    "crease over line and lip": HurtCar(
        [("right_quarter", {"kind": "crease", "crosses": ("line", "lip"), "paint": "blend"})]
    ),
    "scuffed bumper": HurtCar(
        [("rear_bumper", {"kind": "scuff", "size": "L", "substrate": "plastic"})], car={"has_driver_aids": True}
    ),
    "hail": HurtCar([("roof", _HAIL | {"depth": "shallow"})]),
    "rusty sill": HurtCar([("left_sill", {"kind": "rust", "size": "L", "depth": "shallow"})], "solid"),
    "deep in aluminium": HurtCar([("bonnet", {"substrate": "aluminium", "depth": "deep"})]),
    "two doors": HurtCar([("left_front_door", {}), ("left_rear_door", {})]),
    "two doors blended": HurtCar([("left_front_door", _BLEND), ("left_rear_door", _BLEND)]),
    "pearl": HurtCar([("right_front_wing", _BLEND)], "three_stage"),
    "bad repair": HurtCar([("left_front_door", {"kind": "bad_repair", "size": "L", "depth": "deep"})]),
    "matt lid": HurtCar([("boot_lid", {"kind": "scratch"})], "matt"),
    "failing clear": HurtCar(
        [
            ("bonnet", {"kind": "faded_clear", "size": "L", "depth": "shallow"}),
            ("bonnet", {"kind": "bad_repair", "size": "S", "depth": "shallow"}),
        ],
        car={"is_high_voltage": True},
    ),
    "key scratch, two doors": HurtCar(
        [
            ("left_front_door", {"kind": "scratch", "reach": "primer", "length_mm": 600} | _BLEND),
            ("left_rear_door", {"kind": "scratch", "reach": "primer", "length_mm": 600} | _BLEND),
        ]
    ),
    "chips": HurtCar([("bonnet", {"kind": "chip", "chip_count": 8, "paint": "no_paint"})]),
    "many chips": HurtCar([("bonnet", {"kind": "chip", "chip_count": 50})]),
    "dent over old filler": HurtCar([("left_front_door", {"size": "L"} | _BLEND)], film={"left_front_door": 4000}),
    "folded wing with old filler": HurtCar(
        [("left_front_wing", {"kind": "crease", "size": "L", "depth": "deep", "was_filled": True} | _BLEND)]
    ),
    "crease in a quarter": HurtCar(
        [
            (
                "left_quarter",
                {"kind": "crease", "length_mm": 250, "width_mm": 40, "crosses": ("line",), "clear_stop": "pillar"}
                | _BLEND,
            )
        ]
    ),
    "cracked corner": HurtCar(
        [
            ("front_bumper", {"kind": "scuff", "substrate": "plastic"}),
            (
                "front_bumper",
                {"kind": "crack", "length_mm": 40, "width_mm": 5, "substrate": "plastic", "depth": "shallow"},
            ),
        ],
        car={"has_driver_aids": True},
    ),
    "folded wing": HurtCar([("left_front_wing", {"kind": "crease", "size": "L", "depth": "deep", "paint": "blend"})]),
    "peeling roof": HurtCar([("roof", {"kind": "faded_clear", "size": "L", "depth": "shallow"})]),
    "yellow door and sill": HurtCar(
        [("left_front_door", {"kind": "scuff", "size": "L"}), ("left_sill", {"kind": "scuff", "size": "L"})],
        "solid",
        {"hue": "yellow", "colour_hex": "#e8b800"},
    ),
    "aluminium bonnet": HurtCar([("bonnet", {"substrate": "aluminium"})]),
    "three panels": HurtCar([("left_front_wing", {}), ("left_front_door", {}), ("left_rear_door", {})]),
    "three panels blended": HurtCar(
        [("right_front_door", _BLEND), ("right_rear_door", _BLEND), ("right_quarter", {"kind": "crease"} | _BLEND)]
    ),
}
"""By name; of one panel unless the name says otherwise. What was never typed of a car stays unknown."""


def make_hurt_car(session: Session, name: str, **given: Any) -> Job:
    """A job of one of these cars with its damage and its plan drafted."""
    known = CARS[name]
    customer = make_customer(session)
    vehicle = make_vehicle(session, customer, finish=known.finish, **known.car)
    job = make_job(session, customer_id=customer.id, vehicle_id=vehicle.id, **given)
    for panel, film_um in known.film.items():
        add_reading(Act(session, THE_PROGRAM, STARTED), job.id, panel=panel, spot="", value=film_um)
    for panel, differs in known.damages:
        make_damage(session, job, panel, **differs)
    draft_plan(Act(session, THE_PROGRAM, STARTED), job.id)
    return job
