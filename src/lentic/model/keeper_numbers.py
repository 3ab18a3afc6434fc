"""Numbers of the keeper, the tap, the kits and the start: what stands between the log and the water.

They have priors like the parameters of the process table and are learned with them. Those marked as practice have no
published source: they are what keepers' scales, buckets and eyes are commonly found to be worth.
"""

# ruff: noqa: E501 - one row a number reads better than a folded one

from __future__ import annotations

from lentic.model.parameters import LogNormal, Normal, Parameter, Share, row

_PRACTICE = "common practice, no source"

KEEPER: tuple[Parameter, ...] = (
    row("true_gram", 1.0, "-", LogNormal(sd=0.12), "true grams of food for each gram in the log", _PRACTICE, "practice"),
    row("true_litre", 1.0, "-", LogNormal(sd=0.05), "true litres for each litre in the log", _PRACTICE, "practice"),
    row("plant_gram", 1.0, "-", LogNormal(sd=0.12), "grams of plant in the log for each true gram", _PRACTICE, "practice"),
    row("uneaten", 0.05, "-", Share(low=0.01, high=0.20), "share of the food that is not eaten", _PRACTICE, "practice"),
    row("nitrogen_factor", 1.0, "-", LogNormal(sd=0.10), "nitrogen in this keeper's food against the table", "range of protein on packets; common practice, no source", "practice"),
    row("phosphorus_factor", 1.0, "-", LogNormal(sd=0.25), "phosphorus in this keeper's food against the table", "range of phosphorus on packets; common practice, no source", "practice"),
    row("siphon_share", 0.38, "-", Share(low=0.20, high=0.60), "share of the lying dirt the hose takes", _PRACTICE, "practice"),
    row("rinse_share", 0.80, "-", Share(low=0.55, high=0.95), "share of the reached filter dirt a rinse takes", _PRACTICE, "practice"),
    row("scrape_leaves", 0.10, "-", Share(low=0.04, high=0.25), "share of the algae the scraper leaves", _PRACTICE, "practice"),
    row("scrape_kept", 0.18, "-", Share(low=0.05, high=0.45), "share of the freed algae that stays on the tool", _PRACTICE, "practice"),
    row("scrape_threshold", 2.5, "g/m2", LogNormal(sd=0.5), "algae on the panes at which this keeper scrapes", "worked out from optics: where the view begins to suffer; no source", "computed"),
    row("new_plant_n", 0.032, "g/g", LogNormal(sd=0.15), "nitrogen in a well-fed plant, per g dry skeleton", "2-5 % in textbook tables of submerged plants, read", "read"),
    row("new_plant_p", 0.0045, "g/g", LogNormal(sd=0.25), "phosphorus in a well-fed plant, per g dry skeleton", "0.1-1 % in textbook tables of submerged plants, read", "read"),
    row("died_per_found", 3.0, "-", LogNormal(sd=0.8), "grams of plant that died for each gram found dead", _PRACTICE, "practice"),
)  # fmt: skip

START: tuple[Parameter, ...] = (
    row("start_film", 0.4, "g/m2", LogNormal(sd=1.0), "algae on the panes on the first day", _PRACTICE, "practice"),
    row("start_dirt", 1.0, "-", LogNormal(sd=0.4), "dirt on the first day against a settled tank", _PRACTICE, "practice"),
    row("start_nitrate", 1.0, "-", LogNormal(sd=0.35), "nitrate on the first day against a settled tank", _PRACTICE, "practice"),
    row("start_phosphate", 1.0, "-", LogNormal(sd=0.5), "phosphate on the first day against a settled tank", _PRACTICE, "practice"),
    row("start_alkalinity", 1.0, "-", LogNormal(sd=0.08), "alkalinity on the first day against a settled tank", _PRACTICE, "practice"),
    row("start_film_bacteria", 1.0, "-", LogNormal(sd=0.4), "nitrifiers on the first day against a settled tank", _PRACTICE, "practice"),
    row("start_nitrite_bacteria", 1.0, "-", LogNormal(sd=0.4), "nitrite oxidisers on the first day against a settled tank", _PRACTICE, "practice"),
)  # fmt: skip

KITS: tuple[Parameter, ...] = (
    row("kit_nitrate", 1.0, "-", LogNormal(sd=0.15), "what the nitrate kit shows for each true mg/L", _PRACTICE, "practice"),
    row("kit_nitrite", 1.0, "-", LogNormal(sd=0.22), "what the nitrite kit shows for each true mg/L", _PRACTICE, "practice"),
    row("kit_ammonia", 1.0, "-", LogNormal(sd=0.20), "what the ammonia kit shows for each true mg/L", _PRACTICE, "practice"),
    row("kit_phosphate", 1.0, "-", LogNormal(sd=0.22), "what the phosphate kit shows for each true mg/L", _PRACTICE, "practice"),
    row("kit_ph", 0.0, "-", Normal(sd=0.18), "what the pH kit adds", _PRACTICE, "practice"),
    row("kit_temperature", 0.0, "K", Normal(sd=0.3), "what the thermometer adds", _PRACTICE, "practice"),
)  # fmt: skip
