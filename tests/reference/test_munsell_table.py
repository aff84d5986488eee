"""The Munsell chips of the package are those of the independent library, carried to daylight."""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import pytest

from enamelwright.craft.colour.eyes import munsell_words
from enamelwright.craft.colour.light import seen_under
from enamelwright.physics.colour.colour_difference import ciede2000
from enamelwright.physics.colour.colour_space import xyz_of_lab
from enamelwright.reference.loader import rows

sys.path.insert(0, str(Path(__file__).parent))

import munsell_table


def test_the_table_is_fresh():
    text = (Path(__file__).parents[2] / "src/enamelwright/reference/colour" / munsell_table.NAME).read_text("utf-8")
    assert text == munsell_table.csv_text()


def test_greys_are_grey_and_follow_the_value():
    greys = [row for row in rows("colour/munsell") if row["chip"].startswith("N ")]
    assert all(abs(float(row[axis])) < 0.05 for row in greys for axis in "ab")
    # ASTM D1535: value 5 reflects 19.27 % of what value 10 does
    five = next(row for row in greys if row["chip"] == "N 5")
    white = seen_under("D65").white
    assert xyz_of_lab([float(five["l"]), 0, 0], white)[1] == pytest.approx(19.27, abs=0.05)


def test_a_chip_is_nearest_to_itself_and_others_are_not_far():
    table = rows("colour/munsell")
    for row in table[::400]:
        assert munsell_words([float(row[axis]) for axis in "lab"]) == f"near {row['chip']}"
    chips = np.array([[float(row[axis]) for axis in "lab"] for row in table])
    rng = np.random.default_rng(2)
    between = chips[rng.integers(0, len(chips), 40)] + rng.normal(0, 2, (40, 3))
    away = [float(ciede2000(one, chips).min()) for one in between]
    assert np.mean(away) < 4  # chips lie some 3 apart
