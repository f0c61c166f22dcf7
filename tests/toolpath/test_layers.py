"""What a layer is has no published test cases (common practice, no source): here every print is built layer by
layer, and the layers found must be the ones it was built from."""

from __future__ import annotations

import numpy as np
import pytest

from evenbead.errors import InputRefused
from evenbead.toolpath.layers import estimated_layer_height, layers_of
from invented_paths import HEIGHT, WIDTH, Path, circle, rectangle, rounded_rectangle, spiral, toolpath


def found(path, *, height=HEIGHT, width=WIDTH):
    return layers_of(path, bead_width=width, layer_height=height)


def built(layers):
    """A path from a list of layers, each a list of runs of corners; and the layer of each printed move."""
    path, truth = Path(), []
    for k, layer in enumerate(layers):
        for run in layer:
            path.run(run)
            truth += [k] * (len(run) - 1)
    return path.toolpath(), np.array(truth)


def assert_built_from(layers, **kwargs):
    path, truth = built(layers)
    index = found(path, **kwargs).index[path.on]
    assert index.tolist() == truth.tolist()


def test_a_wall_of_planar_loops_has_a_layer_per_loop():
    assert_built_from([[rectangle(0, 0, 2, 1, HEIGHT * (k + 1))] for k in range(20)])


def test_several_loops_and_an_inner_loop_share_a_layer():
    def layer(z):
        return [
            rectangle(0, 0, 2, 1, z),
            rectangle(0.045, 0.045, 1.955, 0.955, z),
            circle(0.2, z, centre=(1, 0.5)),
            circle(0.3, z, centre=(4, 0.5)),
        ]

    assert_built_from([layer(HEIGHT * (k + 1)) for k in range(12)])


def test_one_long_wall_laid_to_and_fro_without_a_gap_has_a_layer_per_pass():
    path, truth = Path(), []
    path.travel((0, 0, HEIGHT))
    for k in range(15):
        z, x = HEIGHT * (k + 1), (3.0 if k % 2 == 0 else 0.0)
        if k:
            path.lay((path.corners[-1][0], 0, z))  # straight up with the bead on
            truth.append(k)
        path.lay((x, 0, z))
        truth.append(k)
    path = path.toolpath()
    assert found(path).index.tolist() == truth


@pytest.mark.parametrize("angle", [0.0, 0.61, 0.9, 1.27, np.pi / 4])
def test_a_straight_wall_at_any_angle_that_leans_a_little_has_a_layer_per_pass(angle):
    layers = []
    for k in range(40):
        y = 0.004 * k
        a, b = np.array([0, y]), np.array([2.5, y])
        turn = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
        layers.append([[(*turn @ a, HEIGHT * (k + 1)), (*turn @ b, HEIGHT * (k + 1))]])
    assert_built_from(layers)


@pytest.mark.parametrize("turns", [3, 25, 120])
@pytest.mark.parametrize(
    "outline",
    [circle(0.6, 0)[:, :2], circle(0.12, 0)[:, :2], rounded_rectangle(2.0, 1.2, 0.3)],
    ids=["circle", "small-circle", "rounded-rectangle"],
)
def test_a_spiral_has_a_layer_per_turn(outline, turns):
    corners = spiral(outline, turns)
    layers = found(toolpath(*corners.T))
    per_turn = (len(corners) - 1) // turns
    begins = np.arange(turns) * per_turn

    assert len(layers) == turns
    assert np.abs(layers.first_move - begins).max() <= 1
    assert layers.z == pytest.approx(HEIGHT * (1.5 + np.arange(turns)), abs=0.03 * HEIGHT)


@pytest.mark.parametrize(("first", "last"), [(True, False), (False, True), (True, True)])
def test_a_spiral_with_flat_ends_has_as_many_layers_as_its_height_holds(first, last):
    # The first rising turn starts at the height of the flat one: bead lies on bead half a turn later, and
    # likewise at the top. Together the two half turns are the one layer by which the turns exceed the height.
    corners = spiral(circle(0.6, 0)[:, :2], 20, flat_first=first, flat_last=last)
    layers = found(toolpath(*corners.T))
    assert len(layers) == 20 + (first or last) * 1
    assert np.diff(layers.z).min() > 0.45 * HEIGHT


