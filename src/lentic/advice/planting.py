"""Would this plant live here, what share of the waste would it take, and would the turtle let it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Final

from lentic.advice.company import ASK_FIRST, EDGES, NO, Here, here_of, law_of
from lentic.advice.estimate import Estimate, exactly
from lentic.advice.hazards.law import listed
from lentic.advice.ranged import Said, combined, multiplied, of_fact, said
from lentic.advice.ration import age_class
from lentic.advice.words import number
from lentic.catalogue import Animal, Fact, Lamp, Plant, common, lamps, resolve
from lentic.logbook import own
from lentic.logbook.events import Event, LostPlant, Planted, Thin
from lentic.logbook.tank import Fixture, Tank
from lentic.science.constants import MG_PER_G, WEEK_D
from lentic.science.kinetics import light_jassby_platt

CM2_PER_M2 = 1e4
ASKED_G: Final = 100.0
"""Wet mass looked at where none is named and none grows here. [g]"""
WATER_SHARE: Final = (0.3, 0.6)
"""Share of a lamp's photons that reaches the water; common practice, no source."""
HALF_GRAZED_G: Final = 10.0
"""Dry plant at which a turtle finds half of what it could eat; a model value, no source."""
CUT_SHARE: Final = 0.7
"""A thinning of more than this share of what stands counts as a cut; common practice, no source."""
THINNED_BACK: Final = timedelta(days=56)
LEAST_THINNED_D: Final = 5.0
FEWEST_THINNINGS: Final = 2
"""So many thinnings in that time make a habit; common practice, no source."""
HARD_FROM_DGH: Final = 12.0
"""GH from which a plant that does poorly in hard water is warned of; common practice, no source."""

OUT_OF_REACH = "Only out of the turtle's reach"
EATEN = "It would be eaten: behind a screen or in a tub of its own"
DIM = "Not under this lamp"
CAREFUL = "Yes, while the turtle leaves it alone"
YES = "Yes"


@dataclass(frozen=True, kw_only=True)
class Planting:
    """Whether a plant would live here, what it takes of the waste, and how much of it is enough or too much."""

    id: str
    name: str
    scientific: str
    grams: Estimate
    answer: str
    why: str
    light: Estimate | None
    growth: Estimate | None
    uptake: Estimate | None
    share: Estimate | None
    enough: Estimate | None
    most: Estimate | None
    thin: Estimate | None
    grazed: Estimate | None
    against: tuple[Said, ...]
    notes: tuple[Said, ...]
    law: tuple[Said, ...]
    unknown: tuple[str, ...]


def planting_of(
    record: Plant, tank: Tank, events: Sequence[Event], now: datetime, grams: float | None = None
) -> Planting:
    """Return whether a plant of the catalogue would live here; `grams` is its wet mass, else what grows here."""
    past = [event for event in events if event.time <= now]
    here = here_of(tank, past, now)
    wet = _wet(record, tank, past, now, grams)
    dry = own.dry_fraction(tank, record.id) or record.dry_fraction
    light = plant_light(tank, past)
    thinned = own_thinned(record, past, now) if grams is None else None
    growth = _own_growth(thinned, wet) if thinned else growth_here(record, light, _hours(tank))
    uptake = _uptake(record, wet, dry, growth)
    load = _load(here)
    per_gram = _uptake(record, exactly(1.0, "g", ""), dry, growth)
    grazed = grazing(record, tank, past, now, wet)
    against = _against(record, here, light)
    answer, why = _answer(record, tank, against, wet.value * growth.value if growth else None, grazed)
    return Planting(
        id=record.id, name=record.name, scientific=record.scientific, grams=wet, answer=answer, why=why, light=light,
        growth=growth, uptake=uptake, share=_share(uptake, load), enough=_enough(per_gram, load),
        most=_most(record, tank, dry, per_gram, load), thin=thinned or _thinned(wet, growth), grazed=grazed,
        against=tuple(against), notes=tuple(_notes(record, wet, per_gram, load)), law=law_of(record, tank),
        unknown=_unknown(light, growth, load, grazed),
    )  # fmt: skip


