"""The physics against the world: every check of the data files beside this one that names it as its reader.

A file holds what was printed, as it was printed, and how we came by it. The tolerance is half of the last printed
digit, or what the file says together with the reason.
"""

import math

import numpy as np
import pytest

from as_printed import checks_read_by, printed, si
from evenbead.physics import metering, metering_fit, mixing, mixture, readings, tracer, uncertainty, water

CHECKS = checks_read_by(__file__)


def line(*, x, y, form, uncertainty=None, scaling="cautious"):
    doubts = np.maximum(x, 1.0) if uncertainty == "max(x, 1)" else None
    fit = metering_fit.fitted_line(x, y, doubts, form=form, scaling=scaling)
    return {
        "intercept": fit.line.intercept,
        "slope": fit.line.slope,
        "intercept_u": math.sqrt(fit.line.intercept_variance),
        "slope_u": math.sqrt(fit.line.slope_variance),
        "residual_sd": fit.residual_sd,
        "r_squared": fit.r_squared,
        "offset_t": fit.offset_t,
        "offset_p": fit.offset_p,
    }


def lack_of_fit(*, x, y, form):
    test = metering_fit.lack_of_fit(x, y, form=form)
    assert not test.straight
    return {"ratio": test.ratio, "dof_line": test.dof_line, "dof_repeats": test.dof_repeats}


def speed_for(*, x, y, flow, readings):
    fitted = metering_fit.fitted_line(x, y, form="offset").line
    found = metering.speed_for(fitted, flow, readings=readings)
    half = uncertainty.coverage_factor(found.dof) * found.u
    return {
        "speed": found.speed,
        "u": found.u,
        "first_order_low": found.speed - half,
        "first_order_high": found.speed + half,
        "low": found.interval.low,
        "high": found.interval.high,
        "weakness": found.weakness,
    }


def reading(*, flow, **fitted):
    known = metering.MeterLine(**fitted, dof=38, through_origin=False, speed_low=0.0, speed_high=12.0, catches=40)
    return {"u": metering.speed_for(known, flow, readings=1).u}


def trace(*, passed, content):
    found = tracer.trace_of(passed, content)
    return {
        "area": found.area,
        "mean": found.mean,
        "variance": found.variance,
        "tanks": found.tanks,
        "density": found.density,
    }


def convolution(*, content, density, step):
    return {"content": tracer.convolved(content, density, step=step)}


def tanks_between(*, mean_before, mean_after, variance_before, variance_after):
    tanks = tracer.tanks_from_moments(mean=mean_after - mean_before, variance=variance_after - variance_before)
    return {"tanks": tanks}


def spread(*, known_spread, known_pieces, pieces):
    piece = mixing.Residence(mean=1.0, variance=known_spread**2 / known_pieces)
    return {"spread": math.sqrt(mixing.in_series(*[piece] * pieces).variance)}


def chi_square(*, dof, shares):
    tanks = mixing.HoldUp(plug=0.0, mixed=float(dof), tanks=dof / 2)
    return {"quantiles": mixing.settling_volume(tanks, np.array(shares))}


def student(*, dofs, level):
    return {"factors": [uncertainty.coverage_factor(dof, level=level) for dof in dofs]}


def end_gauge(**given):
    rectangular = readings.rectangular_uncertainty
    swing = readings.u_shaped_uncertainty(given["temperature_swing"])
    inputs = [
        given["standard"],
        *given["comparison"],
        (given["expansion"], rectangular(given["expansion_half_width"]), np.inf),
        (0.0, rectangular(given["expansion_difference_half_width"]), given["expansion_difference_dof"]),
        (0.0, rectangular(given["temperature_difference_half_width"]), given["temperature_difference_dof"]),
        (given["temperature"], np.hypot(given["temperature_u"], swing), np.inf),
    ]
    values, doubts, dofs = np.array(inputs, float).T

    def length(v):
        standard, shown, random, systematic, expansion, expansion_off, temperature_off, temperature = v
        comparison = shown + random + systematic
        return standard + comparison - standard * (expansion_off * temperature + expansion * temperature_off)

    result = uncertainty.propagated(length, values, doubts, dofs=dofs)
    factor = uncertainty.coverage_factor(result.dof, level=0.99)
    return {
        "length": result.value,
        "u": result.u,
        "whole_dof": math.floor(result.dof),
        "factor_99": factor,
        "expanded_99": factor * round(result.u),
    }