def test_a_spiral_that_crosses_itself_still_has_a_layer_per_turn():
    t = np.linspace(0, 2 * np.pi * 15, 15 * 120 + 1)
    z = HEIGHT * (1 + t / (2 * np.pi))
    layers = found(toolpath(0.8 * np.sin(t), 0.5 * np.sin(2 * t), z))
    assert len(layers) == 15


def test_a_spiral_after_a_line_laid_for_starting_up_does_not_drift():
    corners = spiral(circle(0.6, 0)[:, :2], 40)
    layers = found(Path().run([(2, -1, HEIGHT), (2, 1, HEIGHT)]).run(corners).toolpath())
    per_turn = (len(corners) - 1) // 40
    assert len(layers) == 40
    assert np.abs(layers.first_move[1:] - (2 + per_turn * np.arange(1, 40))).max() <= 3


def test_turns_that_rise_and_stop_at_a_seam_begin_at_the_seam():
    turns = []
    for k in range(12):
        turn = circle(0.4, 0.0)
        turn[:, 2] = HEIGHT * (k + 1 + np.linspace(0, 1, len(turn)))
        turns.append([turn])
    assert_built_from(turns)


def test_layers_are_found_far_from_the_origin():
    path, truth = built([[rectangle(412_000.5, 5_700_000.25, 412_002, 5_700_001, HEIGHT * (k + 1))] for k in range(9)])
    assert found(path).index[path.on].tolist() == truth.tolist()


def test_it_refuses_a_path_longer_than_any_print():
    with pytest.raises(InputRefused, match="1e\\+09 km long; check the units"):
        found(toolpath([0, 1e12], [0, 0], [0, 0]))


def test_pieces_at_several_heights_laid_in_one_pass_stay_one_layer():
    bases = (0.0, 0.21, 0.4 * HEIGHT, 0.6)
    assert_built_from(
        [
            [rectangle(3 * i, 0, 3 * i + 1, 1, base + HEIGHT * (k + 1)) for i, base in enumerate(bases)]
            for k in range(10)
        ]
    )


@pytest.mark.parametrize("order", [(0, 1), (1, 0)])
@pytest.mark.parametrize("steps", [1, 2, 5])
def test_two_pieces_on_a_base_with_a_step_of_whole_layers_stay_one_layer(steps, order):
    assert_built_from(
        [[rectangle(3 * i, 0, 3 * i + 1, 1, steps * i * HEIGHT + HEIGHT * (k + 1)) for i in order] for k in range(10)]
    )


def test_a_piece_that_joins_later_does_not_split_the_layers():
    layers = []
    for k in range(12):
        z = HEIGHT * (k + 1)
        late = [rectangle(3, 0, 4, 1, z - 5 * HEIGHT + 0.25)] if k >= 5 else []
        layers.append([rectangle(0, 0, 1, 1, z), *late])
    assert_built_from(layers)


@pytest.mark.parametrize("base", [0.0, 0.07, 1.0])
def test_pieces_printed_one_after_the_other_have_layers_of_their_own(base):
    one = [[rectangle(0, 0, 1, 1, HEIGHT * (k + 1))] for k in range(12)]
    other = [[rectangle(3, 0, 4, 1, base + HEIGHT * (k + 1))] for k in range(9)]
    third = [[circle(0.4, HEIGHT * (k + 1), centre=(8, 0))] for k in range(7)]
    assert_built_from([*one, *other, *third])


def test_pieces_raised_by_turns_five_layers_at_a_time_have_layers_of_their_own():
    def stack(x, lowest):
        return [[rectangle(x, 0, x + 1, 1, HEIGHT * (k + 1))] for k in range(lowest, lowest + 5)]

    assert_built_from([*stack(0, 0), *stack(3, 0), *stack(0, 5), *stack(3, 5)])


def test_passes_that_follow_a_slope_are_layers():
    def loop(k):
        corners = np.array(rectangle(0, 0, 3, 1, 0.0))
        corners[:, 2] = HEIGHT * (k + 1) + 0.25 * corners[:, 0]
        return corners

    assert_built_from([[loop(k)] for k in range(15)])


