"""Heat, coil, power and water against the world: every check of the data files that names this file as its reader.

A file holds what was printed, as it was printed, and how we came by it. The tolerance is half of the last printed
digit, or what the file says together with the reason.
"""

import numpy as np
import pytest

from as_printed import PRINTED, files_read_by
from evenbead.physics import (
    coil_textbook,
    cooling_coil,
    cord,
    heat,
    ice_bath,
    motor_start,
    power_supply,
    water_supply,
    water_transport,
)
from evenbead.physics.heat import Charge, Heats
from evenbead.physics.orifice import orifice_flow
from evenbead.physics.water_transport import WATER_HEAT
from evenbead.quantities import TEMPERATURE, Kind, parse

CHECKS = [
    pytest.param(check | {"file": file}, id=f"{stem}-{check['id']}")
    for stem, file in files_read_by(__file__).items()
    for check in file["check"]
]


def si(text):
    """A printed quantity in SI, whatever its kind; numbers and lists of quantities as they come."""
    if isinstance(text, list):
        return np.array([si(item) for item in text], float)
    if not isinstance(text, str):
        return text
    first, unit = text.split(" ", 1)
    if not first[0].isdigit():
        return unit  # a name, such as "gauge 12 AWG"
    kind = TEMPERATURE if unit.startswith("deg") else Kind(name="a quantity", si=unit, metric=unit, us=unit)
    return parse(text, kind)


def printed(text):
    """Value in SI, and half of the last printed digit in SI."""
    match = PRINTED.fullmatch(text)
    half = 10.0 ** (int(match["power"] or 0) - len(match["decimals"] or "")) / 2
    if not match["unit"]:
        return float(match["number"]), half
    return si(text), half * (si(f"1 {match['unit']}") - si(f"0 {match['unit']}"))


def concrete_temperature(
    *, cement, cement_temperature, aggregate, aggregate_temperature, water, water_temperature, solids_over_water
):
    # Two solids: the balance does not mind that one of them stands in the place of the accelerator.
    charge = Charge(
        powder=cement,
        powder_temp_c=cement_temperature,
        accelerator=aggregate,
        accelerator_temp_c=aggregate_temperature,
        water=water,
        water_temp_c=water_temperature,
    )
    solids = solids_over_water * WATER_HEAT
    return {"temperature": heat.fresh_temperature(charge, heats=Heats(powder=solids, accelerator=solids))}


def paste_heat(*, water_cement, cement, water):
    paste = Charge(powder=1.0, powder_temp_c=20.0, water=np.array(water_cement), water_temp_c=20.0)
    return {"specific_heat": heat.specific_heat(paste, heats=Heats(powder=cement, water=water))}


def liquid_water(*, temperatures):
    return {
        "viscosity": water_transport.water_viscosity(temperatures),
        "conductivity": water_transport.water_conductivity(temperatures),
        "specific_heat": np.full(len(temperatures), WATER_HEAT),
    }


def tube_in_a_bath(*, flow, specific_heat, inlet, outlet, bath, film, diameter):
    run = {"inlet_temp_c": inlet, "outlet_temp_c": outlet, "bath_temp_c": bath}
    units = cooling_coil.transfer_units(**run)
    conductance = cooling_coil.coil_conductance(flow=flow, specific_heat=specific_heat, **run)
    ours = cooling_coil.coil_outlet(
        flow=flow, inlet_temp_c=inlet, conductance=conductance, bath_temp_c=bath, specific_heat=specific_heat
    )
    assert ours.temperature_c == pytest.approx(outlet)
    return {
        "transfer_units": units,
        "effectiveness": ours.effectiveness,
        "heat_taken_up": -ours.heat,
        "area": conductance / film,
        "length": conductance / film / (np.pi * diameter),
    }


def laminar_line(
    *, velocity, diameter, length, density, kinematic_viscosity, conductivity, specific_heat, prandtl, inlet, bath
):
    reynolds = velocity * diameter / kinematic_viscosity
    nusselt = coil_textbook.nusselt_laminar_entry(diameter / length * reynolds * prandtl)
    film = nusselt * conductivity / diameter
    ours = cooling_coil.coil_outlet(
        flow=density * velocity * np.pi / 4 * diameter**2,
        inlet_temp_c=inlet,
        conductance=film * np.pi * diameter * length,
        bath_temp_c=bath,
        specific_heat=specific_heat,
    )
    return {
        "reynolds": reynolds,
        "nusselt": nusselt,
        "film": film,
        "outlet": ours.temperature_c,
        "heat": ours.heat,
    }


def turbulent_tube(*, velocity, diameter, kinematic_viscosity, prandtl, conductivity, difference):
    reynolds = velocity * diameter / kinematic_viscosity
    nusselt = coil_textbook.nusselt_dittus_boelter(reynolds, prandtl, fluid_is="heated")
    film = nusselt * conductivity / diameter
    return {"nusselt": nusselt, "film": film, "heat_per_length": film * np.pi * diameter * difference}


def films_in_series(
    *,
    flow,
    density,
    bore,
    outer_diameter,
    viscosity,
    conductivity,
    specific_heat,
    outside_film,
    wall_conductivity,
    inlet,
    outlet,
    outside,
):
    reynolds = 4 * flow * density / (np.pi * bore * viscosity)
    nusselt = coil_textbook.nusselt_dittus_boelter(
        reynolds, viscosity * specific_heat / conductivity, fluid_is="heated"
    )
    film = nusselt * conductivity / bore
    metre = coil_textbook.Coil(
        length=1.0,
        bore=bore,
        outer_diameter=outer_diameter,
        turn_diameter=1.0,  # plays no part here
        wall_conductivity=wall_conductivity,
    )
    each = coil_textbook.series_conductance(metre, inside_film=film, outside_film=outside_film)
    wanted = cooling_coil.coil_conductance(
        flow=flow * density,
        inlet_temp_c=inlet,
        outlet_temp_c=outlet,
        bath_temp_c=outside,
        specific_heat=specific_heat,
    )
    return {
        "reynolds": reynolds,
        "film": film,
        "overall": each / (np.pi * outer_diameter),
        "length": wanted / each,
    }


