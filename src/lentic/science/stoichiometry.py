"""What each reaction of nitrogen, phosphorus and carbon takes and gives, solved from atoms and charge."""

from lentic.science import constants as m
from lentic.science.arrays import Array, Number, as_array

NITRATE_ELECTRONS = 8  # lost by nitrogen from ammonium to nitrate
NITRITE_ELECTRONS = 6  # from ammonium to nitrite
BIOMASS = (5, 7, 2, 1)  # C5H7O2N, the mean formula of bacteria [hoover_porges_1952]


def oxygen_per_nitrogen(electrons: Number) -> Array:
    """Return the oxygen that oxidises nitrogen, no cells being built.

    Parameters
    ----------
    electrons : Number
        Electrons each nitrogen loses: 8 from ammonium to nitrate, 6 to nitrite, 2 from nitrite on. [mol/mol]

    Returns
    -------
    Array
        Oxygen per nitrogen; same shape. [g/g]

    Notes
    -----
    Four electrons per O2.

    References
    ----------
    iupac_atomic_weights
    """
    return as_array(electrons) / 4.0 * m.OXYGEN_GAS / m.NITROGEN


def alkalinity_per_nitrogen(equivalents: Number) -> Array:
    """Return a change of alkalinity as lime per nitrogen.

    Parameters
    ----------
    equivalents : Number
        Per mole of nitrogen: -2 nitrification, +1 ammonification, +1 uptake or loss of nitrate. [eq/mol]

    Returns
    -------
    Array
        Calcium carbonate per nitrogen; same shape. [g/g]

    Notes
    -----
    ``eq · 50.04 / 14.007``. From food to nitrate the net is -1, half of what textbooks print for
    nitrification.

    References
    ----------
    wolf_gladrow_2007, iupac_atomic_weights
    """
    return as_array(equivalents) * m.CALCIUM_CARBONATE / 2.0 / m.NITROGEN


def nitrate_per_hardness_lost(alkalinity: Number) -> Array:
    """Return the nitrate that forms while food nitrogen lowers the alkalinity by one unit.

    Parameters
    ----------
    alkalinity : Number
        Alkalinity lost. [meq/L]

    Returns
    -------
    Array
        Nitrate as NO3; same shape. [mg/L]

    Notes
    -----
    One equivalent per mole of nitrogen that goes from food to nitrate; phosphate and denitrification not
    counted.

    References
    ----------
    wolf_gladrow_2007
    """
    return as_array(alkalinity) * m.NITRATE


def nitrification_with_growth(
    oxygen: Number = 1.83, bicarbonate: Number = 1.97, cells: Number = 0.0244
) -> tuple[Array, Array, Array]:
    """Return what nitrification takes and gives when it builds cells, by the printed equation of moles.

    Parameters
    ----------
    oxygen  : Number
        Oxygen per ammonium. [mol/mol]
    bicarbonate  : Number
        Bicarbonate per ammonium. [mol/mol]
    cells  : Number
        Cells C5H7O2N per ammonium. [mol/mol]

    Returns
    -------
    Array
        Oxygen per nitrogen; same shape. [g/g]
    Array
        Alkalinity as CaCO3 per nitrogen; same shape. [g/g]
    Array
        Cells per nitrogen; same shape. [g/g]

    Notes
    -----
    ``NH4 + 1.83 O2 + 1.97 HCO3 = 0.0244 C5H7O2N + 0.976 NO3 + 2.90 H2O + 1.86 CO2``; its carbon does not
    close by 0.012 mol, which is why `growth_oxygen` is solved instead.

    References
    ----------
    ebeling_2006
    """
    c, h, o, n = BIOMASS
    cell_mass = c * m.CARBON + h * m.HYDROGEN + o * m.OXYGEN + n * m.NITROGEN
    return (
        as_array(oxygen) * m.OXYGEN_GAS / m.NITROGEN,
        as_array(bicarbonate) * m.CALCIUM_CARBONATE / 2.0 / m.NITROGEN,
        as_array(cells) * cell_mass / m.NITROGEN,
    )


def oxygen_demand_in_moles(
    carbon: Number, hydrogen: Number, oxygen: Number, nitrogen: Number = 0.0, phosphorus: Number = 0.0
) -> Array:
    """Return the oxygen that burns a compound, its nitrogen left as ammonium and its phosphorus as phosphate.

    Parameters
    ----------
    carbon : Number
        Carbon of the formula. [mol]
    hydrogen : Number
        Hydrogen of the formula. [mol]
    oxygen : Number
        Oxygen of the formula. [mol]
    nitrogen  : Number
        Nitrogen of the formula. [mol]
    phosphorus  : Number
        Phosphorus of the formula. [mol]

    Returns
    -------
    Array
        Oxygen O2; broadcast shape. [mol]

    Notes
    -----
    ``C + H/4 - O/2 - 3N/4 + 5P/4``.

    References
    ----------
    mass_balance
    """
    hydrogens = as_array(carbon) + as_array(hydrogen) / 4.0 - as_array(oxygen) / 2.0
    return hydrogens - 0.75 * as_array(nitrogen) + 1.25 * as_array(phosphorus)


def oxygen_demand_by_mass(carbon: Number, hydrogen: Number, oxygen: Number, nitrogen: Number = 0.0) -> Array:
    """Return the chemical oxygen demand of a compound by mass.

    Parameters
    ----------
    carbon : Number
        Carbon of the formula. [mol]
    hydrogen : Number
        Hydrogen of the formula. [mol]
    oxygen : Number
        Oxygen of the formula. [mol]
    nitrogen  : Number
        Nitrogen of the formula. [mol]

    Returns
    -------
    Array
        Oxygen per compound; broadcast shape. [g/g]

    Notes
    -----
    `oxygen_demand_in_moles` over the mass of the formula.

    References
    ----------
    mass_balance, iupac_atomic_weights
    """
    mass = as_array(carbon) * m.CARBON + as_array(hydrogen) * m.HYDROGEN
    mass = mass + as_array(oxygen) * m.OXYGEN + as_array(nitrogen) * m.NITROGEN
    return oxygen_demand_in_moles(carbon, hydrogen, oxygen, nitrogen) * m.OXYGEN_GAS / mass


