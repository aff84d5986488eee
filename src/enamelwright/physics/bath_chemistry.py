"""Counting by moles in an oxide-cleaning bath: acid taken up, soda that answers it, gas, sludge and what clings.

Formulas only. Molar masses, factors and constants come in as arguments.
"""

from __future__ import annotations

import math

from enamelwright.errors import InputError

#: Acid that one copper(II) takes up: CuO + 2 H+ -> Cu2+ + H2O [mol/mol].
ACID_PER_COPPER = 2
#: Acid that one carbonate takes up: CO3(2-) + 2 H+ -> CO2 + H2O [mol/mol]. A bicarbonate takes one.
ACID_PER_CARBONATE = 2


def not_negative(**numbers: float) -> None:
    """Refuse numbers that are not finite or below nothing.

    Parameters
    ----------
    **numbers : float
        Named as they are to be complained of.

    Raises
    ------
    InputError
        Naming the number.
    """
    for name, number in numbers.items():
        if not math.isfinite(number) or number < 0:
            raise InputError(f"the {name.replace('_', ' ')} is not a number of nothing or more.", "Weigh it again.")


def amount(mass: float, molar_mass: float) -> float:
    """Return how much of a substance a mass is [mol].

    Parameters
    ----------
    mass : float
        [kg], not negative.
    molar_mass : float
        [kg/mol].
    """
    not_negative(mass=mass)
    return mass / molar_mass


def acid_taken_up(copper: float, acid: float) -> float:
    """Return the share of the acid first put in that the copper now dissolved has taken up.

    Copper goes into the bath as copper(II) with two acids each, as the oxide dissolves and, with air, as bare
    metal is attacked. pH hardly moves while this share grows, so pH does not tell what is left.

    Parameters
    ----------
    copper : float
        Copper in the bath [mol].
    acid : float
        Usable acid first put in [mol].

    Returns
    -------
    float
        0 for a fresh bath; 1 when no acid is left; more when more oxide went in than it can take.

    Raises
    ------
    InputError
        When a number is negative or there is no acid.
    """
    not_negative(copper=copper, acid=acid)
    if acid == 0:
        raise InputError("without acid no share of it is taken up.", "Say how much acid is in the bath.")
    return ACID_PER_COPPER * copper / acid


def oxide_to_the_end(acid: float, molar_mass: float, atoms: int = 1) -> float:
    """Return the mass of oxide that takes up all the acid [kg].

    Parameters
    ----------
    acid : float
        Usable acid [mol].
    molar_mass : float
        Of the oxide [kg/mol].
    atoms : int
        Copper atoms in its formula.
    """
    not_negative(acid=acid)
    return acid / (ACID_PER_COPPER * atoms) * molar_mass


def soda_mass(acid: float, factor: float, molar_mass: float, takes: int = ACID_PER_CARBONATE) -> float:
    """Return the mass of soda that answers the acid first put in, times a factor [kg].

    The acid first put in counts, not what is left: as copper settles, its salt gives the acid back.

    Parameters
    ----------
    acid : float
        All acid first put in, every proton of it [mol].
    factor : float
        1 answers it exactly.
    molar_mass : float
        Of the soda as it is in the packet, with its water [kg/mol].
    takes : int
        Acids that one formula takes up: 2 for a carbonate, 1 for a bicarbonate.
    """
    not_negative(acid=acid, factor=factor)
    return factor * acid / takes * molar_mass


def gas_volume(soda: float, molar_volume: float) -> float:
    """Return the carbon dioxide that soda can give off at most [m3]: one for each carbonate or bicarbonate.

    Parameters
    ----------
    soda : float
        Soda put in [mol].
    molar_volume : float
        Of the gas at room conditions [m3/mol].
    """
    not_negative(soda=soda)
    return soda * molar_volume


def solid_mass(copper: float, molar_mass: float, atoms: int = 1) -> float:
    """Return the dry solid that holds an amount of copper [kg].

    Parameters
    ----------
    copper : float
        [mol].
    molar_mass : float
        Of the solid [kg/mol].
    atoms : int
        Copper atoms in its formula.
    """
    not_negative(copper=copper)
    return copper / atoms * molar_mass


