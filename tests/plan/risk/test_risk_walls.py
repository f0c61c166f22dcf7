"""The curves that stand for thousands of walls, against the walls themselves."""

import numpy as np
import pytest

from evenbead.physics.buckling import buckling_course
from evenbead.physics.collapse import collapse_course
from evenbead.physics.fresh_wall import Layers, ages, even_layers
from evenbead.physics.growth import BilinearGrowth, ExponentialGrowth, LinearGrowth
from evenbead.physics.rheology import yield_stress
from evenbead.plan.risk.trial import first_to_be_late
from evenbead.plan.risk.walls import Foot, _foot_of, buckling_curve

_PAUSED = np.arange(50) * 60.0 + np.where(np.arange(50) >= 30, 1500.0, 0.0)
WALLS = {
    "even": even_layers(60, interval=60.0, height=0.01, width=0.05, density=2100.0).laid,
    "one layer": np.zeros(1),
    "two at once": np.zeros(2),
    "a pause": _PAUSED,
    "a pause near the end": np.arange(40) * 60.0 + np.where(np.arange(40) >= 36, 3000.0, 0.0),
    "ever faster": np.cumsum(np.linspace(300.0, 20.0, 40)),
    "ever slower": np.cumsum(np.linspace(20.0, 300.0, 40)),
}


def wall_of(laid):
    return Layers(laid=laid, height=0.01, width=0.05, area=5e-4, density=2100.0)


@pytest.mark.parametrize("laid", WALLS.values(), ids=WALLS)
@pytest.mark.parametrize("expected", [0.0, 3e-4, 5e-3, 0.05])
def test_the_buckling_curve_gives_every_draw_what_solving_its_wall_at_every_moment_gives(laid, expected):
    wall, rng = wall_of(laid), np.random.default_rng(3)
    curve = buckling_curve(wall, expected=expected, poisson=0.3)
    stiffness, stiffening = 80e3 * rng.lognormal(0, 0.3, 12), 80e3 * expected * rng.lognormal(0, 0.8, 12)
    modulus = stiffness[:, None, None] + stiffening[:, None, None] * ages(wall)

    found = curve.load_factor(stiffness, stiffening)

    assert found == pytest.approx(buckling_course(wall, modulus, poisson=0.3).least, rel=1e-3)


@pytest.mark.parametrize("laid", WALLS.values(), ids=WALLS)
@pytest.mark.parametrize(
    "law",
    [
        LinearGrowth(rate=0.4),
        ExponentialGrowth(rate=0.3, time=1500.0),
        BilinearGrowth(reflocculation=2.0, rise=300.0, structuration=0.2),
    ],
    ids=["linear", "exponential", "bilinear"],
)
def test_the_feet_give_every_draw_what_the_whole_wall_at_every_moment_gives(laid, law):
    wall, rng = wall_of(laid), np.random.default_rng(4)
    start, gained, ageing = (at * rng.lognormal(0, 0.4, 20) for at in (600.0, 1.0, 1.0))
    age = ages(wall) * ageing[:, None, None]
    stress = start[:, None, None] + gained[:, None, None] * np.asarray(yield_stress(0.0, growth=law, age=age))

    found = _foot_of(wall).load_factor(start, gained, growth=law, ageing=ageing)

    assert found == pytest.approx(collapse_course(wall, stress).least, rel=1e-12)


def test_many_draws_are_worked_on_in_blocks_without_a_seam(monkeypatch):
    foot = Foot(age=np.array([0.0, 60.0, 120.0]), load=np.array([10.0, 20.0, 30.0]), width=0.05)
    rng = np.random.default_rng(5)
    start, gained, ageing = rng.uniform(0.5, 2.0, (3, 100))
    whole = foot.load_factor(start, gained, growth=LinearGrowth(rate=0.4), ageing=ageing)
    monkeypatch.setattr("evenbead.plan.risk.walls._BLOCK", 21)

    assert np.array_equal(foot.load_factor(start, gained, growth=LinearGrowth(rate=0.4), ageing=ageing), whole)


def test_the_places_kept_are_first_to_be_late_at_any_pace_and_open_time():
    rng = np.random.default_rng(6)
    for count in (1, 2, 3, 50, 500):
        stays_open, waited = rng.uniform(1000.0, 4000.0, count).round(-2), rng.uniform(10.0, 2000.0, count).round(-2)
        kept = first_to_be_late(stays_open, waited)
        for longer, pace in rng.lognormal(0, 1.0, (40, 2)):
            left = longer * stays_open - pace * waited
            assert left[kept].min() == pytest.approx(left.min(), rel=1e-12)
    assert len(kept) < 30
