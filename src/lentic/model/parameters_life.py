# ruff: noqa: E501 - a table reads best with one parameter a line
"""Parameters of animals, dirt, bacteria and algae.

Life kinetics are tuned so that common trade facts come out (a pane scraped every four days without plants, a
new tank settling in a month); published ranges stand beside them.
"""

from __future__ import annotations

import math

from lentic.model.parameters import Fixed, LogNormal, Normal, Parameter, Share, row

_TUNED = "tuned; no source"
_SD_PH = 0.15 * math.log(10.0)

ANIMALS: tuple[Parameter, ...] = (
    row("turtle_gut_rate", 0.7, "1/d", LogNormal(sd=0.4), "gut passage of turtles at 25 °C", "passage 1-4 d at 25-30 °C, from memory", "memory"),
    row("fish_gut_rate", 2.5, "1/d", LogNormal(sd=0.4), "gut passage of fishes at 25 °C", "from memory", "memory"),
    row("gut_warming", math.log(2.2) / 10.0, "1/K", Fixed(), "ln 2.2 over ten degrees, rise of gut passage", "from memory", "memory"),
    row("turtle_digests_energy", 0.85, "-", Share(low=0.75, high=0.95), "energy and carbon the turtle digests", "90.7 % (Jing & Niu 2008, abstract); greens 0.5-0.7 from memory", "read"),
    row("turtle_digests_n", 0.90, "-", Share(low=0.80, high=0.97), "nitrogen the turtle digests", "shrimp 97 % in juvenile sliders (Bouchard & Bjorndal 2006, abstract)", "read"),
    row("turtle_digests_p", 0.55, "-", Share(low=0.30, high=0.70), "phosphorus the turtle digests", "bone phosphorus is poorly soluble, from memory", "memory"),
    row("turtle_keeps_energy", 0.06, "-", Share(low=0.01, high=0.15), "digested energy and carbon kept as growth, sub-adult", "growth energy up to 13.1 % (Lei 2005, abstract)", "read"),
    row("turtle_keeps_n", 0.10, "-", Share(low=0.02, high=0.30), "digested nitrogen kept as growth, sub-adult", "up to 21.5 % (Lei 2005, abstract)", "read"),
    row("turtle_keeps_p", 0.30, "-", Share(low=0.10, high=0.60), "digested phosphorus kept in shell and bone", "from memory", "memory"),
    row("turtle_ammonia_share", 0.35, "-", Share(low=0.19, high=0.66), "excreted nitrogen as ammonia", "18.8-65.9 % (review abstract); the split hardly matters", "read"),
    row("turtle_uric_share", 0.10, "-", Share(low=0.03, high=0.25), "excreted nitrogen as uric acid, goes to dirt", "review abstract", "read"),
    row("turtle_labile_share", 0.75, "-", Share(low=0.50, high=0.90), "faeces of turtles that rot quickly", _TUNED, "tuned"),
    row("turtle_exhales_water", 0.15, "-", Share(low=0.05, high=0.30), "breathed-out carbon that leaves into the water", "skin and cloaca, from memory", "memory"),
    row("fish_digests_energy", 0.85, "-", Share(low=0.75, high=0.95), "energy and carbon fishes digest", "taken over from turtles, themselves partly from memory", "memory"),
    row("fish_digests_n", 0.85, "-", Share(low=0.75, high=0.93), "nitrogen fishes digest", "chosen to meet 0.126 g N per g protein (Timmons & Ebeling, from memory)", "memory"),
    row("fish_digests_p", 0.50, "-", Share(low=0.30, high=0.70), "phosphorus fishes digest", "from memory", "memory"),
    row("fish_keeps_energy", 0.25, "-", Share(low=0.10, high=0.40), "digested energy and carbon kept as growth", "taken over from nitrogen, from memory", "memory"),
    row("fish_keeps_n", 0.25, "-", Share(low=0.10, high=0.40), "digested nitrogen kept as growth", "from memory", "memory"),
    row("fish_keeps_p", 0.25, "-", Share(low=0.10, high=0.40), "digested phosphorus kept as growth", "from memory", "memory"),
    row("fish_ammonia_share", 0.88, "-", Share(low=0.75, high=0.95), "excreted nitrogen as ammonia, rest urea", "from memory", "memory"),
    row("fish_labile_share", 0.75, "-", Share(low=0.50, high=0.90), "faeces of fishes that rot quickly", _TUNED, "tuned"),
    row("urea_rate", 2.0, "1/d", LogNormal(sd=0.7), "urea split a day at 20 °C", "fast urease in mature tanks, from memory", "memory"),
)  # fmt: skip