@pytest.mark.parametrize("slope", [0.5, 0.8])
def test_passes_on_a_steep_slope_are_layers(slope):
    def loop(k):
        corners = np.array(rectangle(0, 0, 2, 1, 0.0))
        corners[:, 2] = HEIGHT * np.hypot(1, slope) * (k + 1) + slope * corners[:, 0]
        return corners

    assert_built_from([[loop(k)] for k in range(12)])


def test_level_loops_over_a_sloping_base_are_layers():
    # The base rises by 12 % along x; each level loop reaches as far as the base is lower.
    layers = []
    for k in range(20):
        z = HEIGHT * (k + 1)
        far = min(0.3 + z / 0.12, 2.5)
        layers.append([rectangle(0, 0, far, 1, z), rectangle(0.045, 0.045, far - 0.045, 0.955, z)])
    assert_built_from(layers)


def test_level_rows_over_a_sloping_base_are_layers_though_whole_rows_lie_on_the_base():
    layers = []
    for k in range(12):
        z = HEIGHT * (k + 1)
        reach = np.arange(min(6 + 3 * k, 40))[::-1] * 0.06
        layers.append([[(x, 0, z), (x, 1.2, z)] for x in reach])
    assert_built_from(layers)


def test_level_passes_over_a_sloping_base_are_layers():
    # Ground rises 10 % along the wall: each level pass reaches one step farther, to and fro.
    layers = []
    for k in range(25):
        z = HEIGHT * (k + 1)
        far = min(z / 0.1, 3.0)
        run = [(0, 0, z), (far, 0, z)] if k % 2 == 0 else [(far, 0, z), (0, 0, z)]
        layers.append([run])
    assert_built_from(layers)


def test_layers_over_a_stepped_base_climb_its_steps():
    def run(k):
        z = HEIGHT * (k + 1)
        return [(0, 0, z), (1, 0, z), (1, 0, z + 0.06), (2, 0, z + 0.06), (2, 0, z + 0.12), (3, 0, z + 0.12)]

    assert_built_from([[run(k)] for k in range(10)])


def test_layers_of_changing_height_are_found():
    heights = HEIGHT * np.array([1, 0.8, 0.5, 0.35, 0.3, 0.5, 1, 1.4, 1.6, 1, 0.6, 0.4])
    assert_built_from([[rectangle(0, 0, 2, 1, z)] for z in np.cumsum(heights)])


def test_crossing_infill_stays_in_its_layer():
    layers = []
    for k in range(8):
        z = HEIGHT * (k + 1)
        across = [[(x, 0, z), (x, 1, z)] for x in np.arange(0.1, 2, 0.2)]
        along = [[(0, y, z), (2, y, z)] for y in np.arange(0.1, 1, 0.2)]
        layers.append([rectangle(0, 0, 2, 1, z), *across, *along])
    assert_built_from(layers)


def test_infill_that_turns_by_a_right_angle_in_each_layer_and_begins_in_a_void():
    layers = []
    for k in range(9):
        z = HEIGHT * (k + 1)
        if k % 2:
            layers.append([[(x, 0, z), (x, 1, z)] for x in np.arange(0.0, 2, 0.25)])
        else:
            layers.append([[(0, y, z), (2, y, z)] for y in np.arange(0.1, 1, 0.25)])
    assert_built_from(layers)


def test_a_seam_that_overlaps_by_a_bead_is_no_layer():
    def loop(z):
        corners = circle(0.5, z, chords=180)
        return np.vstack([corners, corners[1:4]])

    assert_built_from([[loop(HEIGHT * (k + 1))] for k in range(10)])


def test_a_tapered_wall_keeps_its_layers():
    assert_built_from([[rectangle(i, i, 2 - i, 1 - i, HEIGHT * (k + 1))] for k, i in enumerate(np.arange(30) * 0.006)])


def test_a_vase_with_a_wave_higher_than_a_layer_keeps_its_layers():
    def loop(k):
        corners = circle(0.5, 0.0, chords=180)
        corners[:, 2] = HEIGHT * (k + 1) + 0.03 * (1 + np.sin(np.linspace(0, 10 * np.pi, 181)))
        return corners

    assert_built_from([[loop(k)] for k in range(12)])


