"""Invented prints as toolpaths, small enough to say beforehand what their layers are."""

from __future__ import annotations

import numpy as np

from evenbead.toolpath.model import Toolpath

WIDTH, HEIGHT = 0.045, 0.015  # bead of all invented prints [m]


class Path:
    """A print written down stroke by stroke."""

    def __init__(self):
        self.corners, self.on = [], []

    def travel(self, *corners):
        return self._go(corners, on=False)

    def lay(self, *corners):
        return self._go(corners, on=True)

    def _go(self, corners, *, on):
        for corner in corners:
            self.corners.append(tuple(float(c) for c in corner))
            self.on.append(on)
        return self

    def run(self, corners, *, hop=0.0):
        """Travel to the first corner, with the nozzle raised on the way if wanted, and lay along the rest."""
        corners = [tuple(corner) for corner in np.asarray(corners, float)]
        if hop and self.corners:
            x, y, z = self.corners[-1]
            top = max(z, corners[0][2]) + hop
            self.travel((x, y, top), (*corners[0][:2], top))
        return self.travel(corners[0]).lay(*corners[1:])

    def toolpath(self, **columns):
        corners = np.array(self.corners)
        return toolpath(*corners.T, on=np.array(self.on[1:]), **columns)


def toolpath(x, y, z, *, on=None, speed=0.1, rapid=None, dwell=None, line=None):
    """Straight moves through these corners."""
    x, y, z = (np.array(a, float) for a in (x, y, z))
    n = len(x) - 1
    length = np.sqrt(np.diff(x) ** 2 + np.diff(y) ** 2 + np.diff(z) ** 2)
    return Toolpath(
        source="invented",
        x=x,
        y=y,
        z=z,
        length=length,
        speed=np.broadcast_to(np.asarray(speed, float), n).copy(),
        rapid=np.zeros(n, bool) if rapid is None else np.array(rapid, bool),
        dwell=np.zeros(n) if dwell is None else np.array(dwell, float),
        on=(np.ones(n, bool) if on is None else np.array(on, bool)) & (length > 0),
        line=np.arange(1, n + 1, dtype=np.int32) if line is None else np.array(line, np.int32),
        why="invented",
    )


def rectangle(x0, y0, x1, y1, z):
    """A closed loop from its first corner."""
    return [(x0, y0, z), (x1, y0, z), (x1, y1, z), (x0, y1, z), (x0, y0, z)]


def circle(radius, z, *, centre=(0.0, 0.0), chords=90, start=0.0):
    angle = start + np.linspace(0, 2 * np.pi, chords + 1)
    x, y = centre[0] + radius * np.cos(angle), centre[1] + radius * np.sin(angle)
    return np.column_stack([x, y, np.broadcast_to(z, x.shape)])


def rounded_rectangle(length, width, radius, *, chords=12):
    """Corners of a closed outline, and the way along it to each, without height."""
    corners = []
    for i, (cx, cy) in enumerate(
        [(length - radius, radius), (length - radius, width - radius), (radius, width - radius), (radius, radius)]
    ):
        angle = (i - 1) * np.pi / 2 + np.linspace(0, np.pi / 2, chords + 1)
        corners += zip(cx + radius * np.cos(angle), cy + radius * np.sin(angle), strict=True)
    return np.array([*corners, corners[0]])


def spiral(outline, turns, *, height=HEIGHT, flat_first=False, flat_last=False, chord=0.02):
    """A path that goes around the outline this many times and rises by a layer in each turn."""
    steps = np.hypot(*np.diff(outline, axis=0).T)
    at = np.concatenate(([0], np.cumsum(steps)))
    n = int(np.ceil(at[-1] / chord))
    once = np.linspace(0, at[-1], n + 1)[:-1]
    xy = np.column_stack([np.interp(once, at, outline[:, i]) for i in (0, 1)])
    total = turns + flat_first + flat_last
    xy = np.vstack([np.tile(xy, (total, 1)), xy[:1]])
    turn = np.arange(len(xy)) / n
    z = height * (1 + np.clip(turn - flat_first, 0, turns))
    return np.column_stack([xy, z])


def divided(path, pieces):
    """The same path with every move cut into equal pieces."""
    share = np.arange(pieces) / pieces
    columns = {}
    for name in "xyz":
        corner = getattr(path, name)
        inner = corner[:-1, None] + np.diff(corner)[:, None] * share
        columns[name] = np.append(inner.ravel(), corner[-1])
    first = np.zeros(pieces)
    first[0] = 1.0
    return Toolpath(
        source=path.source,
        **columns,
        length=np.repeat(path.length / pieces, pieces),
        speed=np.repeat(path.speed, pieces),
        rapid=np.repeat(path.rapid, pieces),
        dwell=(path.dwell[:, None] * first[::-1]).ravel(),
        on=np.repeat(path.on, pieces),
        line=np.repeat(path.line, pieces),
        why=path.why,
    )