def _wet(record: Plant, tank: Tank, events: Sequence[Event], now: datetime, grams: float | None) -> Estimate:
    if grams is not None:
        return exactly(grams, "g wet", "as you say")
    standing, held = 0.0, False
    for plant in tank.plants:
        if plant.wet_g is not None and resolve("plant", plant.species) is record:
            standing, held = standing + plant.wet_g, True
    for event in sorted(events, key=lambda each: each.time):
        if isinstance(event, Planted | LostPlant | Thin) and resolve("plant", event.species) is record:
            standing, held = _after(event, standing), True
    if held:
        return exactly(standing, "g wet", "as described, with what was planted, cut and lost since; growth not counted")
    return exactly(ASKED_G, "g wet", "a round amount to look at")


def _after(event: Planted | LostPlant | Thin, standing: float) -> float:
    """Return the wet mass after an event; an ordinary thinning only takes what had grown."""
    if isinstance(event, Planted):
        return standing + event.grams
    if isinstance(event, Thin) and event.grams <= CUT_SHARE * standing:
        return standing
    return max(standing - event.grams, 0.0)


def own_thinned(record: Plant, events: Sequence[Event], now: datetime) -> Estimate | None:
    """Return what this keeper thins of a plant a week, from the first thinning of the last weeks to the last one.

    What the first one took had grown before it, so it only starts the clock. None with too few thinnings.
    """
    found = [
        event
        for event in sorted(events, key=lambda each: each.time)
        if isinstance(event, Thin) and now - THINNED_BACK <= event.time and resolve("plant", event.species) is record
    ]
    days = (found[-1].time - found[0].time).total_seconds() / 86400.0 if found else 0.0
    if len(found) < FEWEST_THINNINGS or days < LEAST_THINNED_D:
        return None
    origin = f"your own log, {len(found)} thinnings in {days / WEEK_D:.0f} weeks"
    return exactly(WEEK_D * sum(event.grams for event in found[1:]) / days, "g wet a week", origin)


def _own_growth(thinned: Estimate, wet: Estimate) -> Estimate | None:
    """Return the growth of a stand that holds its size: what is thinned of it."""
    if wet.value <= 0.0:
        return None
    return exactly(thinned.value / WEEK_D / wet.value, "a day", thinned.origin)


def plant_light(tank: Tank, events: Sequence[Event]) -> Estimate | None:
    """Return the plant light at the water: measured, else described, else from the watts of the lamps, else unknown."""
    measured = own.measured_light(tank, events)
    if measured is not None:
        return replace(of_fact(measured), origin=f"your own {measured.source}")
    fixtures = [lamp for lamp in tank.lamps if lamp.use == "plants"]
    if fixtures and all(lamp.ppfd is not None for lamp in fixtures):
        total = sum(lamp.ppfd or 0.0 for lamp in fixtures)
        return exactly(total, "µmol/m²/s", "your own value in tank.toml")
    glass = tank.glass
    if not fixtures or glass.length_cm is None or glass.width_cm is None:
        return None
    parts = [_from_watts(lamp, glass.length_cm * glass.width_cm / CM2_PER_M2) for lamp in fixtures]
    known = [part for part in parts if part is not None]
    if len(known) < len(parts):
        return None
    return Estimate(
        low=sum(p.low for p in known), value=sum(p.value for p in known), high=sum(p.high for p in known),
        unit="µmol/m²/s", origin=known[0].origin, source=known[0].source,
    )  # fmt: skip


def _from_watts(fixture: Fixture, area: float) -> Estimate | None:
    if fixture.ppfd is not None:
        return exactly(fixture.ppfd, "µmol/m²/s", "your own value in tank.toml")
    named = fixture.lamp_class or ""
    record = lamps().get(named) or resolve("lamp", named)
    photons = record.photons_per_joule if isinstance(record, Lamp) else None
    watts = fixture.watts
    if photons is None or watts is None:
        return None
    reach = Estimate(low=WATER_SHARE[0], value=sum(WATER_SHARE) / 2.0, high=WATER_SHARE[1], unit="", origin="")
    return combined(
        lambda per, share: watts * per * share / area, of_fact(photons), reach, unit="µmol/m²/s",
        origin=f"estimate from the watts of the lamp, {photons.origin}", source=photons.source,
    )  # fmt: skip


def _hours(tank: Tank) -> float | None:
    hours = [lamp.hours for lamp in tank.lamps if lamp.use == "plants" and lamp.hours is not None]
    return max(hours, default=None)


