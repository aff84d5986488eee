"""A second, independent way to a bath at rest: mass balances and electric neutrality solved by scipy.

Written from the published constants alone, typed in here once more; shares no code and no table with the product.
Constants: log10 K at 25 °C and I = 0, NIST Standard Reference Database 46 as carried by MINTEQA2 version 4 (US EPA).
"""

from __future__ import annotations

import numpy as np
from scipy.optimize import brentq

#: name -> (charge, log10 K of formation, {component: count}); H is hydrogen ion.
SPECIES = {
    "OH": (-1, -13.997, {"H": -1}),
    "HAc": (0, 4.757, {"H": 1, "Ac": 1}),
    "NaAc": (0, -0.18, {"Na": 1, "Ac": 1}),
    "CuAc": (1, 2.21, {"Cu": 1, "Ac": 1}),
    "CuAc2": (0, 3.40, {"Cu": 1, "Ac": 2}),
    "CuAc3": (-1, 3.9434, {"Cu": 1, "Ac": 3}),
    "CuOH": (1, -7.497, {"Cu": 1, "H": -1}),
    "Cu(OH)2": (0, -16.194, {"Cu": 1, "H": -2}),
    "Cu(OH)3": (-1, -26.879, {"Cu": 1, "H": -3}),
    "Cu(OH)4": (-2, -39.98, {"Cu": 1, "H": -4}),
    "Cu2(OH)2": (2, -10.594, {"Cu": 2, "H": -2}),
    "CuCl": (1, 0.20, {"Cu": 1, "Cl": 1}),
    "CuCl2": (0, -0.26, {"Cu": 1, "Cl": 2}),
    "CuCl3": (-1, -2.29, {"Cu": 1, "Cl": 3}),
    "CuCl4": (-2, -4.59, {"Cu": 1, "Cl": 4}),
    "HCO3": (-1, 10.329, {"H": 1, "CO3": 1}),
    "H2CO3": (0, 16.681, {"H": 2, "CO3": 1}),
    "NaCO3": (-1, 1.27, {"Na": 1, "CO3": 1}),
    "NaHCO3": (0, 10.079, {"Na": 1, "H": 1, "CO3": 1}),
    "CuCO3": (0, 6.77, {"Cu": 1, "CO3": 1}),
    "CuHCO3": (1, 12.129, {"Cu": 1, "H": 1, "CO3": 1}),
    "Cu(CO3)2": (-2, 10.2, {"Cu": 1, "CO3": 2}),
}
CHARGE = {"H": 1, "Cu": 2, "Ac": -1, "Na": 1, "Cl": -1, "CO3": -2}
#: waters on the product side, for the activity of water
WATERS = {"OH": -1, "CuOH": -1, "Cu(OH)2": -2, "Cu(OH)3": -3, "Cu(OH)4": -4, "Cu2(OH)2": -2}
LOG_GAS = -18.147  # CO2(g) + H2O = 2 H+ + CO3 2-
MALACHITE = -5.306  # Cu2(OH)2CO3 + 2 H+ = 2 Cu2+ + 2 H2O + CO3 2-
HYDROXIDE = 8.674  # Cu(OH)2 + 2 H+ = Cu2+ + 2 H2O
A, RISE = 0.509, 0.3


def log_gamma(charge: int, strength: float) -> float:
    if charge == 0:
        return 0.1 * strength
    root = np.sqrt(strength)
    return -A * charge**2 * (root / (1 + root) - RISE * strength)


def bath_at_rest(
    acetic: float, salt: float, copper: float, sodium: float = 0.0, solid: str = "", log_gas: float | None = None
) -> tuple[float, float]:
    """(pH, dissolved copper) for totals in mol/kg; `sodium` is that of the soda, without the salt's."""
    totals = {"Ac": acetic, "Na": salt + sodium, "Cl": salt}
    strength, water, free = 0.5, 1.0, dict.fromkeys(("Cu", "Ac", "Na", "Cl"), 1e-3)
    found = (7.0, copper)
    for _ in range(60):
        gamma = {name: 10 ** log_gamma(z, strength) for name, z in CHARGE.items()}

        def state(
            ph: float, gamma: dict[str, float] = gamma, strength: float = strength, water: float = water
        ) -> tuple[float, dict[str, float]]:
            activity = {"H": 10.0**-ph, "CO3": 0.0}
            if log_gas is not None:
                activity["CO3"] = 10 ** (LOG_GAS + log_gas) * water / activity["H"] ** 2
            if solid:
                if solid == "malachite":
                    limit = np.sqrt(10**MALACHITE * activity["H"] ** 2 / (activity["CO3"] * water**2))
                else:
                    limit = 10**HYDROXIDE * activity["H"] ** 2 / water**2
            molal = {}
            for _ in range(200):  # free concentrations by successive scaling
                worst = 0.0
                for one in free:
                    activity[one] = free[one] * gamma[one]
                if solid:
                    activity["Cu"], free["Cu"] = limit, limit / gamma["Cu"]
                molal = {
                    name: 10.0**k
                    * np.prod([activity[part] ** n for part, n in made.items()])
                    * water ** -WATERS.get(name, 0)
                    / 10 ** log_gamma(z, strength)
                    for name, (z, k, made) in SPECIES.items()
                }
                for one, total in (totals if solid else {**totals, "Cu": copper}).items():
                    if total == 0:
                        free[one] = 0.0
                        continue
                    bound = free[one] + sum(
                        made.get(one, 0) * molal[name] for name, (_, _, made) in SPECIES.items() if one in made
                    )
                    worst = max(worst, abs(bound / total - 1))
                    free[one] *= (total / bound) ** 0.6
                if worst < 1e-9:
                    break
            bare = {"H": activity["H"] / gamma["H"], "CO3": activity["CO3"] / gamma["CO3"], **free}
            charge = sum(CHARGE[one] * m for one, m in bare.items()) + sum(
                SPECIES[name][0] * m for name, m in molal.items()
            )
            return charge, {**bare, **molal}

        ph = brentq(lambda one: state(one)[0], 0.5, 12.5, xtol=1e-7)
        _, everything = state(ph)
        dissolved = everything["Cu"] + sum(
            made.get("Cu", 0) * everything[name] for name, (_, _, made) in SPECIES.items()
        )
        charges = {**CHARGE, **{name: z for name, (z, _, _) in SPECIES.items()}}
        new = 0.5 * sum(charges[name] ** 2 * m for name, m in everything.items())
        found = (ph, float(dissolved))
        if abs(new - strength) < 1e-7:
            break
        strength, water = new, 1 - 0.017 * sum(everything.values())
    return found
