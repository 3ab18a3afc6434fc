"""Algae on panes and decor, torn-off algae, green water.

Reads: the four algae, ammonium, nitrate, phosphate, carbon forms, hydrogen, light, plants, temperature,
filter flow. Writes: the same, oxygen, alkalinity, dirt. Parameters: group "algae", algae_vigour. Sources: see
each row; numbers in the parameters.
"""

from __future__ import annotations

from lentic.engine.table import Auxiliary, Process
from lentic.model.components import ALGAE
from lentic.model.expressions import cardinal, light_curve, monod
from lentic.model.processes_gas import CarbonUser, access

_CLOSE = {"P": "phosphate", "C": "carbon", "COD": "oxygen", "charge": "alkalinity"}
_TO_DIRT = {"COD": "cod", "C": "c", "N": "n", "P": "p"}
_GROWERS = {
    "algae_panes": "algae_nutrients",
    "algae_decor": "algae_nutrients",
    "green_water": "green_nutrients",
}


def algae_auxiliaries(plant_slots: int) -> tuple[Auxiliary, ...]:
    """Limits common to all algae and the gross growth of each.

    Parameters
    ----------
    plant_slots : int
        How many kinds of plant share the tank (for the lumped suppressor).

    Returns
    -------
    tuple of Auxiliary
        Limits [-] and gross growth [g dry/d].

    Notes
    -----
    gross = vigour mu fT f(I/Ik) min(N, P) fC f_plants shade(B) (1 - B/B_max) A, B = A/area,
    shade(B) = (1 - exp(-k B))/(k B). The share of nitrogen taken as ammonium is the smooth preference of
    river models.
    """
    points = ("algae_low_c", "algae_best_c", "algae_high_c")
    plants = " + ".join(f"plant_{j}" for j in range(1, plant_slots + 1)) or "0.0"
    first, second = "(ammonium_first + ammonium_mg_l)", "(ammonium_first + nitrate_mg_l)"
    share = (
        f"ammonium_mg_l*(nitrate_mg_l*dissolved_n + ammonium_first*{first})/({first}*{second}*dissolved_n)"
    )
    return (
        _aux("algae_reference", cardinal("20.0", *points), "-", "temperature response at 20 °C"),
        _aux(
            "algae_warmth", f"{cardinal('temperature', *points)}/algae_reference", "-", "growth against 20 °C"
        ),
        _aux("algae_burning", "exp(algae_warming*(temperature - 20.0))", "-", "respiration against 20 °C"),
        _aux("dissolved_n", "ammonium_mg_l + nitrate_mg_l + 1e-9", "g N/m3", "nitrogen algae can take"),
        _aux("ammonium_share_algae", share, "-", "share of their nitrogen taken as ammonium"),
        _aux(
            "algae_usable_carbon",
            "co2 + algae_bicarbonate_use*bicarbonate",
            "g C/m3",
            "carbon algae can take",
        ),
        _aux(
            "algae_access",
            access("algae_usable_carbon", "algae_half_carbon", "algae_h_max"),
            "-",
            "see carbon",
        ),
        _aux(
            "algae_climate",
            f"algae_vigour*algae_warmth/(1.0 + suppression_inverse*({plants})*per_m3)",
            "-",
            "temperature and plants together",
        ),
        _aux("algae_carbon", "algae_usable_carbon*hydrogen*algae_access", "-", "carbon and acidity together"),
        _aux("algae_nutrients", _nutrients("algae_half_n", "algae_half_p"), "-", "the scarcer of N and P"),
        _aux(
            "green_nutrients", _nutrients("green_water_half_n", "green_water_half_p"), "-", "for green water"
        ),
        _aux("per_algae_ik", "1.0/algae_ik", "m2 s/umol", "inverse of the light at the onset of saturation"),
        _aux("per_full_film", "1.0/algae_full_film", "m2/g", "inverse of the thickest film"),
        _aux("per_pane", "1.0/pane_m2", "1/m2", "inverse of the pane area"),
        _aux("per_decor", "1.0/decor_m2", "1/m2", "inverse of the other lit area"),
        _aux("pane_part", "pane_m2/(pane_m2 + decor_m2)", "-", "panes among all lit surfaces"),
        *_surface_pace("panes", "pane"),
        *_surface_pace("decor", "decor"),
        _aux("light_ratio_green", "water_light*per_algae_ik", "-", "light against the onset of saturation"),
        _aux(
            "green_water_pace",
            f"green_water_mu*algae_climate*({light_curve('light_ratio_green')})",
            "1/d",
            "growth of green water but for nutrients and carbon",
        ),
        *(
            _aux(
                f"{name}_demand",
                f"{name}_pace*{nutrients}*{name}",
                "g dry/d",
                f"growth of {name} with plenty of carbon",
            )
            for name, nutrients in _GROWERS.items()
        ),
        _aux(
            "algae_carbon_demand",
            f"{ALGAE['C']!r}*({' + '.join(f'{name}_demand' for name in _GROWERS)})",
            "g C/d",
            "carbon algae would take with plenty of it",
        ),
        _aux(
            "caught_per_day", "capture_share*filter_flow*per_m3", "1/d", "floating things the filter catches"
        ),
    )


CARBON_USER = CarbonUser(
    demand="algae_carbon_demand",
    usable="algae_usable_carbon",
    access="algae_access",
    half="algae_half_carbon",
    bicarbonate="algae_bicarbonate_use",
    limit="algae_h_max",
)
"""How the algae's uptake depends on carbon, for the return rate of inorganic carbon."""