DIRT: tuple[Parameter, ...] = (
    row("warming", math.log(1.07), "1/K", Normal(sd=0.0095), "ln 1.07, rise of rotting and decay per degree", "1.07 (PCLake), 1.047-1.074 (river modules); both read", "read"),
    row("labile_rate", 0.20, "1/d", LogNormal(sd=0.5), "rotting of quick dirt at 20 °C", "between 0.1 (river modules) and 3 per day (ASM hydrolysis); both read", "read"),
    row("refractory_rate", 0.015, "1/d", LogNormal(sd=0.6), "rotting of slow dirt at 20 °C", "leaf breakdown 0.010-0.10 (Xie 2004), lake matter 0.01, sediment 0.002 (PCLake); read", "read"),
    row("denitrified_tank", 0.12, "-", Share(low=0.03, high=0.40), "rotting in the tank that turns to nitrate", "tuned; deep gravel can be several times more", "tuned"),
    row("denitrified_filter", 0.04, "-", Share(low=0.01, high=0.18), "rotting in the filter that turns to nitrate", _TUNED, "tuned"),
    row("to_filter_rate", 0.25, "1/d", LogNormal(sd=0.6), "loose dirt carried into the filter", _TUNED, "tuned"),
    row("clogging_half_cod", 60.0, "g COD", LogNormal(sd=0.7), "dirt in the filter that halves its flow", _TUNED, "tuned"),
)  # fmt: skip

