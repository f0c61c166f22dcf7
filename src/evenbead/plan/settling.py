"""How long until mortar is good, and until a change can be judged at the nozzle."""

from __future__ import annotations

from typing import TYPE_CHECKING

from evenbead.physics.mixing import HoldUp, chamber, pipe_volume, residence, settling_volume, start_volume
from evenbead.plan.model import Settling

if TYPE_CHECKING:
    from evenbead.documents.mortar import WaterPowderRatio
    from evenbead.documents.station import Hose, Mixer


def settling_of(mixer: Mixer, hose: Hose, ratio: WaterPowderRatio, *, flow: float) -> Settling:
    """Settling times at a steady flow. [s]

    Flow is the coordinate of mixing: volumes to pass are properties of the station, times follow from the flow.
    """
    held = chamber_of(mixer)
    start = start_volume(held, target=ratio.target, low=ratio.low, high=ratio.high)
    change = float(settling_volume(held, mixer.settled))
    in_hose = pipe_volume(length=hose.length, bore=hose.bore)
    return Settling(
        start=start / flow,
        start_waste=start,
        change=change / flow,
        hose=in_hose / flow,
        hose_volume=in_hose,
        chamber_volume=mixer.chamber_volume,
        age_at_nozzle=(residence(held).mean + in_hose) / flow,
    )


def chamber_of(mixer: Mixer) -> HoldUp:
    """The mixer's chamber as plug and tanks."""
    return chamber(mixer.chamber_volume, plug_fraction=mixer.plug_fraction, tanks=mixer.tanks)
