"""CIEDE2000: the test pairs of G. Sharma, W. Wu, E. N. Dalal, Color Res. Appl. 30 (2005) 21, table 1.

The pairs marked True were copied with the paper's number; the others are from memory, and colour-science as a
second, independent computation confirms them. The paper prints four decimals: tolerance half of the last.
"""

from __future__ import annotations

import colour
import numpy as np
import pytest

from enamelwright.physics.colour.colour_difference import ciede2000

#: number in the paper, both colours, difference, whether it was copied rather than recalled
PAIRS = [
    (1, (50, 2.6772, -79.7751), (50, 0, -82.7485), 2.0425, True),
    (2, (50, 3.1571, -77.2803), (50, 0, -82.7485), 2.8615, True),
    (3, (50, 2.8361, -74.0200), (50, 0, -82.7485), 3.4412, False),
    (4, (50, -1.3802, -84.2814), (50, 0, -82.7485), 1.0000, True),
    (5, (50, -1.1848, -84.8006), (50, 0, -82.7485), 1.0000, True),
    (6, (50, -0.9009, -85.5211), (50, 0, -82.7485), 1.0000, False),
    (7, (50, 0, 0), (50, -1, 2), 2.3669, True),
    (8, (50, -1, 2), (50, 0, 0), 2.3669, False),
    (9, (50, 2.4900, -0.0010), (50, -2.4900, 0.0009), 7.1792, True),
    (10, (50, 2.4900, -0.0010), (50, -2.4900, 0.0010), 7.1792, True),
    (11, (50, 2.4900, -0.0010), (50, -2.4900, 0.0011), 7.2195, False),
    (12, (50, 2.4900, -0.0010), (50, -2.4900, 0.0012), 7.2195, True),
    (13, (50, -0.0010, 2.4900), (50, 0.0009, -2.4900), 4.8045, True),
    (14, (50, -0.0010, 2.4900), (50, 0.0010, -2.4900), 4.8045, True),
    (15, (50, -0.0010, 2.4900), (50, 0.0011, -2.4900), 4.7461, False),
    (16, (50, 2.5, 0), (50, 0, -2.5), 4.3065, True),
    (17, (50, 2.5, 0), (73, 25, -18), 27.1492, True),
    (18, (50, 2.5, 0), (61, -5, 29), 22.8977, False),
    (19, (50, 2.5, 0), (56, -27, -3), 31.9030, True),
    (20, (50, 2.5, 0), (58, 24, 15), 19.4535, False),
    (21, (50, 2.5, 0), (50, 3.1736, 0.5854), 1.0000, True),
    (22, (50, 2.5, 0), (50, 3.2972, 0), 1.0000, True),
    (23, (50, 2.5, 0), (50, 1.8634, 0.5757), 1.0000, True),
    (24, (50, 2.5, 0), (50, 3.2592, 0.3350), 1.0000, False),
    (25, (60.2574, -34.0099, 36.2677), (60.4626, -34.1751, 39.4387), 1.2644, True),
    (26, (63.0109, -31.0961, -5.8663), (62.8187, -29.7946, -4.0864), 1.2630, True),
    (27, (61.2901, 3.7196, -5.3901), (61.4292, 2.2480, -4.9620), 1.8731, True),
    (28, (35.0831, -44.1164, 3.7933), (35.0232, -40.0716, 1.5901), 1.8645, False),
    (29, (22.7233, 20.0904, -46.6940), (23.0331, 14.9730, -42.5619), 2.0373, True),
    (30, (36.4612, 47.8580, 18.3852), (36.2715, 50.5065, 21.2231), 1.4146, True),
    (31, (90.8027, -2.0831, 1.4410), (91.1528, -1.6435, 0.0447), 1.4441, True),
    (32, (90.9257, -0.5406, -0.9208), (88.6381, -0.8985, -0.7239), 1.5381, True),
    (33, (6.7747, -0.2908, -2.4247), (5.8714, -0.0985, -2.2286), 0.6377, False),
    (34, (2.0776, 0.0795, -1.1350), (0.9033, -0.0636, -0.5514), 0.9082, True),
]
#: Half of the last printed digit, and a little for the rounding of the inputs.
PRINTED = 1e-4


@pytest.mark.parametrize(("number", "one", "other", "printed", "copied"), PAIRS)
def test_printed_pair_both_ways_round(number: int, one: tuple, other: tuple, printed: float, copied: bool) -> None:
    assert float(ciede2000(one, other)) == pytest.approx(printed, abs=PRINTED)
    assert float(ciede2000(other, one)) == pytest.approx(printed, abs=PRINTED)


def test_pairs_recalled_are_confirmed_by_an_independent_library() -> None:
    """Those not copied from the paper: colour-science finds the same printed number."""
    recalled = [pair for pair in PAIRS if not pair[4]]
    assert len(recalled) == len(PAIRS) - 24
    for _, one, other, printed, _ in recalled:
        assert colour.delta_E(np.array(one), np.array(other), method="CIE 2000") == pytest.approx(printed, abs=PRINTED)
