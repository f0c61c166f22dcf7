"""What the toolpath asks of the station: lengths, litres, layers, times, flow."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from evenbead.physics.bead import section_area
from evenbead.plan.model import Demand, LayerColumns, Progress, Span

if TYPE_CHECKING:
    from evenbead.documents.job import Bead
    from evenbead.toolpath.layers import Layers
    from evenbead.toolpath.model import Toolpath
    from evenbead.toolpath.timing import Timing


def demand_of(toolpath: Toolpath, timing: Timing, layers: Layers, bead: Bead) -> Demand:
    """Lengths, litres, times and flow of a whole print."""
    area = bead_area(bead)
    on = toolpath.on
    # At each moment, so that it does not matter into how many moves a way is cut.
    slowest = min(float(timing.entry[on].min()), float(timing.exit[on].min()), float(timing.top[on].min()))
    return Demand(
        path_length=toolpath.path_length,
        travel_length=toolpath.travel_length,
        printed_volume=area * toolpath.path_length,
        layers=len(layers.z),
        duration=timing.total,
        on_time=timing.on_time,
        travel_time=timing.travel_time,
        dwell_time=timing.dwell_time,
        flow=Span(
            mean=area * toolpath.path_length / timing.on_time,
            low=area * slowest,
            high=area * float(timing.top[on].max()),
        ),
    )


def layer_columns(timing: Timing, layers: Layers, bead: Bead) -> LayerColumns:
    """A row for each layer; a layer lasts until the next one begins, the last until its own last bead ends."""
    start = timing.start[layers.first_move]
    end = np.append(start[1:], timing.start[layers.last_move[-1]] + timing.duration[layers.last_move[-1]])
    return LayerColumns(
        z=layers.z, length=layers.length, volume=bead_area(bead) * layers.length, start=start, duration=end - start
    )


def progress_of(toolpath: Toolpath, timing: Timing, bead: Bead) -> Progress:
    """Litres laid against time: a corner wherever the bead starts or stops, or a layer's worth of moves has passed."""
    laid = np.concatenate([[0.0], np.cumsum(np.where(toolpath.on, toolpath.length, 0.0))]) * bead_area(bead)
    time = np.append(timing.start, timing.total)
    keep = np.zeros(len(time), bool)
    keep[:: max(len(time) // 4000, 1)] = True
    keep[np.flatnonzero(np.diff(toolpath.on)) + 1] = True
    keep[-1] = True
    return Progress(time=time[keep], volume=laid[keep])


def bead_area(bead: Bead) -> float:
    """Section of the bead as the job wants it. [m²]"""
    return float(section_area(width=bead.width, height=bead.layer_height, section=bead.section))
