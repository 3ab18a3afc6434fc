"""Heat, level, air and filter as text."""

from __future__ import annotations

from lentic.advice.air import Air
from lentic.advice.filtering import FilterState
from lentic.advice.heat_wave import HeatDay
from lentic.advice.level import Level
from lentic.advice.words import day_words, number, ranged
from lentic.cli.show_findings import finding_lines
from lentic.keeper.slow import FilterView, Warmth


def heat_lines(view: Warmth) -> list[str]:
    """Return the warmth of a tank."""
    heat = view.heat
    found = [
        f"{heat.tank}: it loses {heat.loss.told}.",
        f"Left alone it is two thirds of the way to the room after {heat.constant.text}.",
        f"On the coldest night, {heat.coldest_c:.0f} °C, it needs {heat.needed.text}.",
        "Without power, from now:",
    ]
    found += [f"  after {hours:.0f} hours {estimate.text}" for hours, estimate in heat.clock]
    found += [f"Heat takes {heat.year.text}, if the room stays as it is."] if heat.year else []
    found += [f"That costs {heat.cost.text}."] if heat.cost else []
    found += (
        [f"A close lid would save about {heat.lid_saves.text}; basking and air need their opening."]
        if heat.lid_saves
        else []
    )
    return [*found, *finding_lines(heat.findings), *_day_lines(view.hot_day)]


def _day_lines(day: HeatDay | None) -> list[str]:
    if day is None:
        return []
    found = ["", day.sentence]
    found += [f"  {each}" for each in day.measures]
    found += [
        f"  {hour.clock:02}:00 room {hour.room_c:.1f} °C, water {hour.water_c:.1f} °C (without {hour.alone_c:.1f} °C)"
        + (f": {'; '.join(hour.do)}" if hour.do else "")
        for hour in day.hours
        if hour.clock % 3 == 0 or hour.do
    ]
    return [*found, f"About {number(day.top_up_l)} L evaporate that day; top up with conditioned water."]


def level_lines(view: Level) -> list[str]:
    """Return the level and lime of a tank."""
    found = [f"{view.tank}: evaporation {view.evaporation.told}."]
    if view.mm_a_day is not None:
        found.append(f"The water falls by {view.mm_a_day.text}.")
    if view.mark is not None:
        early, middle, late = view.mark
        told = f"The mark is reached about {day_words(middle)} (8 in 10: {day_words(early)} to {day_words(late)})"
        found.append(f"{told} if nobody tops up.")
    if view.concentration is not None:
        found.append(f"What stays behind settles at {view.concentration.text}.")
    if view.index is not None and view.index_heater is not None:
        found.append(
            f"Lime index {view.index.value:+.1f} in the water, {view.index_heater.value:+.1f} at the heater's skin."
        )
    return [*found, *finding_lines(view.findings)]


def air_lines(view: Air) -> list[str]:
    """Return the oxygen of a tank."""
    found = [
        f"{view.tank}: water of {view.temperature_c:.0f} °C in balance with the air holds {view.saturation:g} mg/L."
    ]
    found.append(
        f"Lowest dawn of the next four weeks: {ranged(view.dawn, 'mg/L')}."
        if view.dawn is not None
        else "Dawn cannot be forecast yet: that needs feeds in the log."
    )
    if view.canister is not None:
        found.append(f"A stopped closed canister is without oxygen after {view.canister.told}.")
    found += finding_lines(view.findings)
    found.append("Signs, and how to read them (common practice):")
    return [*found, *(f"  {sign.seen}: {sign.means}. {sign.do}" for sign in view.signs)]


def filter_lines(view: FilterView) -> list[str]:
    """Return what is known of a filter."""
    found = _state_lines(view.state)
    if view.outage is not None:
        found += finding_lines((view.outage,))
    if view.cycling is not None:
        low, middle, high = view.cycling.finished
        found.append(f"A young filter here may be done on day {middle} (8 in 10: {low} to {high}).")
        found += [
            f"  day {d.day:2}: ammonia {_band(d.ammonia)}, nitrite {_band(d.nitrite)} mg/L as N"
            for d in view.cycling.days[:43:7]
        ]
        state = "By the last two tests it is finished." if view.cycling.finished_by_tests else "It is not finished yet."
        found += [state, view.cycling.rule]
    return found


def _band(band: tuple[float, float, float]) -> str:
    return f"{number(band[1])} ({number(band[0])} to {number(band[2])})"


def _state_lines(state: FilterState) -> list[str]:
    found = [f"{state.tank}: the filter."]
    if state.load is not None:
        found.append(f"What reaches it: {state.load.told}.")
    if state.wanted_l is not None:
        found.append(f"Media for that, with room to spare: {state.wanted_l.told}.")
    return [*found, *finding_lines(state.findings)]
