"""Collapse and buckling against the world: every check of the data files beside this one that names it as its reader.

Where a file calculates with g = 9.81 m/s², mortar is taken as much heavier as makes its weight the same.
"""

import math
import re
from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import brentq

from as_printed import FILES, checks_read_by, printed, si
from evenbead.physics import buckling, buckling_curved, buckling_held, buckling_ideal, collapse, collapse_ideal
from evenbead.physics.constants import GRAVITY
from evenbead.physics.fresh_wall import Layers, ages, even_layers
from evenbead.physics.rhythm import tallest

CHECKS = checks_read_by(__file__)


def as_heavy(density):
    return density * 9.81 / GRAVITY


def greenhill():
    return {"constant": buckling_ideal.GREENHILL, "length": buckling_ideal.critical_length(lambda _: 1.0)}


def collapse_heights(*, yield_stress, density):
    carried = {
        name: yield_stress / collapse_ideal.yield_stress_needed(height=1.0, density=as_heavy(density), factor=factor)
        for name, factor in (("von_mises", collapse.VON_MISES), ("tresca", collapse.yield_factor("Tresca")))
    }
    return {"von_mises": carried["von_mises"], "tresca": carried["tresca"]}


def yield_stress_needed(*, height, density):
    return {"yield_stress": collapse_ideal.yield_stress_needed(height=height, density=as_heavy(density))}


def linear_growth(*, yield_stress, growth, density, rise):
    time = collapse_ideal.collapse_time(yield_stress=yield_stress, growth=growth, rise=rise, density=as_heavy(density))
    endless = collapse_ideal.rise_without_collapse(growth=growth, density=as_heavy(density))
    return {"endless_rise": endless, "time": time, "height": rise * time}


def modulus_needed(*, height, width, density, poisson):
    given = {"height": height, "width": width, "density": as_heavy(density)}
    return {
        "beam": buckling_ideal.greenhill_modulus(**given),
        "plate": buckling_ideal.greenhill_modulus(**given, poisson=poisson),
    }


def mohr_coulomb(*, cohesion, cohesion_growth, friction, density, layer_height, layer_time, **_):
    factor = collapse.yield_factor("Mohr-Coulomb", friction=math.radians(friction))
    weight = as_heavy(density)
    rise = layer_height / layer_time
    time = collapse_ideal.collapse_time(
        yield_stress=cohesion, growth=cohesion_growth, rise=rise, density=weight, factor=factor
    )
    even = cohesion / collapse_ideal.yield_stress_needed(height=1.0, density=weight, factor=factor)
    return {"factor": factor, "strength": factor * cohesion, "even_height": even, "height": rise * time}


def free_wall(*, modulus, modulus_growth, poisson, density, width, layer_height, layer_time, **_):
    given = {"modulus": modulus, "width": width, "density": as_heavy(density)}
    growing = buckling_ideal.buckling_height(
        **given, poisson=poisson, growth=modulus_growth, rise=layer_height / layer_time
    )
    return {
        "scale": buckling_ideal.wall_scale(**given, poisson=poisson),
        "even_plate": buckling_ideal.greenhill_height(**given, poisson=poisson),
        "even_beam": buckling_ideal.greenhill_height(**given),
        "growing": growing,
    }


def free_wall_at_rises(*, rises, layer_height, layer_time, **mortar):
    del layer_time
    heights = [free_wall(layer_height=layer_height, layer_time=layer_height / v, **mortar)["growing"] for v in rises]
    return {"height": heights}


def even_ring(*, modulus, poisson, density, width, radius, **_):
    stress = buckling_curved.ring_buckling_stress(
        modulus=modulus, width=width, radius=radius, poisson=poisson, knock_down=1.0
    )
    return {"height": stress / (as_heavy(density) * GRAVITY)}


