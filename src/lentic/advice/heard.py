"""What a stranger's few words say of a tank: sizes, changes, light, algae, animals; nothing is read into them."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Final

from lentic.catalogue import turtles
from lentic.logbook.units import LENGTH, MASS, VOLUME, fold

_NUM = r"(\d+(?:[.,]\d+)?)"
_HALVES: Final = (0.47, 0.8)
"""Real water as a share of the glass volume under a basking place; common practice, no source. [-]"""
SIZES: Final[Mapping[str, tuple[float, float]]] = {
    r"(coin|quarter|penny|thumb)": (2.5, 4.0), r"(palm)": (6.0, 10.0), r"(hand)": (10.0, 18.0),
    r"(saucer)": (12.0, 16.0), r"(dinner )?plate": (20.0, 28.0), r"(shoe|foot)": (22.0, 30.0),
}  # fmt: skip
"""Shell lengths that people mean by such words; common practice, no source. [cm]"""


@dataclass(frozen=True, kw_only=True)
class Heard:
    """What was said, each with its own words; None where nothing was said."""

    glass_l: float | None = None
    water_l: tuple[float, float] | None = None
    shell_cm: tuple[float, float] | None = None
    mass_g: float | None = None
    species: str | None = None
    full_changes: bool = False
    no_changes: bool = False
    long_light: bool = False
    hours: float | None = None
    cloudy: str | None = None
    algae: str | None = None
    wants: str | None = None
    fish: bool = False
    filter_told: bool = False
    tap_rinsed: bool = False
    ammonia_told: bool = False
    food_told: bool = False
    words: tuple[str, ...] = ()


def heard(text: str) -> Heard:
    """Return what a question says."""
    low = " ".join(text.casefold().replace("’", "'").split())
    glass, said = _volume(low)
    shell, shell_said = _shell(low)
    mass = re.search(rf"{_NUM}\s*(kg|g|grams?|oz|lb)\b", low)
    hours = re.search(rf"light[^.;]*?{_NUM}\s*(?:h|hours?)\b", low) or re.search(
        rf"{_NUM}\s*(?:h|hours?)[^.;]*light", low
    )
    lit = float(hours[1].replace(",", ".")) if hours else None
    every = r"all (of )?(the|my|its) water|100 ?%|full(y)? (water )?change|complete(ly)? (water )?change"
    always = r"light(s)? (is |are )?on (all|24|the whole)|24/7|all day and night|never (turn|switch)"
    weighed = MASS.get(fold(mass[2])) if mass else None
    found = Heard(
        glass_l=glass, water_l=None if glass is None else (_HALVES[0] * glass, _HALVES[1] * glass), shell_cm=shell,
        mass_g=weighed.convert(float(mass[1].replace(",", "."))) if mass and weighed else None,
        species=_species(low), full_changes=bool(re.search(every, low)),
        no_changes=bool(re.search(r"(never|don'?t|not) (ever )?chang", low)),
        long_light=bool(re.search(always, low))
        or (lit is not None and lit > 10.0),
        hours=lit, cloudy=_cloudy(low), algae=_algae(low), wants=_wants(low),
        fish=bool(re.search(r"\b(fish|guppy|guppies|goldfish|tetra|danio|shrimp|snail)s?\b", low)),
        filter_told=bool(re.search(r"canister|sponge filter|internal filter|hang[- ]on|no filter|filter is", low)),
        tap_rinsed=bool(re.search(r"rins\w+[^.;]*(tap|sink)|clean\w+ the filter[^.;]*(tap|sink|hot)", low)),
        ammonia_told=bool(re.search(r"ammoni\w*[^.;]{0,12}\d|nh[34][^.;]{0,8}\d", low)),
        food_told=bool(re.search(rf"{_NUM}\s*(g|grams?|pellets?)\b[^.;]*(day|feed)|feed[^.;]*{_NUM}", low)),
    )  # fmt: skip
    return _with_words(found, said, shell_said)


def _with_words(found: Heard, volume: str, shell: str) -> Heard:
    words = [volume, shell]
    words += ["all the water changed"] if found.full_changes else []
    words += ["no changes"] if found.no_changes else []
    words += [found.cloudy or "", found.algae or ""]
    words += [f"light {found.hours:g} h"] if found.hours is not None else ["long light"] if found.long_light else []
    words += ["fish"] if found.fish else []
    return replace(found, words=tuple(word for word in words if word))


def _volume(low: str) -> tuple[float | None, str]:
    found = re.search(rf"{_NUM}[\s-]*(us |uk |imperial )?(gallons?|gal|litres?|liters?|l)\b", low)
    if found is None:
        return None, ""
    number, unit = float(found[1].replace(",", ".")), found[3]
    if unit.startswith("gal"):
        imperial = (found[2] or "").strip() in ("uk", "imperial")
        litres = number * VOLUME["impgal" if imperial else "usgal"].factor
        said = f"{number:g} {'imperial' if imperial else 'US'} gallons of glass, {litres:.0f} L"
        return litres, said + ("" if found[2] else " (US gallons taken for granted)")
    return number, f"{number:g} L of glass"


def _shell(low: str) -> tuple[tuple[float, float] | None, str]:
    found = re.search(rf"{_NUM}[\s-]*(cm|inch(?:es)?|in\b|\")", low)
    if found:
        length = float(found[1].replace(",", ".")) * LENGTH[fold(found[2].replace('"', "in"))].factor
        return (0.9 * length, 1.1 * length), f"turtle about {length:.0f} cm long"
    for words, span in SIZES.items():
        if re.search(rf"(size of|big as|large as|like)\s+(a |an |my |the |your )?{words}", low):
            return span, f"turtle {span[0]:.0f} to {span[1]:.0f} cm long by what was said"
    return None, ""


def _cloudy(low: str) -> str | None:
    if re.search(r"green (water|soup)|pea soup", low):
        return "green water"
    if re.search(r"cloud|milky|murky|hazy", low):
        return "cloudy water"
    return None


def _algae(low: str) -> str | None:
    for words, name in (
        (r"black\s+(fuzz|beard|brush|hair|tuft)\w*|fuzzy black|black fuzz", "black fuzz"),
        (r"brown\s+(algae|film|dust|coat|slime)|diatom", "brown film"),
        (r"blue[- ]green|slim(e|y)", "slimy sheets"),
        (r"hair algae|string algae|threads?", "threads"),
        (r"green\s+(algae|film|coat|spots?)|algae", "green algae"),
    ):
        if re.search(words, low):
            return name
    return None


def _wants(low: str) -> str | None:
    found = re.search(r"(pleco|plec|algae eater|snail|catfish|crayfish|cleaner fish|shrimp)", low)
    asked = re.search(r"(should|can|could|shall) i (get|buy|add|put)|get(ting)? an?|thinking of", low)
    return found[1] if found and asked else None


def _species(low: str) -> str | None:
    for record in turtles().values():
        for name in (*record.names, *record.synonyms, record.scientific):
            if name and len(name) > 4 and re.search(rf"\b{re.escape(name.casefold())}\b", low):
                return record.name
    return None