def growth_here(record: Plant, light: Estimate | None, hours: float | None) -> Estimate | None:
    """Return growth a day under this light: the usual growth of the kind, less where the light is less."""
    fact = record.fact("rgr_per_day_typical")
    if fact is None or light is None:
        return None
    facts = common("plants")
    usual, usual_hours = facts["usual_light_share"].middle, facts["usual_light_hours"].middle
    floats = record.plant_class.air_leaves
    left = exactly(1.0, "", "") if floats else of_fact(facts["light_left_in_water"])
    day = (usual_hours if hours is None else hours) / usual_hours

    def grown(rate: float, lamp: float, through: float) -> float:
        share = float(light_jassby_platt(lamp * through, record.plant_class.ik)) / usual * day
        return rate * min(share, 1.0)

    origin = f"usual growth of its kind ({fact.origin}), cut to this light ({light.origin})"
    return combined(grown, of_fact(fact), light, left, unit="a day", origin=origin, source=fact.source)


def _uptake(record: Plant, wet: Estimate, dry: Fact, growth: Estimate | None) -> Estimate | None:
    tissue = record.fact("tissue_N_pct_dw")
    if tissue is None or growth is None:
        return None
    start = growth.origin if growth.origin.startswith("your own") else "estimate"
    origin = f"{start}; nitrogen in it: {tissue.origin}"
    return multiplied(
        wet, of_fact(dry), growth, of_fact(tissue), factor=MG_PER_G / 100.0, unit="mg N a day", origin=origin,
        source=tissue.source,
    )  # fmt: skip


def _load(here: Here) -> Estimate | None:
    """Return nitrogen that reaches the water a day."""
    if here.nitrogen is None:
        return None
    share = of_fact(common("foods")["n_to_water_share"])
    return multiplied(here.nitrogen, share, unit="mg N a day", origin=here.nitrogen.origin)


def _share(uptake: Estimate | None, load: Estimate | None) -> Estimate | None:
    if uptake is None or load is None or load.low <= 0.0:
        return None
    came = Estimate(low=1.0 / load.high, value=1.0 / load.value, high=1.0 / load.low, unit="", origin="")
    found = multiplied(uptake, came, factor=100.0, unit="", origin="")
    low, middle, high = (min(each, 100.0) for each in (found.low, found.value, found.high))
    return Estimate(low=low, value=middle, high=high, unit="% of the waste nitrogen", origin=uptake.origin)


def _enough(per_gram: Estimate | None, load: Estimate | None) -> Estimate | None:
    """Return the wet mass that takes the share of the waste worth having, from its least to its most."""
    if per_gram is None or load is None or per_gram.value <= 0.0:
        return None
    low, high = (edge / 100.0 for edge in common("plants")["useful_share_of_waste_pct"].bounds)
    grams = load.value / per_gram.value
    return Estimate(
        low=low * grams, value=(low + high) / 2.0 * grams, high=high * grams, unit="g wet",
        origin=f"takes {100 * low:.0f} to {100 * high:.0f} % of the waste; its own growth may be off by half or double",
    )  # fmt: skip


def _most(record: Plant, tank: Tank, dry: Fact, per_gram: Estimate | None, load: Estimate | None) -> Estimate | None:
    """Return the wet mass above which more of it only rots: all the waste, or the crowd the surface carries."""
    glass = tank.glass
    limits: list[tuple[float, str]] = []
    if per_gram is not None and load is not None and per_gram.value > 0.0:
        limits.append((load.value / per_gram.value, "takes all the waste there is"))
    if glass.length_cm is not None and glass.width_cm is not None:
        area = glass.length_cm * glass.width_cm / CM2_PER_M2
        limits.append((record.plant_class.cap * area / dry.middle, "crowds itself out on this surface"))
    if not limits:
        return None
    grams, why = min(limits)
    return Estimate(low=0.6 * grams, value=grams, high=1.6 * grams, unit="g wet", origin=f"about there it {why}")


def _thinned(wet: Estimate, growth: Estimate | None) -> Estimate | None:
    if growth is None:
        return None
    return combined(lambda grams, rate: WEEK_D * grams * rate, wet, growth, unit="g wet a week", origin=growth.origin)


