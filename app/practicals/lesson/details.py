"""What leaves a transaction: frozen pictures of rows, free to be kept and shared between threads."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from decimal import Decimal
from operator import attrgetter
from typing import TYPE_CHECKING, Any, Protocol, TypeVar

from sqlalchemy import bindparam, select
from sqlalchemy.orm import Session, joinedload

from app.physics.asking.question import TypicalRun
from app.physics.energy import STANDARD_GRAVITY_M_PER_S2, settled_depth
from app.physics.materials import MATERIALS
from app.physics.planned import count_of_run, typed_else
from app.practicals.kit.of_bench import BenchKitLine, kit_of_row
from app.records.base import Base
from app.records.choices import BoardStep, GravityHow, PracticalState
from app.records.models import Practical

if TYPE_CHECKING:
    from _typeshed import DataclassInstance

T = TypeVar("T", bound="DataclassInstance")


STANDARD_GRAVITY = Decimal(str(STANDARD_GRAVITY_M_PER_S2))


class TypedNumber(Protocol):
    """A number as a person typed it: the text, the unit it was understood in, the exact value in SI (°C)."""

    @property
    def raw(self) -> str: ...
    @property
    def value(self) -> Decimal: ...
    @property
    def unit(self) -> str: ...


@dataclass(frozen=True)
class Typed:
    """A typed number that comes out of the records."""

    raw: str
    value: Decimal
    unit: str


@dataclass(frozen=True)
class BenchPlanLine:
    """What the plan gives one bench; None means the practical's own value."""

    number: int
    shot_mass_kg: Decimal | None = None
    tube_length_m: Decimal | None = None
    end_allowance_m: Decimal | None = None
    inversions: int | None = None
    start_temperature_C: Decimal | None = None
    runs: int | None = None
    thermometer_step_K: Decimal | None = None
    second_inversions: int | None = None
    """Of its second run alone; None: as all others."""
    ice_point_C: Decimal | None = None


@dataclass(frozen=True)
class Plan:
    """All that a teacher sets about a practical. Decimals are exact, in SI (temperatures in °C)."""

    title: str
    held_on: date
    material: str
    accepted_J_per_kg_K: Decimal
    accepted_source: str
    tube_length_m: Decimal
    inversions: int
    accepted_temperature_C: Decimal | None = None
    gravity_m_per_s2: Decimal = STANDARD_GRAVITY
    u_gravity_m_per_s2: Decimal = Decimal(0)
    gravity_how: GravityHow = GravityHow.STANDARD
    latitude_deg: Decimal | None = None
    height_m: Decimal | None = None
    end_allowance_m: Decimal = Decimal(0)
    bore_m: Decimal | None = None
    depth_measured: bool = False
    length_sd_m: Decimal = Decimal("0.002")
    planned_benches: int = 12
    thermometer_step_K: Decimal = Decimal("0.1")
    reading_sd_K: Decimal = Decimal(0)
    room_temperature_C: Decimal | None = None
    heat_sink_J_per_K: Decimal | None = None
    language: str | None = None
    delete_after: date | None = None
    questions_asked: bool = False
    own_questions: Mapping[str, str] = field(default_factory=dict)
    """The teacher's own questions for the class, by the wall's step."""
    bench_plans: tuple[BenchPlanLine, ...] = ()
    kits: tuple[BenchKitLine, ...] = ()
    """The department's pieces that the benches have."""
    typed: Mapping[str, str] = field(default_factory=dict)

    def for_bench(self, number: int) -> BenchPlanLine:
        """The plan's line for a bench, filled up with the practical's own values (mass may stay None)."""
        line = self.own_line(number)
        return replace(
            line,
            tube_length_m=self.tube_length_m if line.tube_length_m is None else line.tube_length_m,
            end_allowance_m=self.end_allowance_m if line.end_allowance_m is None else line.end_allowance_m,
            inversions=line.inversions or self.inversions,
            thermometer_step_K=line.thermometer_step_K or self.thermometer_step_K,
        )

    def own_line(self, number: int) -> BenchPlanLine:
        """What the plan gives this bench alone, with what its pieces of kit say where nothing was typed.

        A length or a step that is the class's own was not typed for the bench. A tube gives its bench an end
        allowance where the shot's mass is planned and bore and caps are known: the caps, and how deep that
        shot settles.
        """
        line = next((line for line in self.bench_plans if line.number == number), BenchPlanLine(number))
        kit = self.kit_of(number)
        length = typed_else(line.tube_length_m, self.tube_length_m, kit.tube_length_m)
        step = typed_else(line.thermometer_step_K, self.thermometer_step_K, kit.thermometer_step_K)
        return replace(
            line,
            tube_length_m=length,
            end_allowance_m=self._allowance_in(kit, line),
            thermometer_step_K=None if step == self.thermometer_step_K else step,
            ice_point_C=kit.ice_point_C if line.ice_point_C is None else line.ice_point_C,
        )

    def kit_of(self, number: int) -> BenchKitLine:
        """The pieces of a bench; none where the plan names none."""
        return next((kit for kit in self.kits if kit.number == number), BenchKitLine(number))

    def _allowance_in(self, kit: BenchKitLine, line: BenchPlanLine) -> Decimal | None:
        if kit.bore_m is None or kit.caps_m is None or line.shot_mass_kg is None:
            return line.end_allowance_m
        density = MATERIALS[self.material].density_kg_per_m3
        depth = settled_depth(float(line.shot_mass_kg), float(kit.bore_m), density)
        return kit.caps_m + Decimal(f"{depth:.3f}")

    def count_of_run(self, number: int, run: int) -> int:
        """The count planned for this run of a bench, its first being 1."""
        line = self.for_bench(number)
        return count_of_run(line.inversions or self.inversions, line.second_inversions, run)

    @property
    def thermometers_differ(self) -> bool:
        """Whether the benches have different thermometers: each is then asked what its own shows in ice."""
        lines = [self.for_bench(number) for number in range(1, self.planned_benches + 1)]
        return len({line.thermometer_step_K for line in lines}) > 1

    def typical_run(self, number: int, run: int, own_ice_point_C: Decimal | None = None) -> TypicalRun:
        """What the readings of this run of a bench are held against when one looks unlikely.

        Start and room are what the bench's own thermometer shows of them: higher by what it shows in melting
        ice, as the bench read it, else as the plan gives it.
        """
        line = self.for_bench(number)
        high = line.ice_point_C if own_ice_point_C is None else own_ice_point_C
        start = self.room_temperature_C if line.start_temperature_C is None else line.start_temperature_C
        bore = self.kit_of(number).bore_m
        return TypicalRun(
            shot_mass_kg=_float(line.shot_mass_kg),
            tube_length_m=_float(line.tube_length_m),
            inversions=float(self.count_of_run(number, run)),
            start_temperature_C=_shown(start, high),
            room_temperature_C=_shown(self.room_temperature_C, high),
            heat_capacity_J_per_kg_K=float(self.accepted_J_per_kg_K),
            density_kg_per_m3=MATERIALS[self.material].density_kg_per_m3,
            bore_m=_float(self.bore_m if bore is None else bore),
        )


