"""What the tests of the fresh checks share: one print, planned with things changed."""

import pytest

import invented_site as site


@pytest.fixture
def planned(tmp_path):
    """The checks of the invented bench by their names, with texts of its documents changed."""

    def planning(*, station=(), mortar=(), job=(), two_part=False, code=None):
        texts = {
            "station": site.SOUND_STATION,
            "mortar": site.SOUND_TWO_PART if two_part else site.SOUND_ONE_PART,
            "job": site.JOB,
        }
        for name, changes in (("station", station), ("mortar", mortar), ("job", job)):
            for old, new in changes:
                texts[name] = site.changed(texts[name], old, new)
        return site.plan_of(tmp_path, **texts, code=code)

    return planning


@pytest.fixture
def check(planned):
    """One check of such a plan."""

    def looking(name, **changes):
        return next(found for found in planned(**changes).checks if found.name == name)

    return looking