def grazing(record: Plant, tank: Tank, events: Sequence[Event], now: datetime, wet: Estimate) -> Estimate | None:
    """Return what the turtles may eat of it a day [g wet]; None where size, species or palatability is unknown."""
    taste = record.fact("palatability")
    if taste is None or not tank.turtles:
        return None
    facts, dry = common("plants"), own.dry_fraction(tank, record.id) or record.dry_fraction
    level = "low" if taste.text == "low" else "high" if "high" in taste.text else "medium"
    liking, greed = of_fact(facts[f"grazing_share_{level}"]), of_fact(facts["grazing_g_dry_per_g_day"])
    eaters = 0.0
    for turtle in tank.turtles:
        kind = resolve("turtle", turtle.species or "")
        mass = turtle.mass_g
        if not isinstance(kind, Animal) or mass is None:
            return None
        young = age_class(turtle, kind, events, now)[0] == "juvenile"
        diet = kind.fact("diet_animal_pct_hatchling" if young else "diet_animal_pct_adult")
        eaters += mass * (1.0 - (diet.middle if diet else 50.0) / 100.0)
    stand = wet.value * dry.middle
    found = stand / (stand + HALF_GRAZED_G)
    return combined(
        lambda g, like: eaters * g * like * found / dry.middle, greed, liking, unit="g wet a day",
        origin=f"estimate from its mass and diet, {greed.origin}", source=greed.source,
    )  # fmt: skip


def _against(record: Plant, here: Here, light: Estimate | None) -> list[Said]:
    found: list[Said] = []
    warm = record.temperature
    if warm is not None and here.temperature is not None:
        low, high = warm.bounds
        if not low - EDGES["water"] <= here.temperature.value <= high + EDGES["water"]:
            shown = f"{number(here.temperature.value)} °C ({here.temperature.origin})"
            text = f"Water here {shown}; it does well at {warm.text} °C."
            found.append(said(text, warm))
    hard = record.fact("hard_water")
    if hard is not None and hard.text == "poor" and here.hardness and here.hardness.value > HARD_FROM_DGH:
        found.append(said(f"It does poorly in hard water; GH here is {number(here.hardness.value)} dGH.", hard))
    least = record.fact("ppfd_min_umol")
    if least is not None and light is not None and light.high < least.middle:
        found.append(said(f"Light here {light.told}; it wants at least {least.text} {least.unit}.", least))
    return found


def _answer(
    record: Plant, tank: Tank, against: Sequence[Said], grown: float | None, grazed: Estimate | None
) -> tuple[str, str]:
    """Return the answer and the one thing that decides it."""
    if listed(record, tank.country):
        return ASK_FIRST, "A note on law names a list that may hold where you live."
    if against:
        dim = against[0].text.startswith("Light here")
        return (DIM if dim else NO), against[0].text
    safety = record.words("safety")
    if "out of reach" in safety or "not as food" in safety:
        return OUT_OF_REACH, f"{safety.capitalize()}."
    if grazed is not None and grown is not None and grazed.value > grown:
        text = f"The turtle may eat {grazed.text}; {number(grown)} g a day grow."
        return EATEN, text
    lasts = record.fact("survives_turtle")
    if lasts is not None and lasts.middle <= 1.0 and "high" in record.words("palatability"):
        return EATEN, "Keepers find that it does not outlast a turtle."
    if safety.startswith("caution"):
        return CAREFUL, f"{safety.capitalize()}."
    return YES, "Water, light and teeth leave it room."


def _notes(record: Plant, wet: Estimate, per_gram: Estimate | None, load: Estimate | None) -> list[Said]:
    found = []
    for key, words in (
        ("safety", "As food"), ("safety_detail", "As food, more"), ("crystals", "Crystals"),
        ("palatability", "Liked by turtles"), ("biosecurity", "Before it comes in"), ("notes", "Notes"),
    ):  # fmt: skip
        fact = record.fact(key)
        if fact is not None:
            text = fact.text if fact.text != "safe" else "no harm to turtles known"
            found.append(said(f"{words}: {text.rstrip('.')}.", fact))
    if per_gram is not None and load is not None and wet.value * per_gram.value > load.value:
        fact = common("plants")["too_much_plant"]
        lines = fact.value if isinstance(fact.value, tuple) else (fact.text,)
        found += [said(line, fact) for line in lines]
    found.append(
        Said(
            text="What is thinned or dies goes into the household waste, dried: never into water outside.",
            origin="rule",
        )
    )
    return found


def _unknown(
    light: Estimate | None, growth: Estimate | None, load: Estimate | None, grazed: Estimate | None
) -> tuple[str, ...]:
    found = []
    if light is None:
        found.append("the plant light at the water (log a reading: ppfd 90)")
    elif growth is None:
        found.append("how fast this plant grows")
    if load is None:
        found.append("how much the turtle eats")
    if grazed is None:
        found.append("how much of it the turtle would eat")
    return tuple(found)