def _nutrients(half_n: str, half_p: str) -> str:
    return f"minimum({monod('dissolved_n', half_n)}, {monod('phosphate_mg_l', half_p)})"


def _surface_pace(place: str, surface: str) -> tuple[Auxiliary, ...]:
    film = f"film_{place}"
    thick = f"(algae_self_shade*{film} + 1e-6)"
    return (
        _aux(film, f"algae_{place}*per_{surface}", "g dry/m2", f"algae per area of {place}"),
        _aux(
            f"light_ratio_{place}",
            f"{surface}_light*per_algae_ik",
            "-",
            f"light on {place} against the onset of saturation",
        ),
        _aux(
            f"algae_{place}_pace",
            f"algae_mu*algae_climate*({light_curve(f'light_ratio_{place}')})*(1.0 - exp(-{thick}))/{thick}"
            f"*maximum(1.0 - {film}*per_full_film, 0.0)",
            "1/d",
            f"growth of algae on {place} but for nutrients and carbon",
        ),
        _aux(
            f"slough_{place}",
            f"5.0*algae_slough*per_{surface}*per_full_film",
            "1/g/d",
            f"tearing off per algae on {place}",
        ),
    )


def algae_losses() -> tuple[Process, ...]:
    """Respiration, sloughing, settling, death, grazing and capture.

    Returns
    -------
    tuple of Process
        Fourteen rows.
    """
    rows = [_respiration(name) for name in _GROWERS]
    for place in ("panes", "decor"):
        part = "pane_part" if place == "panes" else "(1.0 - pane_part)"
        rows += [
            _move(
                f"algae_{place}_slough",
                f"algae_{place}",
                "algae_adrift",
                f"slough_{place}*algae_{place}**2",
                "grows with the thickness of the film; tuned, no source",
            ),
            _move(
                f"algae_settle_on_{place}",
                "algae_adrift",
                f"algae_{place}",
                f"algae_settle*{part}*algae_adrift",
                "first order, shared by area; tuned, no source",
            ),
            _to_dirt(
                f"algae_{place}_grazed",
                f"algae_{place}",
                "labile",
                f"grazing_rate*algae_{place}",
                "snails, shrimps and fishes; set by the keeper's stock, common practice, no source",
            ),
        ]
    return (*rows, *_floating_losses())


def _floating_losses() -> tuple[Process, ...]:
    sinking = "green_water_death + green_water_sinking_m_d*surface_m2*per_m3"
    caught = "share of the passing water's load kept by the filter; tuned, no source"
    return (
        _move(
            "green_water_settles_on_panes",
            "green_water",
            "algae_panes",
            "green_water_to_panes*green_water",
            "small seeding of bare glass; tuned, no source",
        ),
        _to_dirt(
            "algae_adrift_die",
            "algae_adrift",
            "labile",
            "(adrift_sinking + adrift_death)*algae_adrift",
            "sinking and death of torn-off algae; tuned, no source",
        ),
        _to_dirt(
            "green_water_dies",
            "green_water",
            "labile",
            f"({sinking})*green_water",
            "death, and settling of about 0.2 m/d (PCLake, as read)",
        ),
        _to_dirt(
            "algae_adrift_caught", "algae_adrift", "filter_labile", "caught_per_day*algae_adrift", caught
        ),
        _to_dirt("green_water_caught", "green_water", "filter_labile", "caught_per_day*green_water", caught),
    )


def algae_gains() -> tuple[Process, ...]:
    """Growth on ammonium and on nitrate.

    Returns
    -------
    tuple of Process
        Six rows.
    """
    source = (
        "growth tuned between Eppley 1972 and Bissinger 2008 (abstracts); light Jassby & Platt 1976 (or "
        "Smith, Steele); Monod nutrients, the scarcer counts; self-shading; lumped suppression tuned, "
        "no source"
    )
    rows = []
    for name in _GROWERS:
        for feed, share in (
            ("ammonium", "ammonium_share_algae"),
            ("nitrate", "(1.0 - ammonium_share_algae)"),
        ):
            rows.append(
                Process(
                    name=f"{name}_grow_on_{feed}",
                    stoichiometry={name: 1.0},
                    solve={"N": feed, **_CLOSE},
                    rate=f"{share}*algae_carbon*{name}_demand",
                    source=source,
                )
            )
    return tuple(rows)


def _respiration(name: str) -> Process:
    return Process(
        name=f"{name}_respire",
        stoichiometry={name: -1.0},
        solve={"N": "ammonium", **_CLOSE},
        rate=f"algae_respiration*algae_burning*{name}",
        source="first order, 0.07-0.2 per day in published models (as read)",
    )


def _move(name: str, origin: str, target: str, rate: str, source: str) -> Process:
    return Process(name=name, stoichiometry={origin: -1.0, target: 1.0}, rate=rate, source=source)


def _to_dirt(name: str, origin: str, pool: str, rate: str, source: str) -> Process:
    return Process(
        name=name,
        stoichiometry={origin: -1.0},
        solve={quantity: f"{pool}_{element}" for quantity, element in _TO_DIRT.items()},
        rate=rate,
        source=source,
    )


def _aux(name: str, expression: str, unit: str, meaning: str) -> Auxiliary:
    return Auxiliary(name=name, expression=expression, unit=unit, meaning=meaning)