def test_a_waving_spiral_keeps_a_layer_per_turn():
    corners = spiral(circle(0.5, 0)[:, :2], 12)
    corners[:, 2] += 0.03 * np.sin(5 * np.arctan2(corners[:, 1], corners[:, 0]))
    assert len(found(toolpath(*corners.T))) == 12


def test_raising_the_nozzle_on_the_way_splits_nothing():
    path, truth = Path(), []
    for k in range(6):
        z = HEIGHT * (k + 1)
        for run in (rectangle(0, 0, 1, 1, z), [(0.5, 0.1, z), (0.5, 0.9, z)], circle(0.2, z, centre=(3, 0))):
            path.run(run, hop=0.05)
            truth += [k] * (len(run) - 1)
    path = path.toolpath()
    assert found(path).index[path.on].tolist() == truth


def test_a_wall_interrupted_by_openings_keeps_its_layers():
    assert_built_from(
        [[[(a, 0, HEIGHT * (k + 1)), (a + 0.8, 0, HEIGHT * (k + 1))] for a in (0, 1.4, 2.8)] for k in range(10)]
    )


def test_a_bead_that_ramps_up_to_the_next_layer_begins_it_where_the_last_one_began():
    corners, per_turn = [], 180
    for k in range(10):
        loop = circle(0.5, HEIGHT * (k + 1), chords=per_turn)[:-1]
        if k:
            loop[:8, 2] -= HEIGHT * np.linspace(1, 0, 8)
        corners.append(loop)
    layers = found(toolpath(*np.vstack(corners).T))
    assert len(layers) == 10
    assert np.abs(layers.first_move - per_turn * np.arange(10)).max() <= 1


def test_a_single_layer_is_one_layer():
    path = Path().run(rectangle(0, 0, 1, 1, HEIGHT)).run([(0.5, 0, HEIGHT), (0.5, 1, HEIGHT)]).toolpath()
    layers = found(path)
    assert len(layers) == 1
    assert layers.length == pytest.approx([5.0])


def test_a_single_move_is_one_layer():
    assert len(found(toolpath([0, 1], [0, 0], [0.01, 0.01]))) == 1


def test_travel_belongs_to_the_layer_before_it_and_to_none_before_the_first_bead():
    path = Path().travel((5, 5, 0.1), (0, 0, 0.1))
    for k in range(3):
        path.run(rectangle(0, 0, 1, 1, HEIGHT * (k + 1)))
    layers = found(path.travel((0, 0, 1)).toolpath())
    assert layers.index.tolist() == [-1, -1, 0, 0, 0, 0, 0, 1, 1, 1, 1, 1, 2, 2, 2, 2, 2]
    assert layers.first_move.tolist() == [2, 7, 12]
    assert layers.last_move.tolist() == [5, 10, 15]


def test_layers_add_up_to_the_path():
    path, _ = built([[rectangle(0, 0, 2, 1, HEIGHT * (k + 1))] for k in range(20)])
    layers = found(path)
    assert layers.length.sum() == pytest.approx(path.path_length)
    assert layers.z == pytest.approx(HEIGHT * np.arange(1, 21))


def test_the_same_loop_without_rise_is_one_layer_and_quick():
    corners = np.vstack([circle(0.5, HEIGHT, chords=90)] * 300)
    assert len(found(toolpath(*corners.T))) == 1


@pytest.mark.parametrize("rotation", [0.0, 0.7])
def test_the_layer_height_is_estimated_from_the_rise_over_the_same_place(rotation):
    path, _ = built([[circle(0.5, 0.012 * (k + 1), start=rotation)] for k in range(20)])
    assert estimated_layer_height(path) == pytest.approx(0.012, rel=1e-6)


def test_the_layer_height_of_a_spiral_is_estimated_from_its_turns():
    corners = spiral(rounded_rectangle(2.0, 1.2, 0.3), 20, height=0.018)
    assert estimated_layer_height(toolpath(*corners.T)) == pytest.approx(0.018, rel=0.02)


def test_the_layer_height_of_a_single_layer_is_its_nozzle_height():
    assert estimated_layer_height(toolpath([0, 1], [0, 0], [0.01, 0.01])) == pytest.approx(0.01)
    assert estimated_layer_height(toolpath([0, 1], [0, 0], [0, 0])) is None
