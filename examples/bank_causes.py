"""The causes of algae in the bank: what each does to the tank, and what the keeper writes of it.

Four variants each. Most of the first ones are written down plainly; the later ones must be read out of tests,
scrapings and silence.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta

import numpy as np
from keeping import Keeper, tidy

FIRST_DAY = {"sun": date(2026, 1, 19), "warmth": date(2026, 4, 20)}
SUITS: dict[str, dict[str, float]] = {  # in which kind of tank the cause can show at all
    "light": {"plants": 0.35, "plant_light": 0.4, "algae_light": 1.6, "rate": 1.4},
    "sun": {"plants": 0.7, "algae_light": 1.0},
    "load": {"plants": 0.4, "algae_n": 1.0, "algae_p": 0.08},
    "overplanted": {"ppfd": 0.85},
    "carbon": {"plants": 1.2},
    "dirt": {"dust": 0.8, "dirt_half": 4.5},
    "filter": {"plants": 0.5, "film_pace": 0.3},
    "tap": {"plants": 0.4, "algae_n": 1.5, "algae_p": 0.08},
    "changes": {"plants": 0.35, "algae_n": 1.5, "algae_p": 0.1, "change": 1.6},
    "dead": {"plants": 0.7},
    "warmth": {"algae_warm": 10.0, "plants": 0.8},
    "disturbance": {"film_pace": 0.8},
}


class BankKeeper(Keeper):
    """A keeper who lives through one cause, and some of its aftermath."""

    species, mass = "", 0.0

    def aftermath(self, cause: str, v: int, days: int) -> None:
        """Write what is noticed some days after the onset."""
        tank = self.tank
        if cause == "overplanted" and days in (14, 23, 30):
            found = tank.take_dead(0.25 * tank.rot / 0.08)
            say(
                self,
                "lost_plant",
                self.routine.plant,
                tidy(max(round(found / 5.0) * 5.0, 5.0)),
                "g",
                "soft and brown inside",
            )
        elif cause == "plants" and days == 9:
            say(self, "look", "plants", "1", "grade", "hardly any left")
        elif cause == "filter" and v == 3 and days == 3:
            say(self, "power", "on", "", "", "running again")
        elif cause == "dead" and days == 12 and v < 3:
            say(
                self,
                "animal_out",
                "physa",
                str(int(tank.volume / 12.0)),
                "count",
                "snails, all dead behind the wood, foul",
            )
        elif cause == "light" and v == 2 and days == 15:
            say(
                self,
                "lamp",
                "plants",
                tidy(tank.c.hours),
                "h",
                "timer stood at this, no idea how long; left so for now",
            )
        elif cause == "sun" and days in (8, 16):
            tank.c.sun += 0.4
        elif cause == "load" and v == 2 and days % 9 == 4:
            say(self, "leftovers", "pellet_adult", "0.2", "g", "not all eaten")


def say(k: BankKeeper, kind: str, what: str, amount: str, unit: str, note: str) -> None:
    """Write a line that is not forgotten, in the evening of the day."""
    k.at(19, 30)
    k.write(kind, what, amount, unit, note, sure=True)


def light(k: BankKeeper, v: int) -> str:
    """Longer hours, or a stronger lamp."""
    c = k.tank.c
    if v == 1:
        c.ppfd *= 2.0
        say(
            k,
            "lamp",
            "plants",
            tidy(c.hours),
            "h",
            "new fixture, nearly twice the watts of the old one, same height",
        )
        return "stronger lamp"
    c.hours += 5.0
    if v != 2:
        say(k, "lamp", "plants", tidy(c.hours), "h", ("home office, like to see the tank lit", "", "", "")[v])
    return "longer hours" if v != 2 else "timer slipped, found two weeks later"


def sun(k: BankKeeper, v: int) -> str:
    """The spring sun reaches the panes, or a curtain is gone."""
    k.tank.c.sun += 0.9
    if v == 0:
        say(
            k,
            "look",
            "panes",
            str(k.grade()),
            "grade",
            "afternoon sun on the left pane again, first time this year",
        )
    if v == 1:
        say(
            k,
            "look",
            "panes",
            str(k.grade()),
            "grade",
            "curtains are off for washing, sun falls in until four",
        )
    return "sun on the panes"


def load(k: BankKeeper, v: int) -> str:
    """More food, or another mouth."""
    factor = 2.4
    k.routine = replace(
        k.routine, feeds={d: tuple((f, g * factor) for f, g in fs) for d, fs in k.routine.feeds.items()}
    )
    if v == 1:
        say(k, "animal_in", k.species, "1", "count", "took in a neighbour's turtle, about the same size")
    return "second turtle" if v == 1 else "food more than doubled"


def plants(k: BankKeeper, v: int) -> str:
    """Most of the clump goes."""
    wet = k.tank.plant / 0.08 * 0.82
    k.tank.thin(wet)
    k.routine = replace(k.routine, keep_wet=None)
    grams = tidy(round(wet * k.hand.plant_bias / 10.0) * 10.0)
    if v in (0, 3):
        say(
            k,
            "thin",
            k.routine.plant,
            grams,
            "g",
            ("cut right back, could not see the turtle any more", "gave a bag away")[v > 0],
        )
        return "thinned too hard"
    if v == 1:
        say(k, "lost_plant", k.routine.plant, grams, "g", "chewed to pieces overnight, netted it all out")
    else:
        say(k, "look", "plants", "1", "grade", "half of it floats about, she has been at the stems all week")
    return "eaten by the turtle"


def overplanted(k: BankKeeper, v: int) -> str:
    """Much more plant than the light carries."""
    wet = 1.7 * k.tank.plant / 0.08
    k.tank.add_plant(wet)
    k.routine = replace(k.routine, keep_wet=None)
    grams = tidy(round(wet * k.hand.plant_bias / 10.0) * 10.0)
    say(k, "plant", k.routine.plant, grams, "g", ("a whole tub from a swap", "", "more is better", "")[v])
    return "more plant than the light carries, it rots"


def carbon(k: BankKeeper, v: int) -> str:
    """Carbon dioxide is driven out."""
    k.tank.c.carbon = 0.16
    if v == 0:
        say(k, "look", "water", "0", "grade", "air stone in, bubbles day and night")
    if v == 1:
        say(
            k,
            "flow",
            "",
            tidy(round(k.clean_flow * k.tank.flow / 10.0) * 10.0),
            "L/h",
            "spray bar above the water, splashes a lot",
        )
    return "carbon dioxide driven out by air and splashing"


def dirt(k: BankKeeper, v: int) -> str:
    """No siphon and no filter care any more; the flow goes down."""
    k.routine = replace(k.routine, siphon=None, rinse_weeks=None)
    k.tank.c.dirt_half *= 0.5
    if v == 0:
        say(k, "look", "water", "1", "grade", "siphon hose split, have to buy one")
    return "dirt left lying, filter clogging"


def film(k: BankKeeper, v: int) -> str:
    """The living film is lost."""
    k.tank.film = [0.06 * x for x in k.tank.film]
    k.tank.c.film_pace *= 0.6
    if v == 3:
        say(k, "power", "off", "", "", "filter in pieces on the balcony, new seal ordered")
        k.clock += timedelta(minutes=3)
        return "filter stood dry"
    k.tank.rinse(0.9, 0.0)
    say(
        k,
        "rinse",
        "all",
        "",
        "",
        ("everything hosed out under the tap", "tap, hot, until it ran clear", "under the tap", "")[v],
    )
    return "media washed under the tap"


def tap(k: BankKeeper, v: int) -> str:
    """The waterworks deliver other water."""
    k.tank.c.tap_no3 += 30.0
    k.tank.c.tap_po4 += 1.2
    if v in (0, 1):
        k.at(20)
        k.read("tap_nitrate", ("letter from the waterworks about another spring", "")[v])
        k.read("tap_phosphate")
    else:
        k.routine = replace(k.routine, tests={**k.routine.tests, "tap_nitrate": 0.35, "tap_phosphate": 0.35})
    return "tap water richer"


def changes(k: BankKeeper, v: int) -> str:
    """Less water is changed."""
    litres = 10.0 if v % 2 else 5.0
    k.routine = replace(k.routine, change_l=litres, chore_every=1 if v % 2 else 2)
    if v == 0:
        say(k, "look", "water", "0", "grade", "back is bad, only a can of water every other week for now")
    return "smaller and fewer changes"


def dead(k: BankKeeper, v: int) -> str:
    """Something rots unseen."""
    k.tank.spoil(9.0 * k.tank.volume, 1.2 * k.tank.volume)
    k.tank.ammonia += 0.6
    if v == 0:
        say(k, "look", "water", "2", "grade", "water milky and it smells, cannot see why")
    return "something rots behind the wood"


def warmth(k: BankKeeper, v: int) -> str:
    """A heat wave, or a heater that sticks."""
    if v == 0:
        k.tank.c.set_c = 29.5
        say(k, "reading", "temperature", "29.1", "°C", "somebody turned the heater dial")
    else:
        k.tank.c.room_c = 27.5
    return "heater set too warm" if v == 0 else "heat wave"


def disturbance(k: BankKeeper, v: int) -> str:
    """A big clean that turns everything over."""
    tank = k.tank
    tank.dirt += np.array([2.5, 0.8]) * tank.volume  # what had lain in the gravel for years
    tank.flows["food"] += 2.5 * tank.volume
    tank.stir(0.9)
    tank.rinse(0.85, 0.6)
    tank.stress = max(tank.stress, 0.5)
    litres = round(0.3 * tank.c.water_l / 5.0) * 5.0
    tank.change(litres * k.hand.litre_bias)
    note = (
        "took all gravel and wood out, washed and put back",
        "dug the sand over, water like cocoa",
        "",
        "",
    )[v]
    say(k, "rinse", "all", "", "", "in tank water" + (", " + note if note else ""))
    say(k, "change", "", tidy(litres), "L", ("", "", "the big spring clean, everything replanted", "")[v])
    return "big clean, ground stirred"


def none(k: BankKeeper, v: int) -> str:
    """Nothing changes; keepers still write something."""
    if v == 0:
        say(k, "look", "plants", "0", "grade", "moved the thermometer to the other end")
    if v == 1:
        say(k, "weigh", "t1", tidy(k.mass), "g", "bad tempered today")
    return "nothing"


CAUSES: dict[str, Callable[[BankKeeper, int], str]] = {
    "light": light,
    "sun": sun,
    "load": load,
    "plants": plants,
    "overplanted": overplanted,
    "carbon": carbon,
    "dirt": dirt,
    "filter": film,
    "tap": tap,
    "changes": changes,
    "dead": dead,
    "warmth": warmth,
    "disturbance": disturbance,
    "none": none,
}
