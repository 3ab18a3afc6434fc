"""What a kit, a scale or an eye would see of a state: the only way from amounts to readings."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

import numpy as np
import numpy.typing as npt

from lentic.science.ammonia import unionised_share

Array = npt.NDArray[np.float64]
Rows = Mapping[str, Array]

G_PER_M3_PER_MG_L = 1.0
"""A milligram in a litre is a gram in a cubic metre. [g L/m3/mg]"""

GRADE_LIMITS = (0.2, 0.8, 2.0, 6.0)
"""Algae on the panes at which the look goes up by one grade; worked out from optics, no source. [g dry/m2]"""


def recorded_rows(plant_slots: int) -> tuple[str, ...]:
    """Return the rows a record must hold for every observer to work."""
    plants = [f"plant_{j}" for j in range(1, plant_slots + 1)]
    return (
        "temperature",
        "volume",
        "oxygen",
        "ammonium",
        "nitrite",
        "nitrate",
        "phosphate",
        "alkalinity",
        "hydrogen",
        "algae_panes",
        *plants,
    )


def _per_volume(row: str) -> Callable[[Rows], Array]:
    def see(rows: Rows) -> Array:
        return np.asarray(rows[row] / rows["volume"], dtype=np.float64)

    return see


def _ph(rows: Rows) -> Array:
    return np.asarray(-np.log10(rows["hydrogen"]), dtype=np.float64)


def _free_ammonia(rows: Rows) -> Array:
    share = unionised_share(_ph(rows), rows["temperature"])
    return np.asarray(rows["ammonium"] / rows["volume"] * share, dtype=np.float64)


OBSERVERS: Mapping[str, Callable[[Rows], Array]] = {
    "nitrate": _per_volume("nitrate"),
    "nitrite": _per_volume("nitrite"),
    "ammonia": _per_volume("ammonium"),
    "ammonia_free": _free_ammonia,
    "phosphate": _per_volume("phosphate"),
    "kh": _per_volume("alkalinity"),
    "oxygen": _per_volume("oxygen"),
    "ph": _ph,
    "temperature": lambda rows: np.asarray(rows["temperature"], dtype=np.float64),
}
"""Quantity -> what the water holds: mg/L as the element, alkalinity in meq/L, °C."""


def observe(quantity: str, rows: Rows) -> Array:
    """Return a quantity of the water itself, without any kit's error.

    Parameters
    ----------
    quantity : str
        A key of ``OBSERVERS``. [-]
    rows : Mapping[str, Array]
        Recorded rows of any common shape. [as the rows]

    Returns
    -------
    Array
        Same shape. [mg/L as the element, meq/L, °C, -]
    """
    return OBSERVERS[quantity](rows)


def wet_plants(rows: Rows, dry_fractions: Sequence[Array | float]) -> Array:
    """Return the wet mass of all plants.

    Parameters
    ----------
    rows : Mapping[str, Array]
        Recorded rows with ``plant_1`` and on. [g dry]
    dry_fractions : Sequence[Array or float]
        Dry per wet mass of each slot. [g/g]

    Returns
    -------
    Array
        Wet mass. [g]
    """
    total = np.zeros_like(rows["volume"])
    for slot, dry in enumerate(dry_fractions, start=1):
        total = total + rows[f"plant_{slot}"] / dry
    return total


def grade(film: Array) -> Array:
    """Return the grade a keeper would give to algae on the panes, between whole grades as a fraction.

    Parameters
    ----------
    film : Array
        Algae on the panes. [g dry/m2]

    Returns
    -------
    Array
        Grade from 0 (clean) to 4 (mat). [-]
    """
    logs = np.log([0.02, *GRADE_LIMITS, 18.0])
    steps = [-0.9, 0.5, 1.5, 2.5, 3.5, 4.5]
    return np.asarray(np.interp(np.log(np.maximum(film, 1e-6)), logs, steps), dtype=np.float64)
