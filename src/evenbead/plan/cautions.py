"""The usual cautions of a print day that belong on the card, each at the step where it matters.

They remind; they don't replace the maker's instructions, local codes or a licensed trade.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from evenbead.documents import Mortar

BAGS = "Opening bags: stand upwind, wear the dust mask the site plan names, never sweep dry."
SKIN = "Wet mortar burns skin and eyes: gloves, glasses; rinse splashes at once with clean water."
HOSE = "Starting or restarting: nobody near the hose end, hold it in a bucket. Never open a line under pressure."
BLADES = "Before a hand, tool or hose enters chamber or hopper: main switch off, locked, tried."
WALL = "Fresh walls can fall: keep people out of their height's reach."
ACCELERATOR = "Accelerator: gloves and glasses as its data sheet says."
DEFER = "The makers' instructions, local codes and licensed electricians come first."


def cautions_for(mortar: Mortar) -> tuple[str, ...]:
    """The cautions for a day with this mortar, in the order of the day."""
    accelerator = (ACCELERATOR,) if mortar.kind == "two-part" else ()
    return (BAGS, SKIN, *accelerator, HOSE, WALL, BLADES, DEFER)