def free_cylinder(*, rayleigh, prandtl, conductivity, diameter, length, difference):
    nusselt = coil_textbook.nusselt_free_cylinder(rayleigh, prandtl)
    film = nusselt * conductivity / diameter
    return {"nusselt": nusselt, "film": film, "heat": film * np.pi * diameter * length * difference}


def ice_in_a_day(*, heat):
    return {"ice": ice_bath.ice_rate(heat) * 86400}


def gnielinski(*, reynolds, prandtl):
    return {"nusselt": coil_textbook.nusselt_gnielinski(reynolds, prandtl)}


def critical_reynolds(*, bore, turn):
    return {"reynolds": coil_textbook.critical_reynolds(bore / turn)}


def effectiveness(*, transfer_units):
    return {"effectiveness": cooling_coil.effectiveness(transfer_units)}


def hose(*, flow, bore, length, roughness, density, viscosity):
    loss = water_supply.hose_loss(
        water_supply.WaterHose(length=length, bore=bore, roughness=roughness),
        flow,
        density=density,
        viscosity=viscosity,
    )
    return {
        "reynolds": loss.reynolds,
        "friction_factor": loss.friction_factor,
        "pressure": loss.pressure,
        "head": loss.pressure / (density * 9.81),
        "power": loss.pressure * flow,
    }


def flow_through_orifice(*, pressure_drop, orifice, bore, density):
    flow = orifice_flow(pressure_drop=pressure_drop, orifice=orifice, bore=bore, density=density)
    return {"flow": flow, "velocity": flow / (np.pi / 4 * bore**2)}


def drop_of_a_gauge(*, gauge, length, current, voltage):
    drop = cord.voltage_drop(current=current, length=length, resistance=cord.gauge_resistance(gauge))
    return {"drop": drop, "share": drop / voltage}


def drop_with_three_phases(*, ohm_per_1000_ft, length, current, allowed):
    resistance = ohm_per_1000_ft / si("1000 ft")
    return {
        "drop": cord.voltage_drop(current=current, length=length, resistance=resistance, phases=3),
        "longest": cord.longest_cord(drop=allowed, current=current, resistance=resistance, phases=3),
    }


def start(*, power, letter, voltage, phases, end):
    ends = motor_start.start_power(power, letter)
    apparent = {"low": ends.low, "middle": (ends.low + ends.high) / 2, "high": ends.high}[end]
    return {"apparent": apparent, "current": motor_start.line_current(apparent, voltage=voltage, phases=phases)}


def full_load(*, power, supply):
    current = motor_start.full_load_current(power, supply)
    return {"current": current, "conductor": power_supply.MOTOR_CONDUCTOR_SHARE * current}


def ampacity(*, gauge, ambient):
    return {"current": cord.conductor_limit(gauge, ambient_temp_c=ambient)}


def ambient_factor(*, insulation, ambient):
    pairs = np.broadcast(insulation, ambient)
    return {"factor": [float(cord.ampacity_factor(air, insulation_temp_c=limit)) for limit, air in pairs]}


def continuous(*, breaker):
    return {"limit": power_supply.power_check([], power_supply.Supply(voltage=240.0, breaker=breaker)).continuous_limit}


EVALUATE = {
    "concrete temperature": concrete_temperature,
    "paste heat": paste_heat,
    "liquid water": liquid_water,
    "tube in a bath": tube_in_a_bath,
    "laminar line": laminar_line,
    "turbulent tube": turbulent_tube,
    "films in series": films_in_series,
    "free cylinder": free_cylinder,
    "ice in a day": ice_in_a_day,
    "gnielinski": gnielinski,
    "critical reynolds": critical_reynolds,
    "effectiveness": effectiveness,
    "hose": hose,
    "orifice": flow_through_orifice,
    "drop of a gauge": drop_of_a_gauge,
    "drop with three phases": drop_with_three_phases,
    "start": start,
    "full load": full_load,
    "ampacity": ampacity,
    "ambient factor": ambient_factor,
    "continuous": continuous,
}


def test_there_are_checks_of_heat_and_supply_to_read():
    assert {check.values[0]["evaluate"] for check in CHECKS} == set(EVALUATE)


@pytest.mark.parametrize("check", CHECKS)
def test_heat_and_supply_agree_with_what_is_published(check):
    result = EVALUATE[check["evaluate"]](**{key: si(value) for key, value in check["given"].items()})
    relative = check.get("tolerance", {}).get("relative")

    for key, texts in check["expected"].items():
        for text, ours in zip(np.ravel(texts), np.ravel(result[key]), strict=True):
            value, half_digit = printed(str(text))
            # Round-off must not decide a tie at half a digit.
            allowed = half_digit * (1 + 1e-9) if relative is None else relative * abs(value)
            assert ours == pytest.approx(value, rel=0, abs=allowed), key


@pytest.mark.parametrize("check", CHECKS)
def test_each_check_of_heat_and_supply_says_where_it_comes_from_and_why_a_tolerance_is_wide(check):
    assert check["file"]["source"]
    assert check["file"]["got"]
    assert check["provenance"]
    assert "tolerance" not in check or check["tolerance"]["why"]
