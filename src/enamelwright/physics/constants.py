"""Constants of nature and of the units, exact by definition of the SI (2019).

Source: BIPM, The International System of Units, 9th edition (2019), section 2.2 and table 5; the two
derived ones follow from k, h, c and N_A, and are printed in CODATA 2018 with all these digits.
"""

from __future__ import annotations

#: sigma of the law of Stefan and Boltzmann, 2 pi^5 k^4 / (15 h^3 c^2) [W/m2/K4].
STEFAN_BOLTZMANN = 5.670374419e-8

#: Molar gas constant, k N_A [J/mol/K].
GAS_CONSTANT = 8.314462618

#: 0 degrees Celsius [K].
ZERO_CELSIUS = 273.15
