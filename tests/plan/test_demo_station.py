"""The station of the demonstration behaves as such stations do, on both of its prints."""

import datetime as dt
from pathlib import Path

import pytest

from evenbead.documents import read_case
from evenbead.plan import plan_day
from evenbead.toolpath.reading import toolpath_for

DEMO = Path(__file__).parents[2] / "demo"


@pytest.fixture(scope="module", params=["one-part", "two-part"])
def plan(request):
    case = read_case(DEMO / request.param / "job.toml")
    assert case.mortar.kind == request.param
    return plan_day(case, toolpath_for(case.toolpath, case.job), made_at=dt.datetime(2026, 6, 17, tzinfo=dt.UTC))


def test_it_settles_as_common_practice_expects(plan):
    # common practice, no source: even mortar within about 2 minutes of starting, a change of water seen at the
    # mixer's outlet within about 1 minute
    assert plan.settling.start < 120
    assert plan.settling.change < 60


def test_nothing_speaks_against_either_print(plan):
    assert {check.verdict for check in plan.checks} == {"ok"}
    assert plan.demand.layers >= 60
