"""What a gram of food brings into the tank: oxygen demand, carbon and nitrogen."""

from lentic.science.arrays import Array, Number, as_array


def food_nitrogen(protein: Number) -> Array:
    """Return the nitrogen of a food.

    Parameters
    ----------
    protein : Number
        Protein as fed. [g/g]

    Returns
    -------
    Array
        Nitrogen; same shape. [g/g]

    Notes
    -----
    ``protein / 6.25``, the convention by which the packet's protein was made.

    References
    ----------
    kjeldahl_convention
    """
    return as_array(protein) / 6.25


def food_oxygen_demand(protein: Number, fat: Number, carbohydrate: Number) -> Array:
    """Return the chemical oxygen demand of a food, its nitrogen left as ammonium.

    Parameters
    ----------
    protein : Number
        Protein as fed. [g/g]
    fat : Number
        Fat as fed. [g/g]
    carbohydrate : Number
        Carbohydrate as fed, fibre included. [g/g]

    Returns
    -------
    Array
        Chemical oxygen demand; broadcast shape. [g/g]

    Notes
    -----
    ``1.48 protein + 2.88 fat + 1.185 carbohydrate``, from mean formulas of the three (protein CH1.58 O0.31
    N0.27).

    References
    ----------
    food_composition_memory
    """
    return 1.48 * as_array(protein) + 2.88 * as_array(fat) + 1.185 * as_array(carbohydrate)


def food_carbon(protein: Number, fat: Number, carbohydrate: Number) -> Array:
    """Return the carbon of a food.

    Parameters
    ----------
    protein : Number
        Protein as fed. [g/g]
    fat : Number
        Fat as fed. [g/g]
    carbohydrate : Number
        Carbohydrate as fed, fibre included. [g/g]

    Returns
    -------
    Array
        Carbon; broadcast shape. [g/g]

    Notes
    -----
    ``0.537 protein + 0.77 fat + 0.444 carbohydrate``.

    References
    ----------
    food_composition_memory
    """
    return 0.537 * as_array(protein) + 0.77 * as_array(fat) + 0.444 * as_array(carbohydrate)


def carbohydrate_by_difference(protein: Number, fat: Number, ash: Number, water: Number) -> Array:
    """Return the carbohydrate, fibre included, of a food whose other parts are known.

    Parameters
    ----------
    protein : Number
        Protein as fed. [g/g]
    fat : Number
        Fat as fed. [g/g]
    ash : Number
        Ash as fed. [g/g]
    water : Number
        Water as fed. [g/g]

    Returns
    -------
    Array
        Carbohydrate; negative when the given parts exceed the whole; broadcast shape. [g/g]

    Notes
    -----
    ``1 - protein - fat - ash - water``.

    References
    ----------
    definition
    """
    return 1.0 - as_array(protein) - as_array(fat) - as_array(ash) - as_array(water)


def fish_feed_ammonia(feed: Number, protein: Number) -> Array:
    """Return the ammonia nitrogen that fed fish excrete, by the rule of recirculating fish farms.

    Parameters
    ----------
    feed : Number
        Feed given. [g/d]
    protein : Number
        Protein as fed. [g/g]

    Returns
    -------
    Array
        Total ammonia nitrogen; broadcast shape. [g/d]

    Notes
    -----
    ``0.092 feed protein``, that is 0.16 nitrogen in protein, of which 0.8, 0.8 and 0.9 are digested, excreted
    and excreted as ammonia; solids are taken out of the water in such farms.

    References
    ----------
    timmons_ebeling_2013
    """
    return 0.092 * as_array(feed) * protein


def excreted_nitrogen(food: Number, protein: Number, uneaten: Number, assimilated: Number, retained: Number) -> Array:
    """Return the nitrogen a fed animal sets free into the water.

    Parameters
    ----------
    food : Number
        Food given. [g/d]
    protein : Number
        Protein as fed. [g/g]
    uneaten : Number
        Share left uneaten; it goes to the sludge. [-]
    assimilated : Number
        Share of the eaten nitrogen that is digested. [-]
    retained : Number
        Share of the digested nitrogen that becomes tissue; all undigested nitrogen is taken to be
        mineralised. [-]

    Returns
    -------
    Array
        Nitrogen that reaches the water, uneaten food and faeces included once they have rotted; broadcast
        shape. [g/d]

    Notes
    -----
    ``food N (1 - (1 - uneaten) assimilated retained)``.

    References
    ----------
    mass_balance
    """
    eaten = 1.0 - as_array(uneaten)
    return as_array(food) * food_nitrogen(protein) * (1.0 - eaten * assimilated * retained)


def nitrate_rise(nitrogen: Number, volume: Number) -> Array:
    """Return the rise of nitrate nitrogen when nothing takes it up.

    Parameters
    ----------
    nitrogen : Number
        Nitrogen set free into the water. [g/d]
    volume : Number
        Volume of the water. [L]

    Returns
    -------
    Array
        Rise of the concentration; broadcast shape. [mg/L/d]

    Notes
    -----
    ``1000 nitrogen / volume``.

    References
    ----------
    mass_balance
    """
    return 1000.0 * as_array(nitrogen) / volume


def change_to_hold_nitrate(nitrogen: Number, limit: Number, source: Number) -> Array:
    """Return the new water that keeps nitrate at a limit when nothing else takes the nitrogen up.

    Parameters
    ----------
    nitrogen : Number
        Nitrogen set free into the water. [mg/week]
    limit : Number
        Nitrate nitrogen just before a change. [mg/L]
    source : Number
        Nitrate nitrogen of the new water, below the limit. [mg/L]

    Returns
    -------
    Array
        Water to change; broadcast shape. [L/week]

    Notes
    -----
    ``nitrogen / (limit - source)``: in a steady week a change carries out what came in. Plants, gas and thrown-out
    dirt lower it.

    References
    ----------
    mass_balance
    """
    return as_array(nitrogen) / (as_array(limit) - source)
