"""The words of the lesson report."""

from __future__ import annotations

from app.physics.reading.ends import MEASURED_BY_BENCHES
from app.physics.run import QUANTITIES
from app.words import N_, Message

SAYS = {
    "rehearsal": Message(N_("Rehearsal: every run in this report was simulated.")),
    "made up": Message(N_("Made-up class: nothing in this report was measured.")),
    "no runs": Message(N_("No bench has sent a run yet.")),
    "set-up": Message(N_("Set-up")),
    "measured": MEASURED_BY_BENCHES,
    "result": Message(N_("Class result")),
    "figures": Message(N_("Figures")),
    "uncertainty": Message(N_("Where the uncertainty comes from")),
    "class budget": Message(N_("Where the class's uncertainty comes from")),
    "share of variance": Message(N_("of the variance / %%")),
    "specific heat moves": Message(
        N_(
            "The fit assumes beforehand that heat sink, leak and scatter are of the size that a school's"
            " tubes have. With these assumptions twice as wide, the specific heat capacity would move by"
            " %(percent)s %%."
        )
    ),
    "class value moves": Message(
        N_(
            "The fit assumes beforehand that heat sink, leak and scatter are of the size that a school's"
            " tubes have. With these assumptions twice as wide, the class value would move by %(percent)s %%."
        )
    ),
    "helps most": Message(N_("What would help most:")),
    "still wrong": Message(N_("What could still be wrong")),
    "budget": Message(N_("Where a run's uncertainty comes from")),
    "readings": Message(N_("Readings as typed")),
    "waiting": Message(N_("Not decided yet")),
    "marks": Message(N_("Beside a bench's number: ◎ flagged, ○ set aside.")),
    "given and used": Message(N_("What each bench was given and used")),
    "bench column": Message(N_("bench")),
    "second look": Message(N_("Runs that deserve a second look")),
    "decisions": Message(N_("Decisions and corrections")),
    "next time": Message(N_("What would improve it next time")),
    "no flags": Message(N_("No run is flagged.")),
    "no decisions": Message(N_("Nothing was set aside or corrected.")),
    "quantity": Message(N_("quantity")),
    "figure": Message(N_("figure")),
    "interval": Message(N_("95 %% interval")),
    "value of": Message(N_("class value of")),
    "counted": Message(N_("all counted runs")),
    "methods": Message(N_("The same runs pooled in other ways")),
    "method": Message(N_("method")),
    "spread": Message(N_("standard deviation")),
    "typical": Message(
        N_("The run is the one with the median warming: bench %(bench)s, run %(run)s, %(value)s J/(kg·K).")
    ),
    "source of u": Message(N_("source")),
    "u": Message(N_("standard uncertainty")),
    "unit": Message(N_("unit")),
    "share of u": Message(N_("makes / J/(kg·K)")),
    "why": Message(N_("why")),
    "when": Message(N_("when")),
    "what": Message(N_("what")),
    "reason": Message(N_("reason")),
    "reading": Message(N_("reading")),
    "before and after": Message(N_("before → after")),
    "words removed": Message(N_("(words removed)")),
    "who": Message(N_("by")),
    "bench": Message(N_("the bench")),
    "simulator": Message(N_("the simulator")),
}
DECIDED = {
    "set aside": Message(N_("set aside")),
    "counted": Message(N_("counted again")),
    "run corrected": Message(N_("corrected")),
}
COLUMNS = {
    "bench": Message(N_("bench")),
    "run": Message(N_("run")),
    "runs": Message(N_("runs")),
    "benches": Message(N_("benches")),
    "mass": Message(N_("mass")),
    "length": Message(N_("tube")),
    "off": Message(N_("ends")),
    "n": Message(N_("inversions")),
    "from": Message(N_("start")),
    "to": Message(N_("end")),
    "warm": Message(N_("warming / K")),
    "c": Message(N_("J/(kg·K)")),
    "error": Message(N_("percent error / %%")),
}
READ = {
    "shot_mass": COLUMNS["mass"],
    "tube_length": COLUMNS["length"],
    "end_allowance": COLUMNS["off"],
    "caps": Message(N_("caps")),
    "settled_depth": Message(N_("settled depth")),
    "inversions": COLUMNS["n"],
    "start_temperature": COLUMNS["from"],
    "end_temperature": COLUMNS["to"],
    "room_temperature": Message(N_("room")),
}
READ |= {name: Message(one.what) for name, one in QUANTITIES.items() if name not in READ}
"""What was read, by the name of its quantity; a quantity without a word of its own has that of its
declaration."""
GIVEN_AND_USED = {
    "mass": (Message(N_("shot given / g")), Message(N_("shot weighed / g"))),
    "tube": (Message(N_("tube given / cm")), Message(N_("tube measured / cm"))),
    "ends": (Message(N_("ends given / cm")), Message(N_("ends measured / cm"))),
    "start": (Message(N_("start given / °C")), Message(N_("start read / °C"))),
    "count": (Message(N_("inversions given")), Message(N_("inversions typed"))),
    "step": (Message(N_("thermometer step / K")),),
    "ice": (Message(N_("thermometer in ice / °C")),),
}
"""In the order of the columns: what the plan gives, and what the bench typed."""
FACTS = {
    "metal": Message(N_("Metal of the shot")),
    "accepted": Message(N_("Accepted specific heat capacity / J/(kg·K)")),
    "source": Message(N_("Source of the accepted value")),
    "accepted at": Message(N_("Temperature of the accepted value / °C")),
    "g": Message(N_("g / m/s²")),
    "g how": Message(N_("How g was found")),
    "tube": Message(N_("Tube length / cm")),
    "allowance": Message(N_("End allowance / cm")),
    "bore": Message(N_("Bore / mm")),
    "inversions": Message(N_("Inversions planned")),
    "step": Message(N_("Thermometer step / K")),
    "room": Message(N_("Room temperature / °C")),
    "benches": Message(N_("Benches planned")),
}
GRAVITY_HOW = {
    "standard": Message(N_("standard gravity")),
    "typed": Message(N_("typed by the teacher")),
    "latitude": Message(N_("normal gravity from latitude and height")),
}
SPREAD = {
    "repeatability": Message(N_("within a bench (repeatability)")),
    "between": Message(N_("between benches")),
    "reproducibility": Message(N_("of one run at any bench (reproducibility)")),
}
