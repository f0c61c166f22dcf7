"""Units at the edge: factors against pint, round trips as a law, refusals in words."""

import inspect

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenbead import quantities as q

KINDS = [kind for _, kind in inspect.getmembers(q, lambda thing: isinstance(thing, q.Kind))]
# Spellings in which pint and we differ only by name; everything else is handed to pint as it stands.
PINT_NAMES = {
    "gal": "US_liquid_gallon",
    "floz": "US_fluid_ounce",
    "qt": "US_liquid_quart",
    "psf": "lbf/ft**2",
    "t": "metric_ton",
    "rev": "turn",
    "lb": "pound",
    "oz": "ounce",
    "Btu": "Btu_it",
    "mi": "mile",
    "yd": "yard",
    "gpm": "US_liquid_gallon/min",
    "h": "hour",
    "d": "day",
    "1": "dimensionless",
    "%": "percent",
}


@pytest.fixture(scope="module")
def registry():
    return pint.UnitRegistry()


@pytest.mark.parametrize("symbol", sorted(q._UNITS))
def test_every_factor_is_that_of_pint(symbol, registry):
    factor, dimension = q._UNITS[symbol]
    unit = registry(PINT_NAMES.get(symbol, symbol)).to_base_units()
    expected = unit.magnitude
    if dimension[4]:  # we count revolutions, pint counts radians
        expected /= 2 * 3.141592653589793

    assert factor == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: f"{kind.name} in {kind.metric}")
@pytest.mark.parametrize("system", ["metric", "us"])
@given(number=st.floats(min_value=1e-6, max_value=1e9))
def test_writing_a_quantity_and_reading_it_back_changes_nothing(kind, system, number):
    assert q.parse(q.exact(number, kind, system), kind) == number


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: f"{kind.name} in {kind.metric}")
@given(number=st.floats(min_value=1e-3, max_value=1e6))
def test_metric_and_us_texts_of_one_value_mean_the_same(kind, number):
    texts = [f"{q.converted(number, kind, unit):.17g} {unit}" for unit in (kind.metric, kind.us)]

    assert q.parse(texts[0], kind) == pytest.approx(q.parse(texts[1], kind), rel=1e-12)


@pytest.mark.parametrize(
    ("text", "kind", "value"),
    [
        ("1,5 bar", q.PRESSURE, 150_000.0),
        ("1.5bar", q.PRESSURE, 150_000.0),
        ("-4 °F", q.TEMPERATURE, -20.0),
        ("293.15 K", q.TEMPERATURE, 20.0),
        ("3.2 kg/L", q.DENSITY, 3200.0),
        ("1 L/min", q.VOLUME_FLOW, 1 / 60_000),
        ("1 gpm", q.VOLUME_FLOW, 231 * 0.0254**3 / 60),
        ("15 Pa·s", q.VISCOSITY, 15.0),
        ("500 mm/s²", q.ACCELERATION, 0.5),
        ("2 litres", q.VOLUME, 0.002),
    ],
)
def test_it_reads_what_people_write(text, kind, value):
    assert q.parse(text, kind) == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "kind", "message"),
    [
        ("35", q.SMALL_LENGTH, "has no unit"),
        ("35 kg", q.SMALL_LENGTH, "is not a length"),
        ("35 mmm", q.SMALL_LENGTH, 'nearest: "mm"'),
        ("", q.SMALL_LENGTH, "no number with a unit"),
        ("nan mm", q.SMALL_LENGTH, "no number with a unit"),
        ("inf mm", q.SMALL_LENGTH, "no number with a unit"),
        ("1,500 mm", q.SMALL_LENGTH, "two ways"),
        ("1e400 mm", q.SMALL_LENGTH, "too large"),
        ("20 mm", q.TEMPERATURE, "no unit of temperature"),
        ("5 kJ", q.MOLAR_ENERGY, "is not an energy per mole"),
        ("9" * 1_000_000 + " mm", q.SMALL_LENGTH, "too large"),
    ],
    ids=lambda value: value[:20] if isinstance(value, str) else "",
)
def test_it_refuses_with_a_reason_and_what_was_expected(text, kind, message):
    with pytest.raises(q.UnitFault) as refused:
        q.parse(text, kind)

    assert message in refused.value.what
    assert len(str(refused.value)) < 250
    assert refused.value.expected.startswith("expected")