def sum_of_parts(*, parts, dofs):
    ones = np.ones(len(parts))
    return {"u": uncertainty.combined_uncertainty(ones, parts), "dof": uncertainty.effective_dof(parts, dofs)}


def impedance(v):
    voltage, current, phase = v
    return np.array([voltage / current * np.cos(phase), voltage / current * np.sin(phase), voltage / current])


def impedance_from_means(*, voltage, milliampere, phase):
    sets = np.array([voltage, np.array(milliampere) / 1000, phase])
    means, covariance = sets.mean(axis=1), np.cov(sets) / sets.shape[1]
    slopes = uncertainty.sensitivities(impedance, means, np.sqrt(np.diag(covariance)))
    result = uncertainty.propagated_covariance(slopes, covariance)
    doubts = np.sqrt(np.diag(result))
    r = result / np.outer(doubts, doubts)
    names = ("resistance", "reactance", "impedance")
    return (
        dict(zip(names, impedance(means), strict=True))
        | {f"{name}_u": u for name, u in zip(names, doubts, strict=True)}
        | {"r_resistance_reactance": r[0, 1], "r_resistance_impedance": r[0, 2], "r_reactance_impedance": r[1, 2]}
    )


def impedance_from_sets(*, voltage, milliampere, phase):
    results = impedance(np.array([voltage, np.array(milliampere) / 1000, phase]))
    found = {}
    for name, column in zip(("resistance", "reactance", "impedance"), results, strict=True):
        mean = readings.mean_of_readings(column)
        found |= {name: mean.value, f"{name}_u": mean.u}
    return found


def weight(*, certificate, factor, comparison, half_widths):
    parts = [certificate / factor, comparison, *map(readings.rectangular_uncertainty, half_widths)]
    u = uncertainty.combined_uncertainty(np.ones(len(parts)), parts)
    return {"u": u, "expanded": 2 * u}


def volume_of_a_batch(*, solids, water, water_density, air):
    masses, gravities = np.array([(si(mass), gravity) for mass, gravity in solids]).T
    density = si(water_density)
    proportions = mixture.Proportions(
        water_ratio=si(water) / masses.sum(),
        powder_density=masses.sum() / np.sum(masses / (gravities * density)),
        water_density=density,
        air=air,
    )
    return {"volume": masses.sum() * mixture.mortar_yield(proportions)}


def water_densities(*, temperatures):
    return {"densities": water.water_density(np.array([si(text) for text in temperatures]))}


EVALUATE = {
    "line": line,
    "lack of fit": lack_of_fit,
    "speed for": speed_for,
    "reading": reading,
    "trace": trace,
    "convolution": convolution,
    "tanks between": tanks_between,
    "spread": spread,
    "chi-square": chi_square,
    "student": student,
    "end gauge": end_gauge,
    "sum": sum_of_parts,
    "impedance from means": impedance_from_means,
    "impedance from sets": impedance_from_sets,
    "weight": weight,
    "volume of a batch": volume_of_a_batch,
    "water density": water_densities,
}


def test_there_are_checks_to_read():
    assert len(CHECKS) >= 30


@pytest.mark.parametrize(("file", "check"), CHECKS)
def test_it_agrees_with_what_is_published(file, check):
    given = dict(check["given"])
    given |= file["data"][given.pop("data")] if "data" in given else {}
    result = EVALUATE[check["evaluate"]](**given)

    for key, texts in check["expected"].items():
        for text, ours in zip(np.ravel(texts), np.ravel(result[key]), strict=True):
            value, half_digit = printed(str(text))
            relative = check.get("tolerance", {}).get("relative")
            # Round-off must not decide a tie at half a digit.
            allowed = half_digit * (1 + 1e-9) if relative is None else relative * abs(value)
            assert ours == pytest.approx(value, rel=0, abs=allowed), key
    for key, text in check.get("loosely", {}).items():
        assert result[key] == pytest.approx(float(text), rel=0, abs=check["tolerances"][key]["absolute"]), key


@pytest.mark.parametrize(("file", "check"), CHECKS)
def test_it_says_where_the_values_come_from_and_why_a_tolerance_is_wide(file, check):
    assert file["source"]
    assert file["got"]
    assert check["provenance"]
    for tolerance in [check.get("tolerance"), *check.get("tolerances", {}).values()]:
        assert tolerance is None or tolerance["why"]