def growth_oxygen(electrons: Number, growth_yield: Number) -> Array:
    """Return the oxygen that nitrifiers use for each gram of cells they build.

    Parameters
    ----------
    electrons : Number
        Electrons each nitrogen loses: 8, 6 or 2. [mol/mol]
    growth_yield : Number
        Cells built per nitrogen oxidised. [g COD/g N]

    Returns
    -------
    Array
        Oxygen used, below nought; broadcast shape. [g/g COD]

    Notes
    -----
    ``-(oxygen per nitrogen - Y) / Y``.

    References
    ----------
    henze_2000
    """
    return 1.0 - oxygen_per_nitrogen(electrons) / as_array(growth_yield)


def growth_ammonium(growth_yield: Number, cell_nitrogen: Number) -> Array:
    """Return the ammonium that ammonia oxidisers take for each gram of cells they build.

    Parameters
    ----------
    growth_yield : Number
        Cells built per nitrogen oxidised. [g COD/g N]
    cell_nitrogen : Number
        Nitrogen of the cells. [g N/g COD]

    Returns
    -------
    Array
        Ammonium nitrogen taken, below nought; broadcast shape. [g N/g COD]

    Notes
    -----
    ``-(1/Y + iN)``.

    References
    ----------
    henze_2000
    """
    return -(1.0 / as_array(growth_yield) + cell_nitrogen)


def alkalinity_change(ammonia: Number, nitrite: Number, nitrate: Number, phosphate: Number) -> Array:
    """Return the change of alkalinity that goes with changes of dissolved nitrogen and phosphorus.

    Parameters
    ----------
    ammonia : Number
        Change of total ammonia. [g N]
    nitrite : Number
        Change of nitrite. [g N]
    nitrate : Number
        Change of nitrate. [g N]
    phosphate : Number
        Change of total phosphate. [g P]

    Returns
    -------
    Array
        Change of alkalinity; broadcast shape. [eq]

    Notes
    -----
    Explicit-conservative: ``dNH/14.007 - dNO2/14.007 - dNO3/14.007 - dPO4/30.974``. River models print
    -14/106 and +18/106 per algal carbon because they count phosphate apart.

    References
    ----------
    wolf_gladrow_2007
    """
    nitrogen = as_array(ammonia) - nitrite - nitrate
    return nitrogen / m.NITROGEN - as_array(phosphate) / m.PHOSPHORUS


def alga_oxygen(oxygen_demand: Number, nitrogen: Number, nitrate_share: Number) -> Array:
    """Return the oxygen an alga sets free for each gram it grows.

    Parameters
    ----------
    oxygen_demand : Number
        Oxygen demand of the dry alga, nitrogen as ammonium. [g/g]
    nitrogen : Number
        Nitrogen of the dry alga. [g/g]
    nitrate_share : Number
        Share of the nitrogen taken as nitrate. [-]

    Returns
    -------
    Array
        Oxygen; broadcast shape. [g/g]

    Notes
    -----
    ``COD + share iN · 64/14``: nitrate brings its oxygen along.

    References
    ----------
    mass_balance
    """
    return as_array(oxygen_demand) + as_array(nitrate_share) * nitrogen * oxygen_per_nitrogen(
        NITRATE_ELECTRONS
    )


def urea_carbon(nitrogen: Number) -> Array:
    """Return the carbon that urea sets free per nitrogen.

    Parameters
    ----------
    nitrogen : Number
        Urea nitrogen that is split. [g]

    Returns
    -------
    Array
        Inorganic carbon; same shape. [g]

    Notes
    -----
    One carbon per two nitrogen, CO(NH2)2.

    References
    ----------
    iupac_atomic_weights
    """
    return as_array(nitrogen) * m.CARBON / (2.0 * m.NITROGEN)


def feed_oxygen_demand(oxygen_demand: Number, nitrogen: Number, burnt: Number, nitrified: Number) -> Array:
    """Return the oxygen the water must find for a gram of food.

    Parameters
    ----------
    oxygen_demand : Number
        Oxygen demand of the food. [g/g]
    nitrogen : Number
        Nitrogen of the food. [g/g]
    burnt : Number
        Share of the carbon that ends as carbon dioxide. [-]
    nitrified : Number
        Share of the nitrogen that ends as nitrate. [-]

    Returns
    -------
    Array
        Oxygen; broadcast shape. [g/g]

    Notes
    -----
    ``COD burnt + 4.57 N nitrified``.

    References
    ----------
    boyd_feed
    """
    return (
        as_array(oxygen_demand) * burnt
        + oxygen_per_nitrogen(NITRATE_ELECTRONS) * as_array(nitrogen) * nitrified
    )


def nitrogen_oxidised(growth_yield: Number) -> Array:
    """Return the nitrogen that nitrifiers oxidise for each gram of cells they build.

    Parameters
    ----------
    growth_yield : Number
        Cells built per nitrogen oxidised. [g COD/g N]

    Returns
    -------
    Array
        Nitrogen oxidised; same shape. [g N/g COD]

    Notes
    -----
    ``1 / Y``.

    References
    ----------
    henze_2000
    """
    return 1.0 / as_array(growth_yield)
