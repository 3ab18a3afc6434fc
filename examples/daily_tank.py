"""A small invented world: one turtle tank, stepped a quarter of a day at a time.

It exists only to make example logs. It shares nothing with the model of the package: other states, other
equations, other numbers, so that a fit of the package to these logs is never a fit to itself.

States and equations (amounts per tank; N and P in mg, plants and algae in g dry, alkalinity in meq):

    light      I0 = 0.0036 ppfd hours lamp ;  x = 0.011 W / surface ;  I_plant = I0 (1 - exp(-x)) / x
               I_pane = side I0 exp(-x / 2) + room + sun
    gut        G' = eaten - 0.8 G ;  of what leaves: growth, droppings (to the dirt), the rest into the water
    dirt       S' = droppings + leftovers + rotting plant + sloughed algae - decay S - 0.10 flow S
               F' = 0.10 flow S - decay F / 2 ;  a part of the decayed N leaves as gas
    film       the ammonia the film can take follows the mean load ;  x = load / film
               ammonia -> 0.07 x / (1 - x), nitrite -> 0.05 y / (1 - y), never faster than the load itself
    nitrogen   one pool N of all that is dissolved ;  nitrate = N - ammonia - nitrite
    plants     W' = W [g light nutrient carbon warmth (1 - W / full) - 0.02 - melt] - bite
               melt = 0.005 + 0.35 stress + heat ;  stress follows 1 - light / 0.45 within ten days
    algae      B' = B [m light nutrient warmth carbon fresh shelter (1 - B / 9) - 0.16] on panes and elsewhere
               shelter = 1 / (1 + healthy plant production / K): a growing clump holds the algae down
    KH         1 meq lost per 14 mg N set free, 1 won per 14 mg N taken up or lost as gas
    pH         7.35 + 0.95 log10(KH / 3 + 0.05), raised by day with the growth of all green

Plants hold 3.0 % N and 0.55 % P, algae 6 % and 0.8 %: tissue never starves here, growth simply slows.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

NO3, NO2, NH4, PO4 = 4.427, 3.285, 1.288, 3.066  # mg of the ion per mg of its element
MEQ_PER_DKH = 0.357
PLANT_N, PLANT_P, ALGAE_N, ALGAE_P = 30.0, 5.5, 60.0, 8.0  # mg/g dry
DRY = 0.08  # dry mass per shaken-dry mass
FULL_ALGAE = 9.0  # g/m2
FOODS = {  # mg N/g and mg P/g as fed, a packet of our own
    "pellet_adult": (53.0, 10.4),
    "gammarus_dried": (70.0, 10.5),
    "mealworm": (30.0, 2.9),
    "earthworm": (16.5, 1.6),
    "romaine": (2.0, 0.3),
    "dandelion": (4.3, 0.65),
    "shrimp_raw": (32.0, 2.1),
}
FLOWS = ("food", "tap", "planted", "change", "siphon", "rinse", "scraping", "thinning", "gas", "growth")


@dataclass(kw_only=True)
class Conditions:
    """What the keeper, the house and the waterworks set; every field may change from one day to the next."""

    water_l: float
    surface_m2: float
    pane_m2: float
    other_m2: float
    ppfd: float
    hours: float
    lamp: float = 1.0
    side: float = 0.25
    room_light: float = 0.35
    sun: float = 0.0
    set_c: float = 24.5
    room_c: float = 20.0
    tap_no3: float = 8.0
    tap_po4: float = 0.1
    tap_kh: float = 7.0
    carbon: float = 1.0
    gas: float = 0.08
    dirt_half: float = 1500.0
    evaporation_mm: float = 2.0
    algae_rate: float = 1.10
    plant_rate: float = 0.155
    shelter_half: float = 0.013
    bite_g: float = 0.10
    film_floor: float = 100.0
    film_pace: float = 1.0
    plant_light: float = 2.0
    algae_light: float = 0.45
    algae_n: float = 0.25
    algae_p: float = 0.02
    algae_fresh: float = 0.0  # how much algae profit from ammonia and from what rots nearby
    algae_warm: float = 12.0
    dust: float = 0.0  # light that lying dirt costs the stems


class DailyTank:
    """The tank itself: its amounts, one step, and what hands can do to it."""

    def __init__(self, c: Conditions, rng: np.random.Generator, *, plant_wet: float, nitrate: float) -> None:
        """Fill the tank as it stands on the first morning."""
        self.c, self.rng = c, rng
        self.volume = c.water_l
        self.n = nitrate / NO3 * self.volume
        self.p = 0.25 / PO4 * self.volume
        self.alk = 0.85 * c.tap_kh * MEQ_PER_DKH * self.volume
        self.gut = np.array([20.0, 4.0])
        self.dirt = np.array([60.0, 20.0])
        self.filter = np.array([60.0, 20.0])
        self.rot = 0.0
        self.clog = 0.15 * c.dirt_half
        self.plant = plant_wet * DRY
        self.pane = 0.4
        self.other = 1.2
        self.stress, self.healthy = 0.0, 0.05 * self.plant
        self.film = [120.0, 120.0]
        self.ammonia, self.nitrite = 0.05, 0.04
        self.temperature = c.set_c
        self.vigour = np.zeros(2)
        self.green = 0.0
        self.pump = 1.0
        self.flows = dict.fromkeys(FLOWS, 0.0)

    # ---- readings -------------------------------------------------------------------------------------

    @property
    def flow(self) -> float:
        """Share of the clean filter's flow that still comes through."""
        return self.pump / (1.0 + (self.clog / self.c.dirt_half) ** 2)

    @property
    def kh(self) -> float:
        """Carbonate hardness, dKH."""
        return self.alk / self.volume / MEQ_PER_DKH

    @property
    def nitrate(self) -> float:
        """Nitrate, mg/L NO3."""
        return max(self.n / self.volume - self.ammonia - self.nitrite, 0.0) * NO3

    def ph(self, dusk: bool) -> float:
        """Return the pH before the lamp goes on, or as it goes off."""
        base = 7.35 + 0.95 * math.log10(max(self.kh, 0.1) / 3.0 + 0.05) - 0.25 * math.log10(self.c.carbon)
        rise = 0.75 * math.tanh(self.green / self.volume * 1000.0 / 20.0)
        return base + (rise if dusk else 0.3 * rise - 0.08)

    def nitrogen(self) -> float:
        """All nitrogen in the tank, mg."""
        algae = self.pane * self.c.pane_m2 + self.other * self.c.other_m2
        solids = float(self.gut[0] + self.dirt[0] + self.filter[0])
        return self.n + solids + (self.plant + self.rot) * PLANT_N + algae * ALGAE_N

    # ---- nature ---------------------------------------------------------------------------------------

    def weather(self) -> None:
        """Once a day: let vigour drift and the water follow room and heater."""
        self.vigour = 0.95 * self.vigour + 0.03 * self.rng.normal(size=2)
        goal = max(self.c.set_c, self.c.room_c + 1.5) + 0.15 * self.rng.normal()
        self.temperature += 0.6 * (goal - self.temperature)

    def _light(self) -> tuple[float, float]:
        """Light that a stem and a pane get, mol/m2/d."""
        sky = 0.0036 * self.c.ppfd * self.c.hours * self.c.lamp
        x = 0.011 * self.plant / self.c.surface_m2 + 1e-9
        pane = self.c.side * sky * math.exp(-x / 2.0) + self.c.room_light + self.c.sun
        return sky * (1.0 - math.exp(-x)) / x, pane

    def step(self, dt: float) -> None:
        """Let nature run for dt days."""
        c, t = self.c, self.temperature
        stem, pane = self._light()
        no, po = self.n / self.volume, self.p / self.volume
        decay = 0.09 * 1.07 ** (t - 20.0)

        light = stem / (stem + c.plant_light) / (1.0 + c.dust * float(self.dirt[0]) / self.volume)
        carbon = c.carbon * (1.5 + 0.25 * self.kh)
        nutrient = min(no / (no + 0.12), po / (po + 0.01))
        full = 500.0 * c.surface_m2
        gross = c.plant_rate * light * nutrient * carbon / (carbon + 1.0) * math.exp(self.vigour[0])
        gross *= math.exp(-(((t - 24.0) / 9.0) ** 2)) * max(1.0 - self.plant / full, 0.0)
        self.stress += dt / 10.0 * (max(1.0 - light / 0.45, 0.0) - self.stress)
        melt = 0.005 + 0.35 * self.stress + 0.02 * max(t - 27.5, 0.0)
        bite = min(c.bite_g, 0.03 * self.plant)
        self.healthy += dt / 5.0 * (max(gross - melt, 0.0) * self.plant - self.healthy)
        shelter = 1.0 / (1.0 + self.healthy / self.volume / c.shelter_half)

        rate = c.algae_rate * min(no / (no + c.algae_n), po / (po + c.algae_p))
        rate *= shelter * carbon / (carbon + 0.2)
        rate *= math.exp(self.vigour[1] - ((t - 29.0) / c.algae_warm) ** 2)
        fresh = self.ammonia + 0.5 * decay * float(self.dirt[0]) / self.volume
        rate *= 1.0 + c.algae_fresh * fresh / (fresh + 0.3)
        dim, room = 0.6 * pane, max(1.0 - self.pane / FULL_ALGAE, 0.0)
        on_pane = rate * pane / (pane + c.algae_light) * room * self.pane * c.pane_m2
        room = max(1.0 - self.other / FULL_ALGAE, 0.0)
        on_other = rate * dim / (dim + c.algae_light) * room * self.other * c.other_m2

        plant_gain, algae_gain = gross * self.plant, on_pane + on_other
        want_n = (plant_gain * PLANT_N + algae_gain * ALGAE_N) * dt
        want_p = (plant_gain * PLANT_P + algae_gain * ALGAE_P) * dt
        take = min(1.0, 0.6 * self.n / (want_n + 1e-9), 0.6 * self.p / (want_p + 1e-9))
        self.green = take * (plant_gain + algae_gain)
        self._turn_over(dt, decay, take, plant_gain, on_pane, on_other, melt, bite)
        self._evaporate(dt)

    def _turn_over(
        self,
        dt: float,
        decay: float,
        take: float,
        plant_gain: float,
        on_pane: float,
        on_other: float,
        melt: float,
        bite: float,
    ) -> None:
        """Move the amounts of one step; every milligram of nitrogen has a giver and a taker."""
        c, content = self.c, np.array([PLANT_N, PLANT_P])
        spared = 0.02 * self.plant * dt  # breathed away: its nutrients go back into the water
        fallen = melt * self.plant * dt
        self.plant += take * plant_gain * dt - spared - fallen - bite * dt
        self.rot += fallen
        softened = 0.05 * self.rot * dt
        self.rot -= softened
        lost_pane, lost_other = 0.16 * self.pane * c.pane_m2 * dt, 0.16 * self.other * c.other_m2 * dt
        self.pane += (take * on_pane * dt - lost_pane) / c.pane_m2
        self.other += (take * on_other * dt - lost_other) / c.other_m2
        sloughed = 0.5 * (lost_pane + lost_other) * np.array([ALGAE_N, ALGAE_P])

        passed = 0.8 * self.gut * dt
        kept, dung = passed * np.array([0.08, 0.15]), passed * np.array([0.13, 0.45])
        self.gut += bite * dt * content - passed
        moved, rotted = 0.10 * self.flow * self.dirt * dt, decay * self.dirt * dt
        digested = 0.5 * decay * self.filter * dt
        self.dirt += dung + softened * content + sloughed - moved - rotted
        self.filter += moved - digested
        self.clog += 1.6 * float(moved[0]) - 0.004 * self.clog * dt

        freed = passed - kept - dung + rotted + digested + spared * content + sloughed
        gas = c.gas * float(rotted[0] + digested[0])
        taken_n = take * (plant_gain * PLANT_N + (on_pane + on_other) * ALGAE_N) * dt
        taken_p = take * (plant_gain * PLANT_P + (on_pane + on_other) * ALGAE_P) * dt
        self.n += float(freed[0]) - gas - taken_n
        self.p += float(freed[1]) - taken_p
        self.alk += (taken_n + gas - float(freed[0])) / 14.0
        self.alk = max(self.alk, 0.05 * self.volume)
        self.flows["gas"] += gas
        self.flows["growth"] += float(kept[0])
        self._nitrify(dt, max(float(freed[0]) - 0.4 * taken_n, 0.2 * float(freed[0])) / dt)

    def _nitrify(self, dt: float, load: float) -> None:
        """Let ammonia and nitrite follow the load on the film, and the film follow the load."""
        level, room = [self.ammonia, self.nitrite], self.n / self.volume
        for i, (half, pace) in enumerate(((0.07, 0.12), (0.05, 0.08))):
            able = self.film[i] * (0.25 + 0.75 * min(self.flow, 1.0))
            x = min(load / able, 0.97)
            goal = half * x / (1.0 - x)
            step = min(0.7 * dt * (goal - level[i]), load / self.volume * dt)
            level[i] = min(max(level[i] + step, 0.01), 0.28 * room)
            speed = pace * self.c.film_pace if 3.2 * load > self.film[i] else 0.03
            self.film[i] = max(self.film[i] + dt * speed * (3.2 * load - self.film[i]), self.c.film_floor)
        self.ammonia, self.nitrite = level

    def _evaporate(self, dt: float) -> None:
        """Water leaves, what is dissolved stays."""
        self.volume -= min(self.c.surface_m2 * self.c.evaporation_mm * dt, 0.02 * self.volume)

    # ---- hands ----------------------------------------------------------------------------------------

    def feed(self, food: str, grams: float, uneaten: float = 0.05) -> None:
        """Feed so many true grams; the uneaten share sinks."""
        amount = grams * np.array(FOODS[food])
        self.gut += (1.0 - uneaten) * amount
        self.dirt += uneaten * amount
        self.flows["food"] += float(amount[0])

    def spoil(self, n: float, p: float) -> None:
        """Something unseen begins to rot: so many mg N and P (counted as food, there is no other word)."""
        self.dirt += np.array([n, p])
        self.flows["food"] += n

    def change(self, litres: float) -> None:
        """Take litres out and fill up to the mark with source water."""
        share = min(litres / self.volume, 0.95)
        self.flows["change"] += share * self.n
        self.n, self.p, self.alk = ((1.0 - share) * x for x in (self.n, self.p, self.alk))
        self.ammonia, self.nitrite = (1.0 - share) * self.ammonia, (1.0 - share) * self.nitrite
        self.volume *= 1.0 - share
        self.top_up(self.c.water_l - self.volume)

    def top_up(self, litres: float) -> None:
        """Pour in source water."""
        litres = max(litres, 0.0)
        self.flows["tap"] += litres * self.c.tap_no3 / NO3
        self.n += litres * self.c.tap_no3 / NO3
        self.p += litres * self.c.tap_po4 / PO4
        self.alk += litres * self.c.tap_kh * MEQ_PER_DKH
        self.volume += litres

    def siphon(self, share: float) -> None:
        """Draw off a share of the lying dirt and of the rotting plant."""
        self.flows["siphon"] += share * (float(self.dirt[0]) + 0.5 * self.rot * PLANT_N)
        self.dirt *= 1.0 - share
        self.rot *= 1.0 - 0.5 * share

    def scrape(self, leaves: float, on_tool: float) -> None:
        """Scrape the panes: a rest stays, a part leaves on the tool, the rest sinks."""
        off = (1.0 - leaves) * self.pane * self.c.pane_m2
        self.pane *= leaves
        self.flows["scraping"] += on_tool * off * ALGAE_N
        self.dirt += (1.0 - on_tool) * off * np.array([ALGAE_N, ALGAE_P])

    def thin(self, wet: float) -> None:
        """Take living plant out."""
        dry = min(wet * DRY, 0.98 * self.plant)
        self.plant -= dry
        self.healthy *= 1.0 - dry / (self.plant + dry)
        self.flows["thinning"] += dry * PLANT_N

    def take_dead(self, wet: float) -> float:
        """Take rotting plant out; returns the wet grams that were really there."""
        dry = min(wet * DRY, 0.9 * self.rot)
        self.rot -= dry
        self.flows["thinning"] += dry * PLANT_N
        return dry / DRY

    def add_plant(self, wet: float) -> None:
        """Put living plant in."""
        self.stress *= self.plant / (self.plant + wet * DRY)  # the new ones have not starved
        self.plant += wet * DRY
        self.flows["planted"] += wet * DRY * PLANT_N

    def rinse(self, share: float, film: float = 0.1) -> None:
        """Rinse media: so much dirt and so much film go down the drain."""
        self.flows["rinse"] += share * float(self.filter[0])
        self.filter *= 1.0 - share
        self.clog *= 1.0 - share
        self.film = [(1.0 - film) * x for x in self.film]

    def stir(self, share: float) -> None:
        """Old dirt of the ground goes into the water and lies on everything."""
        loose = share * (self.dirt + self.filter)
        self.dirt, self.filter = (1.0 - share) * self.dirt, (1.0 - share) * self.filter
        self.n += float(loose[0])
        self.ammonia += 0.5 * float(loose[0]) / self.volume
        self.p += float(loose[1])
        self.alk -= float(loose[0]) / 14.0
