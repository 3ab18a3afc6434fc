"""All lamps of a tank: ultraviolet at the shell, basking place, plants, dark time, and what is due."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from lentic.advice.basking import basking_of, mounting_of
from lentic.advice.findings import Finding, ask, sorted_findings
from lentic.advice.growing import record_of
from lentic.advice.lighting import PlantLight, day_outdoors, plant_light_of, rhythm_of, wants_of
from lentic.advice.uvb import ALWAYS, USES, Ultraviolet, band_of, ultraviolet_of
from lentic.logbook.events import Event
from lentic.logbook.tank import Tank


@dataclass(frozen=True, kw_only=True)
class Lamps:
    """What is known of the light of a tank; findings with the most pressing first."""

    tank: str
    day: date
    ultraviolet: tuple[Ultraviolet, ...]
    basking: tuple[Finding, ...]
    plants: tuple[PlantLight, ...]
    findings: tuple[Finding, ...]
    always: str = ALWAYS


def lamps_of(tank: Tank, events: Sequence[Event], today: date) -> Lamps:
    """Return how the lamps of a tank stand on a day."""
    records = list({record.id: record for turtle in tank.turtles if (record := record_of(turtle))}.values())
    band = band_of(records) if len(records) else None
    sources = [lamp for lamp in tank.lamps if lamp.use in USES]
    ultraviolet = [ultraviolet_of(tank, events, lamp, band, today, alone=len(sources) == 1) for lamp in sources]
    findings: list[Finding] = []
    if tank.turtles and not sources:
        findings.append(ask("ultraviolet", "Which lamp gives ultraviolet B, or does the animal get real sun outdoors?"))
    lights = [plant_light_of(tank, events, lamp) for lamp in tank.lamps if lamp.use == "plants"]
    plants = [each for each in lights if isinstance(each, PlantLight)]
    findings += [each for each in lights if isinstance(each, Finding)]
    for light in plants:
        findings += wants_of(tank, light)
    findings += rhythm_of(tank, events)
    findings += mounting_of(tank.lamps)
    findings.append(day_outdoors(tank, today))
    return Lamps(
        tank=tank.name, day=today, ultraviolet=tuple(ultraviolet), plants=tuple(plants),
        basking=basking_of(tank, events, records) if tank.turtles else (), findings=sorted_findings(findings),
    )  # fmt: skip
