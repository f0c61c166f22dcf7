"""The window of intervals and the evidence for a joint: figures recomputed by hand, and nothing claimed beyond them."""

import math

import numpy as np
import pytest

from evenbead.physics.bonding import (
    bond_evidence,
    interval_window,
    longest_interval_for_mixing,
    shortest_interval_for_strength,
)
from evenbead.physics.bonding_published import BOND_LOSSES, BondLoss, published_losses
from evenbead.physics.drying_dose import DryingDose

# Figures below were recomputed outside the project with g = 9.81 m/s², 0.03 % above the standard value.
CLOSE = 1e-3
THIN = {"density": 2200.0, "layer_height": 0.010, "growth_rate": 0.5, "viscosity": 20.0, "nozzle_speed": 0.1}
THICK = {"density": 2100.0, "layer_height": 0.020, "growth_rate": 0.5, "viscosity": 10.0, "nozzle_speed": 0.1}


def test_a_thin_layer_of_a_viscous_mortar_has_a_window():
    window = interval_window(**THIN)

    assert (window.shortest, window.longest) == (
        pytest.approx(249.2, rel=CLOSE),
        pytest.approx(809.6, rel=CLOSE),
    )
    assert window.open


def test_a_thick_layer_of_a_thin_mortar_has_none_and_says_so():
    window = interval_window(**THICK)

    assert (window.shortest, window.longest) == (
        pytest.approx(475.8, rel=CLOSE),
        pytest.approx(310.8, rel=CLOSE),
    )
    assert not window.open


def test_without_viscosity_the_window_never_opens():
    """The two differ by √12/√3 = 2 whatever the mortar."""
    bare = THICK | {"viscosity": 0.0}

    assert longest_interval_for_mixing(**bare) == pytest.approx(237.9, rel=CLOSE)
    assert interval_window(**bare).shortest / interval_window(**bare).longest == pytest.approx(2.0)


def test_a_mortar_that_does_not_stiffen_mixes_for_ever_and_never_earns_its_weight():
    window = interval_window(**(THIN | {"growth_rate": 0.0}))

    assert math.isinf(window.longest)
    assert math.isinf(window.shortest)
    with pytest.raises(ValueError, match="growth rate"):
        shortest_interval_for_strength(density=2200.0, layer_height=0.01, growth_rate=-0.1)


def test_evidence_names_what_was_not_measured():
    nothing = bond_evidence(interval=600.0)
    everything = bond_evidence(
        interval=np.array([300.0, 900.0]),
        age=np.array([1200.0, 1800.0]),
        open_time=3000.0,
        initial_set=6000.0,
        window=interval_window(**THIN),
        dose=DryingDose(uno=0.1, menzel=0.12),
    )

    assert len(nothing.unknown) == 4
    assert everything.unknown == ()
    assert everything.share_of_open_time == pytest.approx([0.4, 0.6])
    assert everything.share_of_initial_set == pytest.approx([0.2, 0.3])
    assert list(everything.mixes) == [True, False]


@pytest.mark.parametrize("known", [{"age": 100.0}, {"open_time": 100.0, "initial_set": 200.0}])
def test_half_of_a_share_is_no_share(known):
    found = bond_evidence(interval=600.0, **known)

    assert found.share_of_open_time is None
    assert found.share_of_initial_set is None


def test_a_bead_covered_before_it_was_laid_is_refused():
    with pytest.raises(ValueError, match="interval"):
        bond_evidence(interval=-1.0)


class TestPublishedLosses:
    def test_the_even_trend_of_a_study_is_read_between_its_points(self):
        """[Skibicki2024]: 56.6 % at 2 h, evenly until then: 28.3 % at 1 h."""
        study = [loss for loss in BOND_LOSSES if loss.source == "[Skibicki2024]"]

        found = published_losses(3600.0, studies=study)

        assert found.low == found.high == pytest.approx(0.283)
        assert found.studies == 1

    def test_studies_contradict_each_other_at_one_interval(self):
        found = published_losses(20 * 60.0)

        assert found.low == 0.0
        assert found.high > 0.3
        assert found.studies == 6

    def test_beyond_every_study_nothing_is_said(self):
        found = published_losses(np.array([600.0, 10 * 3600.0]))

        assert list(found.studies) == [6, 0]
        assert np.isnan(found.low[1])
        assert np.isnan(found.high[1])

    def test_studies_without_pairs_say_nothing_at_any_interval(self):
        study = BondLoss(condition="any", points=(), finding="fell", source="[Le2012]")

        assert published_losses(600.0, studies=[study]).studies == 0

    def test_every_study_names_what_it_saw_and_its_pairs_ascend(self):
        for loss in BOND_LOSSES:
            intervals = [interval for interval, _ in loss.points]
            assert loss.source
            assert loss.finding
            assert intervals == sorted(intervals)
            assert all(0.0 <= share <= 1.0 for _, share in loss.points)
