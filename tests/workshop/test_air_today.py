"""What the record tells of a day's dust and glare."""

from __future__ import annotations

from datetime import timedelta

import pytest

from enamelwright.workshop.air_today import LEAST_SESSION, air_day, dust_of, glare_of
from enamelwright.workshop.bench import bench
from enamelwright.workshop.coats import lay_coat
from enamelwright.workshop.exposure import expose
from enamelwright.workshop.jars import tell_fact
from enamelwright.workshop.loads import begin_load, close_load, look_in
from enamelwright.workshop.pieces import start_pieces
from enamelwright.workshop.studio import Studio


def test_an_idle_day_brings_nothing(studio: Studio) -> None:
    day = air_day(studio, studio.today())
    assert day.empty
    assert dust_of(day, bench(studio)) is None
    assert glare_of(day, bench(studio), studio) is None


def test_dry_coats_and_what_was_written_down_make_one_day(studio: Studio) -> None:
    made = start_pieces(studio)[0]
    lay_coat(studio, made.id, "J04", weighed_out="0.9 g", on_piece="0.7 g", method="sift")
    lay_coat(studio, made.id, "J04", method="sift")
    lay_coat(studio, made.id, "J04", weighed_out="5 g", method="wet-pack")  # raises no dust
    expose(studio, "dry brushing", grams="0.4 g")
    expose(studio, "wet stoning", grams="0.2 g")
    day = air_day(studio, studio.today())
    assert day.grams == pytest.approx(1.3e-3)
    assert (day.coats, day.unweighed) == (2, 1)
    assert day.elapsed == LEAST_SESSION
    assert day.written == ("wet stoning",)
    assert air_day(studio, studio.today() - timedelta(days=1)).empty


def test_the_jars_of_the_day_bring_their_hazards(studio: Studio) -> None:
    made = start_pieces(studio)[0]
    lay_coat(studio, made.id, "J04", weighed_out="20 g", method="sift")
    for metal, told in (("lead", "no"), ("cadmium", "yes")):
        tell_fact(studio, "J04", f"hazards.{metal}", answer=told, origin="safety data sheet")
    found = dust_of(air_day(studio, studio.today()), bench(studio))
    assert found is not None
    assert any(line.limit.startswith("Cadmium") for line in found.payload.against)
    assert not any(line.limit.startswith("Lead") for line in found.payload.against)


def test_loads_and_looks_make_the_glare_of_the_day(studio: Studio) -> None:
    start_pieces(studio, labels=["A-01"])
    begun = begin_load(studio, ["A-01"], set_point="785 C")
    look_in(studio, begun.load, seconds="90 s", door_open="6 s")
    look_in(studio, begun.load, seconds="120 s")
    close_load(studio, begun.load, seconds="150 s")
    expose(studio, "open door", duration="40 s", looks=3)
    day = air_day(studio, studio.today())
    assert (day.loads, day.looks) == (1, 2 + 2 + 3)
    assert day.look_seconds == pytest.approx(6 + 8 + 2 * 8 + 40)
    assert day.hottest == pytest.approx(785 + 273.15)
    found = glare_of(day, bench(studio), studio)
    assert found is not None
    assert found.payload.mean.value < found.payload.irradiance.value
