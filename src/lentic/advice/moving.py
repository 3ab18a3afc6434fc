"""Moving house with a tank, and resealing it, as plans by the day; common practice throughout."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from lentic.advice.limits import has_fish
from lentic.advice.words import number
from lentic.logbook.tank import Tank

BOX_L = 60.0
"""Closed box for moving water; common practice, no source. [L]"""
OLD_WATER = (0.5, 0.7)
MOST_HOURS = 8


@dataclass(frozen=True, kw_only=True)
class Stage:
    """One stage of a plan with its day."""

    day: date
    do: str


@dataclass(frozen=True, kw_only=True)
class Schedule:
    """A plan by days; what it rests on stands in `needs`."""

    what: str
    needs: tuple[str, ...]
    stages: tuple[Stage, ...]


def move_of(tank: Tank, day: date) -> Schedule:
    """Return the plan of a move on a day."""
    litres, fish = tank.water_litres, has_fish(tank)
    needs = [
        "Two people and straps; the tank is carried empty, no gravel, no water.",
        f"For each turtle a closed box with air holes, damp towel, no water, 20 to 25 °C, at most {MOST_HOURS} h.",
    ]
    if fish and litres:
        low, high = (share * litres for share in OLD_WATER)
        boxes = f"{number(low / BOX_L)} to {number(high / BOX_L)}"
        needs.append(
            f"{number(low)} to {number(high)} L of old water for fish and media: {boxes} boxes of {BOX_L:g} L."
        )
    else:
        needs.append("A bucket of old water for the filter media; no more is needed without fish.")
    first = "Fish, then turtle into their boxes." if fish else "Turtle into its box."
    steps = [
        (-14, "At the new place: floor, sockets, breaker, wall; test the tap there (KH, nitrate, chlorine)."),
        (-7, "Usual change. No large clean and no new filter from now on; the filter's film is what moves."),
        *([(-3, "Fish get no food from today.")] if fish else []),
        (-1, "Turtle gets no food. Pack conditioner, thermometer, towels, test kits where they are at hand."),
        (0, f"Plugs out, heater cooled. {first} Media wet, in an open box with air, not "
            "sealed for more than an hour or two. Empty, carry, level the stand, foam if the maker wants it, fill, "
            "conditioner, same temperature; filter on first, then heater, then animals. The same day."),
        (1, "Ammonia and temperature. Look at the seams and the floor."),
        (7, "Ammonia, nitrite and KH daily until now; half the food for two weeks."),
        (14, "Full food if ammonia stayed below 0.3 mg/L as N. Weigh the turtle."),
    ]  # fmt: skip
    stages = tuple(Stage(day=day + timedelta(days=shift), do=do) for shift, do in steps)
    return Schedule(what="moving house", needs=tuple(needs), stages=stages)


def reseal_of(tank: Tank, day: date) -> Schedule:
    """Return the plan of resealing a glass tank from a day on."""
    if tank.glass.pane == "acrylic":
        return Schedule(what="resealing", stages=(), needs=(
            "Acrylic is welded, not sealed with silicone: ask the maker. No acetone near it.",))  # fmt: skip
    needs = (
        "Silicone without fungicide, acetone, blades with a handle, gloves, open windows, masking tape.",
        "For the animal a tub of at least shell width deep with a dry place, heater guarded, ultraviolet lamp; water "
        "changed whole and tempered every day. The filter runs on the tub, or its media lie in moving tank water.",
        "A rebuild, or seams between the panes themselves: a tank builder's work, or a new tank.",
    )
    steps = (
        (0, "Animal and filter to the tub. Empty, dry. Cut out the inner fillet only, never between the panes."),
        (1, "Clean the glass with acetone, no old silicone left: new does not hold on old. Tape, fillet, smooth."),
        (8, "Cured when no smell of vinegar is left: up to 7 days. Not filled earlier."),
        (9, "Wet test outdoors or in a tub room, full height, on the level, paper under the seams: 72 h."),
        (12, "Dry at every seam: empty, rinse twice, set up, condition, temper; filter first, animal last."),
        (19, "Look at the seams; ammonia and nitrite daily until now."),
    )  # fmt: skip
    stages = tuple(Stage(day=day + timedelta(days=shift), do=do) for shift, do in steps)
    return Schedule(what="resealing", needs=needs, stages=stages)
