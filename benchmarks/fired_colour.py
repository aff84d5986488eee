"""One foretold colour, beside colour-science on the same reflectances, in one run.

``python benchmarks/fired_colour.py`` prints milliseconds: a whole fired colour (thin, nominal and thick, catching the light
and turned away, four lights, 64 draws of fitted jars), the nominal colour alone, and the colour arithmetic of many
reflectances (XYZ, Lab, CIEDE2000 to one target) beside the same by colour-science's vectorised functions.
"""

from __future__ import annotations

import sys
from pathlib import Path

import colour
import numpy as np
from yardstick import median, yardstick

from enamelwright.craft.colour.fired_colour import fired_colour, nominal_look
from enamelwright.craft.colour.light import seen_under
from enamelwright.physics.colour.colour_difference import ciede2000

sys.path.insert(0, str(Path(__file__).parents[1] / "tests" / "craft"))
from sample_colours import fitted_bench, stack

MANY = 100_000
TARGET = (40.0, -20.0, -20.0)


def main() -> None:
    """Print the times."""
    bench = fitted_bench()
    asked = stack("fine silver", ("flux_clear", 0.12), ("opal_white", 0.1), ("cobalt_blue", 0.15), weighed=True)
    whole = median(lambda: fired_colour(asked, bench))
    alone = median(lambda: nominal_look(asked, bench))
    seen = seen_under("D65")
    many = np.random.default_rng(1).uniform(0, 1, (MANY, 36))
    weights, target = seen.weights, np.array(TARGET)
    white = colour.XYZ_to_xy(seen.white / 100)

    def ours() -> np.ndarray:
        return ciede2000(target, seen.lab(many))

    def theirs() -> np.ndarray:
        return colour.delta_E(target, colour.XYZ_to_Lab(many @ weights / 100, white), method="CIE 2000")

    apart = float(np.abs(ours() - theirs()).max())
    mine, other = median(ours), median(theirs)
    print(f"yardstick                          {1e3 * yardstick():8.1f} ms")
    print(f"one fired colour, three coats      {1e3 * whole:8.2f} ms   (promised: 5)")
    print(f"its nominal colour alone           {1e3 * alone:8.2f} ms")
    print(f"{MANY} reflectances to CIEDE2000   {1e3 * mine:8.1f} ms")
    print(f"the same by colour-science         {1e3 * other:8.1f} ms   ({other / mine:.1f} times as long)")
    print(f"largest difference between both    {apart:8.1e} CIEDE2000")


if __name__ == "__main__":
    main()
