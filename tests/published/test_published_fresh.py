"""Fresh mortar against the world: every check of the data files that names this file as its reader.

A file holds what was printed, as it was printed, and how we came by it. The tolerance is half of the last printed
digit, or what the file says together with the reason.
"""

import math

import numpy as np
import pytest

from as_printed import checks_read_by, printed, si
from evenbead.physics import drying, pumping, pumping_lines, pumping_profile, setting, setting_tests
from evenbead.physics.bonding_published import BOND_LOSSES, published_losses
from evenbead.physics.field_soil_tests import fall_cone, pocket_vane
from evenbead.physics.setting_rate import NurseSaul

CHECKS = checks_read_by(__file__)


def maturity(*, hours, temperatures, datum):
    ends = np.cumsum(hours) * 3600.0
    begins = ends - np.array(hours) * 3600.0
    history = setting.TemperatureHistory(time=begins, temperature_c=temperatures, between="steps")
    return {"maturity": setting.maturity(history, until=ends[-1], law=NurseSaul(datum_c=datum))}


def needle_set(*, times, depths):
    return {"initial": setting_tests.needle_set(times, depths)}


def restart(*, gel, bore, length):
    return {"pressure": pumping_lines.start_pressure(gel, length=length, bore=bore)}


def power_law_taken_for_bingham(*, consistency, exponent, rates, radius, length, middle):
    stresses = consistency * np.array(rates, float) ** exponent
    viscosity = np.diff(stresses)[0] / np.diff(rates)[0]
    yield_stress = stresses[0] - viscosity * rates[0]
    real = pumping.FlowCurve(yield_stress=0.0, consistency=consistency, exponent=exponent)
    taken = pumping.FlowCurve(yield_stress=yield_stress, consistency=viscosity)
    # Without yield stress the middle moves (3n+1)/(n+1) times as fast as the mean.
    mean = middle * (exponent + 1.0) / (3.0 * exponent + 1.0)
    stress = pumping.stress_for_velocity(mean, bore=2 * radius, curve=real)
    assert pumping_profile.velocity_at(0.0, stress=stress, bore=2 * radius, curve=real) == pytest.approx(middle)
    return {
        "stresses": stresses,
        "viscosity": viscosity,
        "yield_stress": yield_stress,
        "pressure": stress * 2 * length / radius,
        "bingham_middle": pumping_profile.velocity_at(0.0, stress=stress, bore=2 * radius, curve=taken),
        "bingham_mean": pumping.mean_velocity(stress, bore=2 * radius, curve=taken),
    }


def gradient(*, consistency, exponent, bore, velocity):
    curve = pumping.FlowCurve(yield_stress=0.0, consistency=consistency, exponent=exponent)
    flow = velocity * math.pi / 4 * bore**2
    return {"gradient": pumping.pressure_for_flow(flow, length=1.0, bore=bore, curve=curve)}


def regime(*, yield_stress, viscosity, bore, density, velocity, measured):
    hedstrom = pumping_profile.hedstrom(bore=bore, density=density, yield_stress=yield_stress, viscosity=viscosity)
    reynolds = pumping_profile.reynolds(velocity=velocity, bore=bore, density=density, viscosity=viscosity)
    critical = pumping_profile.critical_reynolds(hedstrom)
    stress = pumping.wall_stress(measured, length=1.0, bore=bore)
    assert reynolds > critical
    return {
        "hedstrom": hedstrom,
        "reynolds": reynolds,
        "critical": critical,
        "friction": 2 * stress / (density * velocity**2),
    }


def wind(*, wind, measured_at, height, roughness):
    return {"wind": drying.wind_at_height(wind, measured_at=measured_at, height=height, roughness=roughness)}


def vapour_pressure(*, temperatures):
    return {"pressures": drying.saturation_vapour_pressure(temperatures)}


def menzel(*, temperature, humidity, winds):
    rates = drying.menzel_evaporation(
        mortar_temp_c=temperature, air_temp_c=temperature, humidity=humidity, wind=winds, constants=drying.MENZEL_US
    )
    return {"rates": rates}


def cone(*, mass, depth, factor):
    return {"stress": fall_cone(depth, mass=mass, factor=factor, factor_u=0.1).yield_stress.value}


def vane(*, torque):
    return {"stress": pocket_vane(torque, torque_u=1e-3).yield_stress.value}


def bond_loss(*, source, intervals):
    study = [loss for loss in BOND_LOSSES if loss.source == source]
    return {"losses": published_losses(intervals, studies=study).low}


EVALUATE = {
    "maturity": maturity,
    "needle set": needle_set,
    "restart": restart,
    "power law taken for Bingham": power_law_taken_for_bingham,
    "gradient": gradient,
    "regime": regime,
    "wind": wind,
    "vapour pressure": vapour_pressure,
    "menzel": menzel,
    "fall cone": cone,
    "pocket vane": vane,
    "bond loss": bond_loss,
}


def test_there_are_checks_to_read():
    assert len(CHECKS) >= 12


@pytest.mark.parametrize(("file", "check"), CHECKS)
def test_it_agrees_with_what_is_published(file, check):
    result = EVALUATE[check["evaluate"]](**{name: si(value) for name, value in check["given"].items()})

    for key, texts in check["expected"].items():
        for text, ours in zip(np.ravel(texts), np.ravel(result[key]), strict=True):
            value, half_digit = printed(str(text))
            relative = check.get("tolerance", {}).get("relative")
            # Round-off must not decide a tie at half a digit.
            allowed = half_digit * (1 + 1e-9) if relative is None else relative * abs(value)
            assert ours == pytest.approx(value, rel=0, abs=allowed), key
    assert file["source"]


@pytest.mark.parametrize(("file", "check"), CHECKS)
def test_it_says_where_the_values_come_from_and_why_a_tolerance_is_wide(file, check):
    assert file["source"]
    assert file["got"]
    assert check["provenance"]
    assert check.get("tolerance", {"why": "half of the last digit"})["why"]
