"""The whole process table of a tank, put together from its parts.

Order matters to the integrator: what feeds the water comes first, what takes from it last, so that the
limiter only acts on a real shortage.
"""

from __future__ import annotations

from lentic.engine.table import Auxiliary, Table
from lentic.model.components import components
from lentic.model.parameters import parameter_names
from lentic.model.processes_algae import CARBON_USER, algae_auxiliaries, algae_gains, algae_losses
from lentic.model.processes_animals import animal_processes, gut_auxiliaries
from lentic.model.processes_filter import filter_auxiliaries, nitrifier_processes, rotting_processes
from lentic.model.processes_gas import (
    HYDROGEN,
    STIFFNESS,
    acid_auxiliaries,
    carbon_return,
    gas_in,
    gas_out,
    heat_processes,
    light_auxiliaries,
    water_auxiliaries,
)
from lentic.model.processes_plants import carbon_user, plant_auxiliaries, plant_gains, plant_losses
from lentic.model.schedule import DRIVERS

CONSERVED = ("COD", "C", "N", "P", "charge")
"""What every row must close."""


def build_table(plant_slots: int) -> Table:
    """Process table of a tank with room for a number of kinds of plants.

    Parameters
    ----------
    plant_slots : int
        How many kinds of plant the tank can hold, 0 or more.

    Returns
    -------
    Table
        Components, processes, auxiliaries, the hydrogen ion and what bounds the fastest rates.
    """
    slots = range(1, plant_slots + 1)
    return Table(
        name="tank",
        components=components(plant_slots),
        processes=(
            *heat_processes(),
            *gas_in(),
            *animal_processes(),
            *rotting_processes(),
            *(row for j in slots for row in plant_losses(j)),
            *algae_losses(),
            *nitrifier_processes(),
            *algae_gains(),
            *(row for j in slots for row in plant_gains(j)),
            *gas_out(),
        ),
        auxiliaries=_auxiliaries(plant_slots),
        parameters=parameter_names(plant_slots),
        drivers=DRIVERS,
        implicit=HYDROGEN,
        conserved=CONSERVED,
        stiffness=STIFFNESS,
    )


def _auxiliaries(plant_slots: int) -> tuple[Auxiliary, ...]:
    slots = range(1, plant_slots + 1)
    respiration = Auxiliary(
        name="plant_respiration_warmth",
        expression="exp(plant_warming*(temperature - 20.0))",
        unit="-",
        meaning="plant respiration against 20 °C",
    )
    return (
        *water_auxiliaries(),
        *acid_auxiliaries(),
        *light_auxiliaries(plant_slots),
        *gut_auxiliaries(),
        *filter_auxiliaries(),
        *((respiration,) if plant_slots else ()),
        *(row for j in slots for row in plant_auxiliaries(j)),
        *algae_auxiliaries(plant_slots),
        carbon_return((CARBON_USER, *(carbon_user(j) for j in slots))),
    )
