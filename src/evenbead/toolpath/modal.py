"""The machine before the first block: modes, unit, and what each G code is to it."""

from __future__ import annotations

from math import nan
from typing import TYPE_CHECKING, Final

from evenbead.toolpath import interpreter
from evenbead.toolpath.interpreter import Machine

if TYPE_CHECKING:
    from evenbead.toolpath.kernels import Kernels

G_CODES: Final = {
    interpreter.MOVING: (0, 10, 20, 30, 800),
    interpreter.PLANES: (170, 180, 190),
    interpreter.DISTANCE: (900, 910),
    interpreter.CENTRES: (901, 911),
    interpreter.FEEDS: (930, 940),
    interpreter.UNITS: (200, 210, 700, 710),  # G70 and G71 are those of ISO 6983-1, from memory
    interpreter.COORDINATES: (540, 550, 560, 570, 580, 590, 591, 592, 593),
    interpreter.AXIS_USES: (100, 280, 300, 920, 921, 922, 923),
    interpreter.DWELL: (40,),
    interpreter.MACHINE_PLACE: (530,),
    interpreter.PATH_CONTROL: (610, 611, 640),
    # Codes that leave the path as it is, group by group.
    interpreter.HARMLESS: (400,),  # cutter compensation off
    interpreter.HARMLESS + 1: (490,),  # tool length offset off
    interpreter.HARMLESS + 2: (980, 990),  # return level of canned cycles, which are refused themselves
    interpreter.HARMLESS + 3: (960, 970),  # kind of spindle speed
    interpreter.HARMLESS + 4: (150, 690),  # polar and turned coordinates off
    interpreter.HARMLESS + 5: (90,),  # exact stop in this block
}
"""G codes times ten by modal group (NISTIR 6556 table 4, from memory)."""

REFUSED_G: Final = {
    "cutter compensation moves the path sideways by a tool table that the file does not hold": (
        410, 411, 420, 421,
    ),
    "a tool length offset comes from a tool table that the file does not hold": (430, 431, 432),
    "where a probing move ends is known only to the machine": (310, 382, 383, 384, 385),
    "canned cycles are not read": (730, 740, 760, 810, 820, 830, 840, 850, 860, 870, 880, 890),
    "moves tied to the turn of a spindle are not read": (330, 331, 950),
    "splines are not read": (50, 51, 52, 53, 60, 61, 62),
    "polar, scaled or turned coordinates are not read": (120, 130, 160, 500, 510, 511, 680),
    "storing the home place changes where later moves go, on the machine only": (281, 301),
    "coordinate systems can't be shifted this way": (520,),
}  # fmt: skip
"""Codes that change the path in a way the reader can't follow, by why."""


def switched_on(kernels: Kernels, *, dwell: float) -> Machine:
    """A machine at X0 Y0 Z0 E0, in millimetres, absolute, in the XY plane, with no motion code in force.

    Parameters
    ----------
    kernels : Kernels
        Whose columns to use.
    dwell : float
        What one unit of the P of a G4 is. [s]
    """
    machine = Machine(
        mode=kernels.state("q", interpreter.MODES),
        place=kernels.state("d", interpreter.PLACES),
        word=kernels.state("d", 26),
        code=kernels.state("q", interpreter.GROUPS),
        groups=kernels.state("B", 1000),
        dwell=kernels.state("d", 1),
    )
    machine.mode[interpreter.MOTION] = -1
    machine.mode[interpreter.PLANE] = 17
    machine.mode[interpreter.SURE] = 1
    machine.mode[interpreter.SYSTEMS_USED] = 1
    machine.place[interpreter.FEED] = nan
    machine.place[interpreter.UNIT] = 0.001
    machine.dwell[0] = dwell
    refused = {interpreter.REFUSED: tuple(code for codes in REFUSED_G.values() for code in codes)}
    for group, codes in (G_CODES | refused).items():
        for code in codes:
            machine.groups[code] = group
    return machine
