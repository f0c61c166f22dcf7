"""The station of the demonstration behaves as such stations do."""

from pathlib import Path

import pytest

from evenbead.documents import read_case
from evenbead.plan.demand import bead_area
from evenbead.plan.settling import settling_of

DEMO = Path(__file__).parents[2] / "demo"


@pytest.mark.parametrize("variant", ["one-part", "two-part"])
def test_the_demo_station_settles_as_common_practice_expects(variant):
    case = read_case(DEMO / variant / "job.toml")
    flow = bead_area(case.job.bead) * 0.1  # slower than any of its prints runs on average [m/s]
    settling = settling_of(case.station.mixer, case.station.hose, case.mortar.water_powder_ratio, flow=flow * 0.7)

    # common practice, no source: even mortar within about 2 minutes of starting, a change of water seen at the
    # mixer's outlet within about 1 minute
    assert settling.start < 120
    assert settling_of(case.station.mixer, case.station.hose, case.mortar.water_powder_ratio, flow=flow).change < 60


@pytest.mark.parametrize("variant", ["one-part", "two-part"])
def test_the_demo_has_both_kinds_of_mortar(variant):
    case = read_case(DEMO / variant / "job.toml")

    assert case.mortar.kind == variant
    assert case.station.accelerator is not None