def cylinder_in_layers(*, radius, friction, **mortar):
    """How many layers each model lets stand."""
    wall = even_layers(
        10,
        interval=mortar["layer_time"],
        height=mortar["layer_height"],
        width=mortar["width"],
        density=as_heavy(mortar["density"]),
    )

    def modulus(layers):
        return mortar["modulus"] + mortar["modulus_growth"] * ages(layers)

    def collapsing(factor):
        return lambda layers: (
            collapse.collapse_course(
                layers, mortar["cohesion"] + mortar["cohesion_growth"] * ages(layers), factor=factor
            ).load_factor
        )

    def free(layers):
        return buckling.buckling_course(layers, modulus(layers), poisson=mortar["poisson"]).load_factor

    def ring(layers):
        return buckling_curved.ring_course(
            layers, modulus(layers), radius=radius, poisson=mortar["poisson"], knock_down=1.0
        ).load_factor

    models = {
        "collapse_von_mises": collapsing(collapse.VON_MISES),
        "collapse_mohr_coulomb": collapsing(collapse.yield_factor("Mohr-Coulomb", friction=math.radians(friction))),
        "free_thick": free,
        "ring_perfect": ring,
    }
    return {name: tallest(wall, load_factor).layers for name, load_factor in models.items()}


def stiffness(law, number, limit):
    """Of mortar at a distance below the top, over that at the top."""
    if law == "linear":
        return lambda s: 1.0 + number * s
    if law == "square":
        return lambda s: 1.0 + number * s**2
    return lambda s: limit + (1.0 - limit) * np.exp(-number * s)


def critical_lengths(*, law, numbers, limit=None):
    return {"integrated": [buckling_ideal.critical_length(stiffness(law, number, limit)) for number in numbers]}


def critical_lengths_in_layers(*, law, numbers, limit=None):
    return {"in_layers": [length_in_layers(stiffness(law, number, limit)) for number in numbers]}


def length_in_layers(growth, count=400):
    def reserve(length):
        edges = np.linspace(length, 0.0, count + 1)
        rigidity = growth((edges[:-1] + edges[1:]) / 2)[None] * np.ones((1, count))
        wall = {"rigidity": rigidity, "load": edges[None, :-1], "height": length / count}
        return math.log(buckling.buckling_of_columns(**wall, tolerance=1e-8)[0][0])

    return brentq(reserve, 1.0, 40.0, rtol=1e-7)


def collapse_height(*, strength, curing, rise, density):
    endless = collapse_ideal.rise_without_collapse(growth=strength * curing, density=as_heavy(density), factor=1.0)
    height = collapse_ideal.collapse_height(strength=strength, curing=curing, rise=rise, density=as_heavy(density))
    return {"height": height, "endless_rise": endless}


def held_load_factor(height, *, edges, curing, poisson, length, count=80):
    """Of a wall whose rigidity at the top, weight of a square metre and scale are all one."""
    density = 1.0 / GRAVITY
    wall = Layers(laid=np.zeros(count), height=height / count, width=1.0, area=height / count, density=density)
    middles = height - (np.arange(count) + 0.5) * height / count
    modulus = 12.0 * (1.0 - poisson**2) * (1.0 + curing * middles)[:, None]
    return buckling_held.held_buckling_course(
        wall, modulus, length=length, edges=edges, poisson=poisson, moments=np.zeros(1), tolerance=1e-8
    ).least


def critical_height(**held):
    return brentq(lambda height: math.log(held_load_factor(height, **held)), 1.8, 16.0, rtol=1e-6)


def held_lengths(*, edges, curing, poisson, lengths):
    held = {"edges": edges, "curing": curing, "poisson": poisson}
    return {"critical": [critical_height(**held, length=length) for length in lengths]}


def held_lengths_by_poisson(*, edges, curing, length, poissons):
    held = {"edges": edges, "curing": curing, "length": length}
    return {"critical": [critical_height(**held, poisson=poisson) for poisson in poissons]}


def held_for_ever(*, edges, curing, poisson, lengths, height):
    held = {"edges": edges, "curing": curing, "poisson": poisson}
    return {"stands": [float(held_load_factor(height, **held, length=length, count=200) > 1.0) for length in lengths]}


def tower(*, growth, layers, height, time, density, start):
    wall = even_layers(layers, interval=time / layers, height=height / layers, width=0.04, density=density)
    course = collapse.collapse_course(wall, start + growth * ages(wall))
    return {"rise": height / time, "layer_height": height / layers, "stands": float(course.least > 1.0)}


