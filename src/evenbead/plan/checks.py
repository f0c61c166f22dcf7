"""The checks of a plan: one question each, with its verdict, its margin, the reason and what to change."""

from __future__ import annotations

from typing import TYPE_CHECKING

from evenbead.plan.model import Check
from evenbead.plan.settings import advised_catch
from evenbead.plan.spans import percent, span
from evenbead.plan.width import width_outside
from evenbead.quantities import LENGTH, MASS, ROTATION, SMALL_LENGTH, shown

if TYPE_CHECKING:
    from evenbead.documents import Case
    from evenbead.plan.model import ChannelSetting, Expected, Materials, Settings, Verdict
    from evenbead.plan.width import WidthOutside
    from evenbead.quantities import UnitSystem
    from evenbead.toolpath.layers import Layers
    from evenbead.toolpath.model import Toolpath
    from evenbead.toolpath.timing import Timing

# Probabilities below which a ratio is worth a caution, and below which it is not worth starting.
_LIKELY, _EVEN = 0.95, 0.5


def speed_checks(settings: Settings, system: UnitSystem) -> list[Check]:
    """For each metered channel: can its motor run at the setting, and have catches been made around it?"""
    channels = [settings.water, settings.powder, *([settings.accelerator] if settings.accelerator else [])]
    return [_speed_check(channel, system) for channel in channels]


def _speed_check(channel: ChannelSetting, system: UnitSystem) -> Check:
    speed, line = channel.speed, channel.line
    room = {channel.motor_low: speed - channel.motor_low, channel.motor_high: channel.motor_high - speed}
    limit = min(room, key=lambda end: room[end])
    verdict: Verdict = "ok"
    change = ""
    if room[limit] < 0:
        verdict = "stop"
        slower = "slower" if limit == channel.motor_high else "faster"
        change = f"print {slower}, or use a feed made for this flow"
    elif not channel.within_catches:
        verdict = "caution"
        change = f"make a catch at {shown(_best_catch(channel), ROTATION, system)}"
    caught = f"catches from {_rpm(line.speed_low)} to {shown(line.speed_high, ROTATION, system)}"
    return Check(
        name=f"{channel.name} speed",
        verdict=verdict,
        value=speed,
        limit=limit,
        margin=room[limit],
        why=f"{shown(speed, ROTATION, system)} wanted, motor allows {_rpm(channel.motor_low)} to "
        f"{shown(channel.motor_high, ROTATION, system)}, {caught}",
        governs="motor range" if verdict != "caution" else "range caught",
        change=change,
        kind=ROTATION,
    )


def _best_catch(channel: ChannelSetting) -> float:
    within = min(max(channel.speed, channel.motor_low), channel.motor_high)
    best = advised_catch(channel.line, wanted=within, lowest=channel.motor_low, highest=channel.motor_high)
    return best.speed


def _rpm(speed: float) -> str:
    return shown(speed, ROTATION).removesuffix(" rpm")


def ratio_check(case: Case, settings: Settings, expected: Expected, system: UnitSystem) -> Check:
    """Will the ratio lie in the mortar's band?"""
    band = case.mortar.water_powder_ratio
    value = float(expected.ratio.value)
    limit = band.low if value - band.low < band.high - value else band.high
    verdict: Verdict = "ok" if expected.in_band >= _LIKELY else "caution" if expected.in_band >= _EVEN else "stop"
    weaker = max(settings.water, settings.powder, key=lambda c: float(c.delivered.u) / float(c.delivered.value))
    return Check(
        name="ratio",
        verdict=verdict,
        value=value,
        limit=limit,
        margin=min(value - band.low, band.high - value),
        why=f"{value:.4f} ± {float(expected.ratio.u95):.4f} expected, band {band.low:.4f} to {band.high:.4f}: "
        f"inside with a probability of {percent(expected.in_band)}",
        governs=f"doubt of the {weaker.name} catches",
        change=""
        if verdict == "ok"
        else f"catch {weaker.name} again at {shown(_best_catch(weaker), ROTATION, system)}",
    )


def width_check(
    case: Case, toolpath: Toolpath, timing: Timing, layers: Layers, *, flow: float, system: UnitSystem
) -> Check:
    """How much of the bead is too wide or too thin at constant flow?"""
    bead, limit = case.job.bead, case.job.limits.width_outside
    acceleration = case.job.printing.acceleration

    def outside(tolerance: float) -> WidthOutside:
        return width_outside(toolpath, timing, bead, flow=flow, tolerance=tolerance, acceleration=acceleration)

    found = outside(bead.width_tolerance)
    verdict: Verdict = "ok"
    if found.share > limit:
        verdict = "caution" if outside(min(2 * bead.width_tolerance, 0.99)).share <= limit else "stop"
    low, high = (
        shown(bead.width * factor, SMALL_LENGTH, system) for factor in (1 - found.tolerance, 1 + found.tolerance)
    )
    why = f"{percent(found.wide)} of the length wider than {high}, {percent(found.thin)} thinner than {low}"
    if found.share > 0:
        why += f"; {_where(found, toolpath, layers, system)}"
    if acceleration is None:
        why += "; corners not counted, as the job gives no acceleration"
    return Check(
        name="bead width",
        verdict=verdict,
        value=found.share,
        limit=limit,
        margin=limit - found.share,
        why=why,
        governs="speed in corners" if acceleration is not None else "commanded speeds",
        change="" if verdict == "ok" else "print slower, round the corners, or allow a wider tolerance there",
    )


def _where(found: WidthOutside, toolpath: Toolpath, layers: Layers, system: UnitSystem) -> str:
    """The place to look at: the move that is furthest off, or else the one with most of it at its ends."""
    move = found.worst_move
    x, y = (shown(float(axis[move + 1]), LENGTH, system, digits=4) for axis in (toolpath.x, toolpath.y))
    line = f", line {toolpath.line[move]}" if toolpath.line[move] else ""
    place = f"in layer {int(layers.index[move]) + 1} at x {x}, y {y}{line}"
    if found.worst_width is None:
        return f"most of it where a long move starts or stops, {place}"
    return f"furthest off {shown(found.worst_width, SMALL_LENGTH, system)} {place}"


def hopper_check(case: Case, materials: Materials, *, powder_flow: float, system: UnitSystem) -> Check:
    """Can the hopper be kept above its level, by one person with bags?"""
    hopper, bag = case.station.hopper, case.mortar.bag
    level, a_bag = shown(hopper.refill_at, MASS, system), shown(bag, MASS, system)
    bag_lasts = bag / powder_flow
    lowest = f"never lower than {shown(materials.lowest_hopper, MASS, system)}"
    verdict: Verdict = "ok"
    why = (
        f"refilled at {level}, {lowest if materials.lowest_hopper > 0 else 'it would run empty'}; "
        f"a bag lasts {span(bag_lasts)}, bringing one takes {span(hopper.bag_time)}"
    )
    governs, change = "hopper level", ""
    if materials.lowest_hopper < hopper.refill_at - 1e-6:
        verdict, change = "stop", f"a level at which a bag of {a_bag} fits in, or smaller bags"
    elif materials.refills and bag_lasts < hopper.bag_time:
        verdict, governs, change = "stop", "time to bring a bag", "a second person, larger bags, or print slower"
    return Check(
        name="hopper",
        verdict=verdict,
        value=materials.lowest_hopper,
        limit=hopper.refill_at,
        margin=materials.lowest_hopper - hopper.refill_at,
        why=why,
        governs=governs,
        change=change,
        kind=MASS,
    )
