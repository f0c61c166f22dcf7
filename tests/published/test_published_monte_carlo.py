"""Simulation and sensitivity against the world: every check of the data files that names this file as its reader.

A file holds what was printed, as it was printed, and how we came by it. The tolerance is half of the last printed
digit, or what the file says together with the reason.
"""

import math

import numpy as np
import pytest

from as_printed import PRINTED, files_read_by
from evenbead.physics.distributions import Normal, Rectangular
from evenbead.physics.draws import drawn
from evenbead.physics.outcomes import coverage_interval, estimate_of, probability_of
from evenbead.physics.readings import rectangular_uncertainty
from evenbead.physics.sensitivity import designs, indices
from evenbead.physics.steadiness import draws_per_batch, numerical_tolerance
from evenbead.physics.uncertainty import propagated
from evenbead.physics.worth import first_order_from_draws

CHECKS = [
    pytest.param(check | {"file": file}, id=f"{stem}-{check['id']}")
    for stem, file in files_read_by(__file__).items()
    for check in file["check"]
]
DRAWS = 2**17


def rectangle(middle, sd):
    half = math.sqrt(3) * sd
    return Rectangular(low=middle - half, high=middle + half)


SHAPES = {"normal": lambda mean, sd: Normal(mean=mean, sd=sd), "rectangle": rectangle}


def simulation(*, model, inputs):
    assert model == "sum"
    shapes = {f"x{index}": SHAPES[shape](mean, sd) for index, (shape, mean, sd) in enumerate(inputs)}
    total = sum(drawn(shapes, count=DRAWS, seed=101).values())
    interval = coverage_interval(total)
    _, means, sds = zip(*inputs, strict=True)
    first_order = propagated(np.sum, means, sds)
    return {
        "u": estimate_of(total).u,
        "low": interval.low,
        "high": interval.high,
        "gum_high": first_order.value + first_order.u95,
    }


def mass_calibration(*, standard, difference, air, weight, reference):
    def mass(v):
        return (v[0] + v[1]) * (1.0 + (v[2] - 1.2) * (1.0 / v[3] - 1.0 / v[4])) - 1e5

    normals, rectangles = (standard, difference), (air, weight, reference)
    inputs = [Normal(mean=mean, sd=sd) for mean, sd in normals]
    inputs += [Rectangular(low=low, high=high) for low, high in rectangles]
    masses = mass([*drawn(dict(zip("abcde", inputs, strict=True)), count=DRAWS, seed=101).values()])
    interval = coverage_interval(masses)
    first_order = propagated(
        mass,
        [*(mean for mean, _ in normals), *(np.mean(ends) for ends in rectangles)],
        [*(sd for _, sd in normals), *(rectangular_uncertainty(np.ptp(ends) / 2) for ends in rectangles)],
    )
    found = estimate_of(masses)
    return {"mean": found.value, "u": found.u, "low": interval.low, "high": interval.high, "gum_u": first_order.u}


def comparison_loss(*, u):
    reflections = drawn({"real": Normal(mean=0, sd=u), "imaginary": Normal(mean=0, sd=u)}, count=DRAWS, seed=101)
    loss = 1e6 * (reflections["real"] ** 2 + reflections["imaginary"] ** 2)
    shortest = coverage_interval(loss, kind="shortest")
    found = estimate_of(loss)
    return {
        "mean": found.value,
        "u": found.u,
        "shortest_low": shortest.low,
        "shortest_high": shortest.high,
        "gum_u": propagated(lambda v: 1e6 * float(v @ v), [0.0, 0.0], [u, u]).u,
    }


def proportion(*, hits, count):
    flags = np.arange(count) < hits
    found = {kind: probability_of(flags, kind=kind) for kind in ("wilson", "exact")}
    return {kind: [chance.low, chance.high] for kind, chance in found.items()}


def shares(function, names, distribution):
    design = designs(names, count=2**13, seed=101)
    found = indices(design, function([distribution.at(design.points[name]) for name in names]))
    inputs = drawn(dict.fromkeys(names, distribution), count=2**14, seed=101)
    from_draws = first_order_from_draws(inputs, function([*inputs.values()]))
    return {"first": found.first, "total": found.total, "from_draws": [share.value for share in from_draws.values()]}


def ishigami(*, a, b):
    # Variances by integration, term by term: of sin x1 (1 + b x3⁴), of a sin² x2, and of the two together.
    first = (1 + b * math.pi**4 / 5) ** 2 / 2, a**2 / 8, 0.0
    together = b**2 * math.pi**8 * (1 / 18 - 1 / 50)
    variance = sum(first) + together
    exact = {
        "exact_first": np.array(first) / variance,
        "exact_total": np.array([first[0] + together, first[1], together]) / variance,
    }
    function = lambda x: np.sin(x[0]) + a * np.sin(x[1]) ** 2 + b * x[2] ** 4 * np.sin(x[0])  # noqa: E731
    return exact | shares(function, ["x1", "x2", "x3"], Rectangular(low=-math.pi, high=math.pi))


def g_function(*, a):
    factors = np.array(a, float)
    parts = 1 / (3 * (1 + factors) ** 2)
    variance = np.prod(1 + parts) - 1
    exact = {
        "exact_first": parts / variance,
        "exact_total": parts * np.prod(1 + parts) / (1 + parts) / variance,
    }
    function = lambda x: np.prod((np.abs(4 * np.array(x) - 2).T + factors) / (1 + factors), axis=-1)  # noqa: E731
    return exact | shares(function, [f"x{index}" for index in range(len(a))], Rectangular(low=0.0, high=1.0))


EVALUATE = {
    "simulation": simulation,
    "mass calibration": mass_calibration,
    "comparison loss": comparison_loss,
    "tolerance": lambda **given: {"tolerance": numerical_tolerance(**given)},
    "batch": lambda **given: {"draws": draws_per_batch(**given)},
    "proportion": proportion,
    "ishigami": ishigami,
    "g-function": g_function,
}


def test_there_are_checks_of_draws_to_read():
    assert len(CHECKS) >= 14


@pytest.mark.parametrize("check", CHECKS)
def test_draws_agree_with_what_is_published(check):
    result = EVALUATE[check["evaluate"]](**check["given"])

    for key, texts in check["expected"].items():
        wide = check.get("tolerances", {}).get(key)
        for text, ours in zip(np.ravel(texts), np.ravel(result[key]), strict=True):
            half_digit = 10.0 ** -len(PRINTED.fullmatch(text)["decimals"] or "") / 2
            # Round-off must not decide a tie at half a digit.
            allowed = wide["absolute"] if wide else half_digit * (1 + 1e-9)
            assert ours == pytest.approx(float(text), rel=0, abs=allowed), key


@pytest.mark.parametrize("check", CHECKS)
def test_a_check_of_draws_says_where_it_comes_from_and_why_a_tolerance_is_wide(check):
    assert check["file"]["source"]
    assert check["file"]["got"]
    assert check["provenance"]
    assert all(tolerance["why"] for tolerance in check.get("tolerances", {}).values())
    assert set(check.get("tolerances", {})) <= set(check["expected"])
