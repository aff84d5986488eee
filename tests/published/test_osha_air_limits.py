"""Limits for cadmium, lead, dust and fibre in the air of workplaces, and factors of masks.

Sources
-------
* 29 CFR 1910.1027(b), (c): cadmium 2.5 and 5 µg/m3; 29 CFR 1910.1025(b), (c): lead 30 and 50 µg/m3.
* 54 FR 2332 (1989) as kept by the US National Institute for Occupational Safety and Health,
  cdc.gov/niosh/pel88/DUSTS.html: 15 and 5 mg/m3 stay for dust not otherwise regulated.
* European Chemicals Agency, list of Annex III of Directive 2004/37/EC: cadmium 0.004 mg/m3 until and 0.001 mg/m3
  from 11 July 2027; fibre 0.3 f/mL as the consolidated annex is reprinted at reachlex.eu.
* Directive (EU) 2024/869: lead 0.03 mg/m3.
* 29 CFR 1910.134 table 1 (71 FR 50121): 10 for half masks, 25 for loose-fitting powered ones.
"""

from __future__ import annotations

import pytest

from enamelwright.craft.health.limits import limit
from enamelwright.questions.question import question

# name, value, unit
LIMITS = [
    ("cd_air_osha_pel", 5, "ug/m3"), ("cd_air_osha_action", 2.5, "ug/m3"), ("pb_air_osha_pel", 50, "ug/m3"),
    ("pb_air_osha_action", 30, "ug/m3"), ("dust_total_osha", 15, "mg/m3"), ("dust_resp_osha", 5, "mg/m3"),
    ("cd_air_eu_oel_transition", 4, "ug/m3"), ("cd_air_eu_oel", 1, "ug/m3"), ("pb_air_eu_oel", 30, "ug/m3"),
    ("rcf_air_eu", 0.3, "fibre/mL"), ("apf_half_mask", 10, "factor"), ("apf_papr_loose", 25, "factor"),
]  # fmt: skip


@pytest.mark.parametrize(("name", "value", "unit"), LIMITS)
def test_limit_stands_as_printed(name, value, unit):
    found = limit(name)
    assert (found.value, found.unit) == (value, unit)
    assert found.clause


# median, spread, opening [µm], total, inhalable, respirable at the bound, µg/m3 as means of eight hours:
# the worked session of 43 g in four hours, computed by an independent implementation
SESSION = [
    ((70, 2.3, 180, 0.0), (1320, 880, 17)), ((110, 1.5, 180, 0.001), (43, 32, 4.9)),
    ((15, 2.3, 45, 0.0), (26260, 20400, 3530)),
]  # fmt: skip


@pytest.mark.parametrize(("powder", "printed"), SESSION)
def test_a_worked_session(powder, printed):
    from enamelwright.craft.health.sifting_dust import Powder, Room, Session, air_of

    median, spread, opening, fines = powder
    air = air_of(
        Powder(median * 1e-6, spread, opening * 1e-6, fines, 2600.0), Session("sifting", 0.0432, 14400.0),
        Room(30.0, 1 / 3600, 2.4, 0.4, 0.1),
    )  # fmt: skip
    assert [1e9 * part / 2 for part in air.near] == pytest.approx(printed, rel=0.03)


def test_the_worked_session_as_it_is_asked():
    """80 mesh with its fines, 2 % cadmium, 30 % lead: bounds of 26 and 396 µg/m3."""
    found = question("dust").ask(
        {"mass_g": 43.2, "time_min": 240, "mesh": 80, "cadmium_percent": 2, "lead_percent": 30}
    )
    told = {line.limit: 1e9 * line.figure.high for line in found.payload.against}
    assert told["Cadmium in all, 5 µg/m3"] == pytest.approx(26, rel=0.03)
    assert told["Lead in all, 50 µg/m3"] == pytest.approx(396, rel=0.03)