EVALUATE = {
    "greenhill": greenhill,
    "collapse heights": collapse_heights,
    "yield stress needed": yield_stress_needed,
    "linear growth": linear_growth,
    "modulus needed": modulus_needed,
    "mohr-coulomb": mohr_coulomb,
    "free wall": free_wall,
    "free wall at rises": free_wall_at_rises,
    "even ring": even_ring,
    "critical lengths": critical_lengths,
    "critical lengths in layers": critical_lengths_in_layers,
    "collapse height": collapse_height,
    "held lengths": held_lengths,
    "held lengths by poisson": held_lengths_by_poisson,
    "held for ever": held_for_ever,
    "tower": tower,
}


@pytest.fixture(autouse=True)
def one_cosine(monkeypatch):
    """The usual single shape of a clamped wall, 1 - cos(2 π y/b), beside our polynomials."""
    ours = buckling_held.shapes_along

    def shapes_along(edges, shapes=4):
        if edges != "cosine":
            return ours(edges, shapes)
        turn = (2.0 * math.pi) ** 2
        plain, slope = np.array([[3.0 / 8.0]]), np.array([[turn / 8.0]])
        return buckling_held.ShapesAlong(plain=plain, slope=slope, curvature=slope * turn, mixed=-slope)

    monkeypatch.setattr(buckling_held, "shapes_along", shapes_along)


@pytest.fixture(scope="module")
def cylinder():
    """Layers at which each model lets the cylinder that fell go, and how many it really had."""
    data, measured = FILES["wolfs-2018"]["data"]["mortar"], FILES["wolfs-2018"]["cylinder"]
    models = cylinder_in_layers(radius=si(measured["radius"]), **{name: si(value) for name, value in data.items()})
    return models | {"measured": measured["layers_measured"], "lattice": measured["layers_by_a_lattice_model"]}


def test_the_cylinder_that_fell_lies_between_the_bounds(cylinder):
    assert cylinder["free_thick"] <= cylinder["measured"] <= cylinder["ring_perfect"]
    assert cylinder["measured"] <= cylinder["collapse_mohr_coulomb"]


def test_the_docs_tell_honestly_what_our_models_make_of_the_cylinder(cylinder):
    page = (Path(__file__).parents[2] / "docs" / "explanation" / "stability.md").read_text(encoding="utf-8")
    shown = {
        row[0]: (int(row[1]), row[2]) for row in re.findall(r"^\| ([^|]+?) \| (\d+) \| ([^|]+?) \|", page, re.MULTILINE)
    }

    for words, name in (
        ("collapse, von Mises", "collapse_von_mises"),
        ("collapse, Mohr-Coulomb 20°", "collapse_mohr_coulomb"),
        ("buckling, free and straight", "free_thick"),
        ("buckling, perfect ring", "ring_perfect"),
        ("a lattice model, published", "lattice"),
    ):
        assert shown[words] == (cylinder[name], f"{cylinder[name] / cylinder['measured'] - 1:+.0%}".replace("%", " %"))


def test_there_are_checks_to_read():
    assert len(CHECKS) >= 30


@pytest.mark.parametrize(("file", "check"), CHECKS)
def test_it_agrees_with_what_is_published(file, check):
    given = dict(check.get("given", {}))
    given |= file["data"][given.pop("data")] if "data" in given else {}
    result = EVALUATE[check["evaluate"]](**{name: si(value) for name, value in given.items()})

    for key, texts in check["expected"].items():
        for text, ours in zip(np.ravel(texts), np.ravel(result[key]), strict=True):
            value, half_digit = printed(str(text))
            relative = check.get("tolerance", {}).get("relative")
            allowed = half_digit * (1 + 1e-9) if relative is None else relative * abs(value)
            assert ours == pytest.approx(value, rel=0, abs=allowed), key


@pytest.mark.parametrize(("file", "check"), CHECKS)
def test_it_says_where_the_values_come_from_and_why_a_tolerance_is_wide(file, check):
    assert file["source"]
    assert file["got"]
    assert check["provenance"]
    assert "tolerance" not in check or check["tolerance"]["why"]