NITRIFICATION: tuple[Parameter, ...] = (
    row("mu_ammonia", 0.55, "1/d", LogNormal(sd=0.3), "growth of ammonia oxidisers at 20 °C", "0.29-0.76 (Pedersen 2018 as cited in a fish-farm model, read)", "read"),
    row("mu_nitrite", 0.50, "1/d", LogNormal(sd=0.3), "growth of nitrite oxidisers at 20 °C", "0.28-1.04 (Pedersen 2018 as cited in a fish-farm model, read)", "read"),
    row("decay_ammonia", 0.12, "1/d", LogNormal(sd=0.4), "decay of ammonia oxidisers at 20 °C", "0.05-0.15 (fish-farm model, ASM2d), 0.2 (Siegrist 1999); read", "read"),
    row("decay_nitrite", 0.10, "1/d", LogNormal(sd=0.4), "decay of nitrite oxidisers at 20 °C", "0.05-0.15 (fish-farm model, ASM2d), 0.2 (Siegrist 1999); read", "read"),
    row("decay_stagnant", 0.10, "1/d", LogNormal(sd=1.0), "extra loss in a filter without flow", "tuned between 0.03 (anaerobic, read) and hobby lore of hours", "tuned"),
    row("half_ammonia", 0.12, "g N/m3", LogNormal(sd=0.7), "ammonium that gives half the speed", "tuned; free ammonia 0.01 mg N/L (fish-farm model, read) is 0.1-0.3 total", "tuned"),
    row("half_nitrite", 0.12, "g N/m3", LogNormal(sd=0.7), "nitrite that gives half the speed", _TUNED, "tuned"),
    row("half_oxygen_ammonia", 0.5, "g O2/m3", LogNormal(sd=0.4), "oxygen that gives half the speed, first step", "0.4-0.5 (ASM, read)", "read"),
    row("half_oxygen_nitrite", 0.8, "g O2/m3", LogNormal(sd=0.4), "oxygen that gives half the speed, second step", "higher than the first step, from memory", "memory"),
    row("half_alkalinity", 0.25, "eq/m3", LogNormal(sd=0.4), "alkalinity that gives half the speed", "0.3 (fish-farm model), 0.5 (ASM2d); read", "read"),
    row("yield_ammonia", 0.18, "g COD/g N", LogNormal(sd=0.25), "ammonia oxidisers grown per N", "sum of both steps 0.24 (ASM1, read)", "read"),
    row("yield_nitrite", 0.06, "g COD/g N", LogNormal(sd=0.25), "nitrite oxidisers grown per N", "sum of both steps 0.24 (ASM1, read)", "read"),
    row("nitrifier_h_lo", 10.0**-5.9, "mol/L", LogNormal(sd=_SD_PH), "acidity that halves the speed, pH 5.9", "from memory, ±0.3 pH", "memory"),
    row("nitrifier_h_hi", 10.0**-9.6, "mol/L", LogNormal(sd=_SD_PH), "alkaline end that halves the speed, pH 9.6", "from memory, ±0.3 pH", "memory"),
    row("nitrifier_low_c", 4.0, "°C", Fixed(), "no growth below", "tuned cardinal points; Rosso 1993 form", "tuned"),
    row("nitrifier_best_c", 31.0, "°C", Fixed(), "fastest growth", "tuned cardinal points; Rosso 1993 form", "tuned"),
    row("nitrifier_high_c", 40.0, "°C", Fixed(), "no growth above", "tuned cardinal points; Rosso 1993 form", "tuned"),
    row("ammonia_blocks", 1.0, "g N/m3", LogNormal(sd=0.8), "free ammonia that halves nitrite oxidation", "Anthonisen 1976: 0.1-1, from memory", "memory"),
    row("nitrous_acid_blocks", 0.02, "g N/m3", LogNormal(sd=0.8), "nitrous acid that halves nitrite oxidation", "Anthonisen 1976: 0.2-2.8, lower in later work; from memory", "memory"),
    row("nitrous_acid_k", 4.46e-4, "mol/L", Fixed(), "dissociation of nitrous acid, exp(-2300/T) at 25 °C", "Anthonisen 1976, from memory", "memory"),
    row("film_filter_m_d", 2.0, "m/d", LogNormal(sd=0.5), "transfer through the film on the media", "diffusion 1.7e-4 m2/d over 80-250 um, from memory", "memory"),
    row("film_surfaces_m_d", 0.7, "m/d", LogNormal(sd=0.5), "transfer through the film on glass and decor", "as on the media, slower flow; from memory", "memory"),
    row("crowding_filter", 0.20, "g COD/m2", LogNormal(sd=0.7), "most bacteria per area of media", "tuned; fish farms take up 0.2-1 g N/m2/d (from memory)", "tuned"),
    row("crowding_surfaces", 0.03, "g COD/m2", LogNormal(sd=0.7), "most bacteria per area of glass and decor", _TUNED, "tuned"),
    row("seeding_rate", 0.003, "1/d", LogNormal(sd=1.0), "bacteria of the surfaces that settle in the filter", _TUNED, "tuned"),
    row("ammonia_oxidiser_activity", 1.0, "-", Fixed(), "1, or what a medication leaves of the first step", "1 by definition; events change it", "computed"),
    row("nitrite_oxidiser_activity", 1.0, "-", Fixed(), "1, or what a medication leaves of the second step", "1 by definition; events change it", "computed"),
)  # fmt: skip

