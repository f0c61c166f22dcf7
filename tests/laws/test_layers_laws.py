from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from evenbead.toolpath.layers import layers_of
from invented_paths import HEIGHT, WIDTH, Path, circle, divided, rectangle, rounded_rectangle, spiral, toolpath


def walls():
    """Prints of different kinds, and the layer of each printed move as they were built."""
    prints = []
    for lean in (0.0, 0.005):
        path, truth = Path(), []
        for k in range(9):
            i, z = lean * k, HEIGHT * (k + 1)
            for run in (rectangle(i, i, 2 - i, 1 - i, z), circle(0.25, z, centre=(3, 0.5)), [(1, 0.1, z), (1, 0.9, z)]):
                path.run(run)
                truth += [k] * (len(run) - 1)
        prints.append((path.toolpath(), np.array(truth)))
    path, truth = Path(), []
    for piece, layers in enumerate((6, 5)):
        for k in range(layers):
            path.run(rectangle(3 * piece, 0, 3 * piece + 1, 1, HEIGHT * (k + 1)))
            truth += [6 * piece + k] * 4
    prints.append((path.toolpath(), np.array(truth)))
    return prints


PRINTS = walls()
SPIRAL = toolpath(*spiral(rounded_rectangle(2.0, 1.2, 0.3), 8).T)


def moved(path, *, angle, shift, scale=1.0):
    x = scale * (np.cos(angle) * path.x - np.sin(angle) * path.y) + shift[0]
    y = scale * (np.sin(angle) * path.x + np.cos(angle) * path.y) + shift[1]
    return toolpath(x, y, scale * path.z, on=path.on)


angles = st.floats(0, 2 * np.pi)
shifts = st.tuples(st.floats(-50, 50), st.floats(-50, 50))


@given(st.sampled_from(PRINTS), angles, shifts)
@settings(max_examples=60, deadline=None)
def test_layers_do_not_depend_on_where_the_print_stands(case, angle, shift):
    path, truth = case
    layers = layers_of(moved(path, angle=angle, shift=shift), bead_width=WIDTH, layer_height=HEIGHT)
    assert layers.index[path.on].tolist() == truth.tolist()


@given(angles, shifts)
@settings(max_examples=40, deadline=None)
def test_turns_of_a_spiral_do_not_depend_on_where_it_stands(angle, shift):
    layers = layers_of(moved(SPIRAL, angle=angle, shift=shift), bead_width=WIDTH, layer_height=HEIGHT)
    per_turn = len(SPIRAL) / 8
    assert np.abs(layers.first_move - per_turn * np.arange(8)).max() <= 1.5


@given(st.sampled_from([path for path, _ in PRINTS]), st.floats(0.1, 10.0))
@settings(max_examples=20, deadline=None)
def test_layers_do_not_depend_on_the_unit_of_length(path, scale):
    layers = layers_of(path, bead_width=WIDTH, layer_height=HEIGHT)
    scaled = layers_of(
        moved(path, angle=0.0, shift=(0, 0), scale=scale), bead_width=scale * WIDTH, layer_height=scale * HEIGHT
    )
    assert scaled.index.tolist() == layers.index.tolist()


@given(st.sampled_from([path for path, _ in PRINTS]), st.integers(2, 9))
@settings(max_examples=30, deadline=None)
def test_cutting_moves_in_pieces_does_not_change_the_layers(path, pieces):
    layers = layers_of(path, bead_width=WIDTH, layer_height=HEIGHT)
    cut = layers_of(divided(path, pieces), bead_width=WIDTH, layer_height=HEIGHT)
    # A piece of a positioning move before the first bead is still before it.
    assert cut.index.tolist() == np.repeat(layers.index, pieces).tolist()


@given(st.integers(2, 9))
@settings(max_examples=8, deadline=None)
def test_cutting_moves_of_a_spiral_shifts_a_turn_by_less_than_a_move(pieces):
    layers = layers_of(SPIRAL, bead_width=WIDTH, layer_height=HEIGHT)
    cut = layers_of(divided(SPIRAL, pieces), bead_width=WIDTH, layer_height=HEIGHT)
    assert len(cut) == len(layers)
    assert np.abs(cut.first_move / pieces - layers.first_move).max() < 1
