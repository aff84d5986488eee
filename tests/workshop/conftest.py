"""A studio on an empty record, on both databases, on a morning in March."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from enamelwright.craft.kiln import Kiln
from morning import MORNING, enamel

if TYPE_CHECKING:
    from pathlib import Path

    from enamelwright.records.store import Store
    from enamelwright.workshop.studio import Studio


DISC = """
name = "Test disc"
technique = "sift_opaque"
[metal]
kind = "copper"
thickness_mm = 1.0
[outline]
shape = "circle"
diameter_mm = 25
[[coats]]
face = "back"
jar = "J21"
powder_depth_mm = 0.5
[[coats]]
face = "front"
jar = "J04"
powder_depth_mm = 0.4
"""


@pytest.fixture
def bare(store: Store) -> Studio:
    """A studio that knows nothing."""
    from enamelwright.workshop.studio import Studio

    return Studio(store).at(MORNING).as_person("M")


@pytest.fixture
def studio(bare: Studio) -> Studio:
    """A studio with a kiln and two jars, a lot of each open."""
    from enamelwright.workshop.jars import add_jar
    from enamelwright.workshop.kilns import keep_kiln
    from enamelwright.workshop.lots import open_lot

    with bare.writing():
        keep_kiln(bare, Kiln(name="small kiln"))
        add_jar(bare, enamel("J21", "counter", "counter", "mixed"))
        add_jar(bare, enamel("J04", "white, base"))
        open_lot(bare, "J21", "A", grams="200 g")
        open_lot(bare, "J04", "A", grams="100 g")
    return bare


@pytest.fixture
def disc(tmp_path: Path) -> Path:
    """A piece file of two coats."""
    path = tmp_path / "disc.toml"
    path.write_text(DISC, encoding="utf-8")
    return path