def carried_over(concentration: float, drag_out: float, water: float) -> float:
    """Return the concentration of a rinse after one load has carried bath into it.

    Parameters
    ----------
    concentration : float
        In the bath [kg/m3].
    drag_out : float
        Bath that clings to the load [m3].
    water : float
        Rinse before [m3].

    Raises
    ------
    InputError
        When there is neither rinse nor drag-out.
    """
    not_negative(concentration=concentration, drag_out=drag_out, water=water)
    if drag_out + water == 0:
        raise InputError("without water there is no rinse.", "Say how much water the rinse holds.")
    return concentration * drag_out / (drag_out + water)


def water_to_reach(volume: float, concentration: float, target: float) -> float:
    """Return the water that would thin a liquor down to a concentration [m3]: to show that thinning is no treatment.

    Parameters
    ----------
    volume : float
        Liquor [m3].
    concentration, target : float
        Now, and wanted [kg/m3].
    """
    not_negative(volume=volume, concentration=concentration)
    if not target > 0:
        raise InputError("nothing is thinned down to nothing.", "Name a concentration.")
    return max(0.0, volume * (concentration / target - 1))


def glass_to_reach(volume: float, target: float, share: float) -> float:
    """Return the mass of glass that, wholly dissolved, brings a liquor to a concentration of one of its metals [kg].

    Parameters
    ----------
    volume : float
        Liquor [m3].
    target : float
        [kg/m3].
    share : float
        Mass of the metal in a mass of glass, above 0 and at most 1.
    """
    not_negative(volume=volume, target=target)
    if not 0 < share <= 1:
        raise InputError("the metal is more than nothing of the glass and at most all of it.", "Give its share.")
    return volume * target / share


def hardness_criterion(hardness: float, slope: float, intercept: float, factor: float) -> float:
    """Return a criterion for dissolved metal in fresh water: ``factor exp(slope ln H + intercept)`` [µg/L].

    Source: 40 CFR 132, tables 1 and 2; tests/published/test_cfr40_water_and_waste.py. The regulation rounds the
    result to two digits.

    Parameters
    ----------
    hardness : float
        H, as calcium carbonate [mg/L].
    slope, intercept : float
        Of the table, for H in mg/L and a result in µg/L.
    factor : float
        From total to dissolved metal.
    """
    if not math.isfinite(hardness) or hardness <= 0:
        raise InputError("the hardness of water is above nothing.", "Ask your water works.")
    return factor * math.exp(slope * math.log(hardness) + intercept)


def davies(charge: int, ionic_strength: float, slope: float, rise: float) -> float:
    """Return log10 of the activity coefficient of an ion by the equation of Davies.

    An extrapolation above about 0.5 mol/kg; spent baths are at 0.5 to 1.2.

    Source: C. W. Davies, Ion Association (1962), with A 0.509 and 0.3 at 25 °C.

    Parameters
    ----------
    charge : int
        Of the ion.
    ionic_strength : float
        [mol/kg].
    slope, rise : float
        A, and the factor of the linear term.
    """
    not_negative(ionic_strength=ionic_strength)
    root = math.sqrt(ionic_strength)
    return -slope * charge**2 * (root / (1 + root) - rise * ionic_strength)


def aquatic_class(share: float, weight: float, bound: float) -> int:
    """Return the chronic class of a mixture with one ingredient of class 1: 1, 2, 3, or 0 for none.

    Source: Regulation (EC) 1272/2008, annex I, table 4.1.2; United Nations GHS, chapter 4.1.

    Parameters
    ----------
    share : float
        Mass of the ingredient in a mass of the mixture.
    weight : float
        Its M-factor.
    bound : float
        Share from which a mixture carries the class.
    """
    not_negative(share=share, weight=weight)
    for found in (1, 2, 3):
        # Each class further counts the ingredient ten times as heavily.
        if 10 ** (found - 1) * share * weight >= bound:
            return found
    return 0