def _shown(true_C: Decimal | None, high: Decimal | None) -> float | None:
    return None if true_C is None else float(true_C + (high or 0))


def _float(value: Decimal | int | None) -> float | None:
    return None if value is None else float(value)


WITHOUT_FIGURES = ("own_questions", "bench_plans", "kits")
"""Parts of a plan of which the history says only that they changed."""
PLAN_COLUMNS = tuple(name for name in Plan.__dataclass_fields__ if name not in (*WITHOUT_FIGURES, "typed"))
"""What a plan has one figure or word for."""


@dataclass(frozen=True)
class PracticalDetails:
    """One practical as its teacher sees it."""

    practical_id: int
    department_id: int
    teacher_id: int
    teacher_name: str
    department_name: str
    plan: Plan
    state: PracticalState
    join_code: str | None
    wifi_name: str | None
    created_at: datetime
    opened_at: datetime | None
    finished_at: datetime | None
    board_step: BoardStep
    board_paused: bool
    bench_results_shown: bool
    is_demo: bool
    revision: int
    presence: int

    @property
    def title(self) -> str:
        """Class and occasion."""
        return self.plan.title


_WITH_NAMES = (
    select(Practical)
    .where(Practical.id == bindparam("practical_id"))
    .options(joinedload(Practical.teacher), joinedload(Practical.department))
)


def practical_with_names(session: Session, practical_id: int) -> Practical | None:
    """A practical's row with the names that `details_of` reads, in one statement."""
    return session.scalar(_WITH_NAMES, {"practical_id": practical_id})


def details_of(practical: Practical) -> PracticalDetails:
    """The frozen picture of a practical's row and its plan's lines."""
    kits = sorted(practical.bench_kits, key=attrgetter("number"))
    return picture_of(
        PracticalDetails,
        practical,
        practical_id=practical.id,
        teacher_name=practical.teacher.name,
        department_name=practical.department.name,
        plan=plan_of(practical, map(kit_of_row, kits)),
    )


def plan_of(practical: Practical, kits: Iterable[BenchKitLine]) -> Plan:
    """The plan in a practical's row, with these kits of its benches."""
    lines = sorted(practical.bench_plans, key=attrgetter("number"))
    return picture_of(
        Plan,
        practical,
        own_questions=dict(practical.own_questions or {}),
        bench_plans=tuple(picture_of(BenchPlanLine, line) for line in lines),
        kits=tuple(kits),
        typed=dict(practical.typed),
    )


def picture_of(kind: type[T], row: Base, **more: Any) -> T:
    """A frozen picture of a row: each field from the column of its name, but for those given here."""
    names = kind.__dataclass_fields__.keys() - more.keys()
    return kind(**{name: getattr(row, name) for name in names}, **more)
