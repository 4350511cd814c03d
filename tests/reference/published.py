"""Worked examples of this practical as exam boards, universities and textbooks printed them.

The figures stand as printed; temperatures that a source does not print are counted from 20 °C upwards.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Example:
    """What a source gives, and what it prints as the answer at the precision of its last digit.

    `energy_J` is the printed energy of `energy_falls` falls. `accepted_J_per_kg_K` is the source's own
    specific heat capacity where it prints one, otherwise lead's in the CRC Handbook's table (26.4 J/(mol·K)
    over 207.2 g/mol, 127.4).
    """

    name: str
    source: str
    mass_g: str
    fall_cm: str
    inversions: str
    end_C: str
    gravity: str
    energy_J: float
    energy_falls: int
    energy_digit: float
    c_J_per_kg_K: float
    accepted_J_per_kg_K: str = "127.4"
    step_K: str = "0.1"
    start_C: str = "20.0"


EXAMPLES = (
    Example(
        "exam paper of a falling-shot tube",
        "Cambridge International, O Level Physics 5054/22, May/June 2022, question 2: 1.8 J a fall; "
        "c = 80 × 1.8 J / (0.150 kg × 7.0 °C) = 137 J/(kg °C)",
        mass_g="150", fall_cm="120", inversions="80", end_C="27.0", gravity="10",
        energy_J=1.8, energy_falls=1, energy_digit=0.1, c_J_per_kg_K=137.0,
    ),
    Example(
        "school question of a tube of lead shot",
        "A-level question shown at cyberphysics.co.uk, specific heat capacity, Q9: 25 g, 50 inversions, "
        "14.7 J, 131 J/(kg K); the length 1.2 m and the warming 4.5 K are from memory",
        mass_g="25", fall_cm="120", inversions="50", end_C="24.5", gravity="9.81",
        energy_J=14.7, energy_falls=50, energy_digit=0.1, c_J_per_kg_K=131.0,
    ),
    Example(
        "lecture demonstration",
        "University of British Columbia, physics demonstration “conversion of work to heat”: 1 kg, 1 m, "
        "50 turns, 490 J, about 3.9 °C; 490 J / (1 kg × 3.9 °C) = 126 J/(kg °C)",
        mass_g="1000", fall_cm="100", inversions="50", end_C="23.9", gravity="9.81",
        energy_J=490.0, energy_falls=50, energy_digit=1.0, c_J_per_kg_K=126.0,
    ),
    Example(
        "school exercise",
        "school exercise, lead shot, 1 m, 50 times, c 128, g 9.8: prints 3.84 °C, where its own figures give "
        "3.83 (490/128 = 3.828); mass invented, it cancels",
        mass_g="500", fall_cm="100", inversions="50", end_C="23.83", gravity="9.8",
        energy_J=9.8 * 0.5, energy_falls=1, energy_digit=0.01, c_J_per_kg_K=128.0,
        accepted_J_per_kg_K="128", step_K="0.01",
    ),
)  # fmt: skip

STUDENT_REPORT = (("150", "19.4", "21.8"), ("200", "19.9", "21.8"), ("250", "19.8", "22.8"))
"""Inversions, start and end in °C of a published student's report: aluminium shot in a cardboard tube, fall
0.9 m, shot chilled about 3 K below the room and the tube not. It prints no mass."""