ALGAE: tuple[Parameter, ...] = (
    row("algae_vigour", 1.0, "-", Fixed(), "drifting factor on the gross growth of all algae", "1 by definition; how it drifts is learned", "computed"),
    row("algae_mu", 2.5, "1/d", LogNormal(sd=0.3), "growth of algae on surfaces in full light at 20 °C", "3.36 at 25 °C lies between Eppley 2.87 and Bissinger 3.92 (both read)", "read"),
    row("algae_ik", 50.0, "umol/m2/s", LogNormal(sd=0.4), "light at the onset of saturation", "tuned, shade-grown film; tables for large algae say 100-140 (read)", "tuned"),
    row("algae_half_n", 0.06, "g N/m3", LogNormal(sd=0.9), "nitrogen that gives half the growth", "tuned; saturation 0.0085-2.45 mg/L (Schmidt 2019, abstract)", "tuned"),
    row("algae_half_p", 0.010, "g P/m3", LogNormal(sd=0.9), "phosphorus that gives half the growth", "tuned; saturation 0.0025-0.029 mg/L (Schmidt 2019, abstract)", "tuned"),
    row("algae_half_carbon", 0.25, "g C/m3", LogNormal(sd=0.7), "usable carbon that gives half the growth", _TUNED, "tuned"),
    row("algae_bicarbonate_use", 0.02, "-", LogNormal(sd=0.7), "use of bicarbonate against carbon dioxide", _TUNED, "tuned"),
    row("algae_h_max", 10.0**-9.7, "mol/L", LogNormal(sd=_SD_PH), "alkaline end that halves growth, pH 9.7", "tuned, ±0.3 pH", "tuned"),
    row("algae_respiration", 0.10, "1/d", LogNormal(sd=0.4), "respiration at 20 °C", "0.07-0.2 (three published models, read)", "read"),
    row("algae_warming", math.log(1.06), "1/K", Fixed(), "ln 1.06, rise of respiration per degree", "tuned; published 1.04-1.08 (from memory)", "tuned"),
    row("algae_slough", 0.02, "1/d", LogNormal(sd=0.4), "tearing off at a fifth of the fullest film", _TUNED, "tuned"),
    row("algae_self_shade", 0.15, "m2/g", LogNormal(sd=0.4), "shade inside the film", "tuned; half growth at 10 g/m2 in a river model (read)", "tuned"),
    row("algae_full_film", 25.0, "g/m2", LogNormal(sd=0.4), "thickest film", _TUNED, "tuned"),
    row("algae_low_c", 4.0, "°C", Fixed(), "no growth below", "tuned cardinal points; Rosso 1993 form", "tuned"),
    row("algae_best_c", 28.0, "°C", Fixed(), "fastest growth", "tuned cardinal points; Rosso 1993 form", "tuned"),
    row("algae_high_c", 38.0, "°C", Fixed(), "no growth above", "tuned cardinal points; Rosso 1993 form", "tuned"),
    row("ammonium_first", 0.025, "g N/m3", Fixed(), "how strongly algae prefer ammonium", "preference formula of river models, constant from memory", "memory"),
    row("suppression_inverse", 1.0 / 400.0, "m3/g", LogNormal(sd=1.0), "what plants do to algae besides light, food and carbon; 0 = nothing", "tuned, no number exists; evidence both ways (Lombardo & Cooke 2003; allelopathy reviews, abstracts)", "tuned"),
    row("algae_settle", 0.35, "1/d", LogNormal(sd=1.0), "torn-off algae that take hold again", _TUNED, "tuned"),
    row("grazing_rate", 0.0, "1/d", Fixed(), "algae eaten by snails, shrimps, fishes; set by the stock", "0 without grazers; common practice, no source", "tank"),
    row("adrift_sinking", 1.5, "1/d", LogNormal(sd=0.5), "sinking of torn-off algae", _TUNED, "tuned"),
    row("adrift_death", 0.25, "1/d", LogNormal(sd=0.5), "death of torn-off algae", _TUNED, "tuned"),
    row("capture_share", 0.03, "-", LogNormal(sd=0.7), "floating algae kept at each pass of the filter", _TUNED, "tuned"),
    row("green_water_mu", 1.6, "1/d", LogNormal(sd=0.3), "growth of green water in full light at 20 °C", "greens 1.5 (PCLake, read)", "read"),
    row("green_water_half_n", 0.03, "g N/m3", LogNormal(sd=0.9), "nitrogen that gives half the growth", "0.04 (river model, read)", "read"),
    row("green_water_half_p", 0.005, "g P/m3", LogNormal(sd=0.9), "phosphorus that gives half the growth", "0.0012 (river model, read)", "read"),
    row("green_water_death", 0.10, "1/d", LogNormal(sd=0.5), "death of green water", _TUNED, "tuned"),
    row("green_water_sinking_m_d", 0.15, "m/d", LogNormal(sd=0.5), "settling of green water", "0.2 (PCLake, read)", "read"),
    row("green_water_to_panes", 0.01, "1/d", LogNormal(sd=1.0), "green water that settles on panes", _TUNED, "tuned"),
)  # fmt: skip

LIFE: tuple[Parameter, ...] = (*ANIMALS, *DIRT, *NITRIFICATION, *ALGAE)
