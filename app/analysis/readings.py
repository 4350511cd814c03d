"""What an analysis starts from: the readings of a class's runs, and what the class shares."""

from __future__ import annotations

from dataclasses import dataclass

from app.physics.energy import STANDARD_GRAVITY_M_PER_S2
from app.physics.run import LabelledReadings


@dataclass(frozen=True)
class RunReadings(LabelledReadings):
    """One run as read at the bench, in SI units (temperatures in °C).

    The `planned_` three are what the teacher's plan gave this bench; None where it was given no numbers of
    its own. `start_read_in` and `end_read_in` are the units that the thermometer was read in (°C, °F or K);
    empty where nobody knows, as in a run table. `thermometer_step_K` is that of the bench's own thermometer;
    None where it is the class's. `ice_point_C` is what that thermometer shows in melting ice, so by how much
    it is high: `above_room` of the fit takes it off where the run is held against the room, and the warming,
    a difference of two of its readings, is the same with and without. None where nobody read it.
    """

    set_aside: bool = False
    planned_shot_mass_kg: float | None = None
    planned_tube_length_m: float | None = None
    planned_inversions: float | None = None
    start_read_in: str = ""
    end_read_in: str = ""
    thermometer_step_K: float | None = None
    ice_point_C: float | None = None


@dataclass(frozen=True)
class ClassSettings:
    """What the class shares. `accepted_J_per_kg_K` comes from a cited table or is typed by the teacher.

    `u_accepted_J_per_kg_K` is its standard uncertainty (tables differ, alloys are ranges); 0: taken as exact.
    `thermometer_scale` and `common_technique` are relative standard uncertainties of what all benches share:
    how well the thermometers' kelvin is known (their data sheet), and how far everybody may fall short of the
    full fall.

    `thermometer_step_K` and `length_sd_m` are those of a school's digital thermometer and metre rule (common
    practice, no source).
    """

    accepted_J_per_kg_K: float
    accepted_source: str = ""
    material: str = "lead"
    gravity_m_per_s2: float = STANDARD_GRAVITY_M_PER_S2
    u_gravity_m_per_s2: float = 0.0
    thermometer_step_K: float = 0.1
    reading_sd_K: float = 0.0
    length_sd_m: float = 0.002
    room_temperature_C: float | None = None
    u_accepted_J_per_kg_K: float = 0.0
    thermometer_scale: float = 0.005  # a school thermometer's data sheet; from memory
    common_technique: float = 0.01  # nobody turns perfectly: our own choice
