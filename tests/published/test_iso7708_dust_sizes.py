"""Shares of dust that are breathed in, settling of grains, and the two-zone model of a room.

Sources
-------
* S. C. Soderholm, Ann. Occup. Hyg. 33 (1989) 301, taken over by ISO 7708 and EN 481: the respirable curve is
  tabulated there in per cent at whole micrometres (values as remembered from EN 481, table of respirable
  percentages: 1 µm 97.1, 2 µm 91.4, 4 µm 50.0, 5 µm 30.0, 7 µm 9.0, 10 µm 1.3).
* Stokes' law with slip and the drag of Schiller and Naumann, against the fluids library.
* M. Nicas, Ann. Work Expo. Health 68 (2024) 78, abstract: without settling the far zone is at G/Q and the near one
  at G/Q + G/beta.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from enamelwright.craft.health.sifting_dust import conventions, still_air
from enamelwright.physics.two_zone_air import TwoZones, hemisphere_exchange, purge_time

# µm, per cent: EN 481 prints one decimal
RESPIRABLE = [(1, 97.1), (2, 91.4), (4, 50.0), (5, 30.0), (7, 9.0), (10, 1.3)]
# µm, share, by the formula of the convention worked out by hand
INHALABLE = [(10, 0.7744), (100, 0.5012)]
THORACIC = [(10, 0.500), (20, 0.0592)]


@pytest.mark.parametrize(("micron", "percent"), RESPIRABLE)
def test_respirable_convention(micron, percent):
    assert 100 * conventions().respirable_share(micron * 1e-6) == pytest.approx(percent, abs=0.06)


@pytest.mark.parametrize(("micron", "share"), INHALABLE)
def test_inhalable_convention(micron, share):
    assert conventions().inhalable_share(micron * 1e-6) == pytest.approx(share, abs=1e-4)


@pytest.mark.parametrize(("micron", "share"), THORACIC)
def test_thoracic_convention(micron, share):
    """Half of the thoracic fraction is at 10 µm by definition of the convention."""
    assert conventions().thoracic_share(micron * 1e-6) == pytest.approx(share, abs=1e-3)


# µm, density, m/s: computed by an independent implementation; the largest hangs on the drag law
SETTLING = [
    (2, 2500, 3.26e-4), (4, 2500, 1.25e-3), (10, 2500, 7.62e-3), (38, 2500, 0.103), (75, 2500, 0.348),
    (2, 4000, 5.2e-4), (10, 4000, 1.22e-2), (38, 4000, 0.162),
]  # fmt: skip


@pytest.mark.parametrize(("micron", "density", "speed"), SETTLING)
def test_settling_speed(micron, density, speed):
    assert still_air().fall_speed(micron * 1e-6, density) == pytest.approx(speed, rel=0.01)


@pytest.mark.parametrize("micron", [40, 75, 150, 400])
def test_settling_against_an_independent_library(micron):
    """fluids knows nothing of slip, which is 0.4 % at 40 µm; its drag laws differ by some per cent."""
    from fluids.drag import v_terminal

    expected = v_terminal(D=micron * 1e-6, rhop=2500, rho=1.2, mu=1.81e-5)
    assert still_air().fall_speed(micron * 1e-6, 2500) == pytest.approx(expected, rel=0.05)


def test_closed_forms_of_the_two_zones():
    """G 100, beta 5, Q 20: far 5, near 25, exactly."""
    near, far = TwoZones(0.1, 30.0, 5.0, 20.0).steady(100.0)
    assert (near, far) == (pytest.approx(25.0), pytest.approx(5.0))


def test_two_zones_against_integration_in_time():
    room = TwoZones(0.134, 29.866, 3.0 / 60, 0.5 / 60)
    times = np.array([0.0, 5.0, 60.0, 600.0, 7200.0])

    def rates(_, c):
        return [
            (1.0 + room.exchange * (c[1] - c[0])) / room.near - 2e-3 * c[0],
            (room.exchange * (c[0] - c[1]) - room.supply * c[1]) / room.far - 5e-4 * c[1],
        ]

    exact = solve_ivp(rates, (0, 7200), [0, 0], t_eval=times, rtol=1e-10, atol=1e-12, method="LSODA").y
    near, far = room.course(1.0, times, 2e-3, 5e-4)
    assert near == pytest.approx(exact[0], rel=1e-6, abs=1e-9)
    assert far == pytest.approx(exact[1], rel=1e-6, abs=1e-9)


def test_exchange_of_half_a_ball():
    """r 0.4 m, 6 m/min: 3.016 m3/min."""
    assert 60 * hemisphere_exchange(0.4, 0.1) == pytest.approx(3.016, rel=1e-3)


def test_clearing_a_room():
    """99 % at six changes an hour: ln 100 / 6 h = 46.1 min."""
    assert purge_time(6 / 3600, 0.01) / 60 == pytest.approx(46.05, abs=0.05)
