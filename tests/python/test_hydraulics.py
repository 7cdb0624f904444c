"""Published values through the Python functions, the field fact, and what is refused."""

import pickle
from typing import Any

import numpy as np
import pytest

import dibble.hydraulics as hy
from dibble.errors import DibbleTypeError, InconsistentError, InfeasibleError, OutOfRangeError, UnknownNameError
from dibble.hydraulics import KPA_PER_M, Hose, Nozzle, Pump, System
from dibble.units import convert

L_PER_GAL = convert(1.0, "gal", "L")
KPA_PER_PSI = convert(1.0, "psi", "kPa")
M_PER_FT = convert(1.0, "ft", "m")
KW_PER_HP = convert(1.0, "hp", "kW")
MM_PER_IN = 25.4
FIFTEEN_C = convert(60.0, "°F", "°C")


def example(**named: Any) -> System:
    """Give 500 ft of 2 in lay-flat with a nozzle that takes 80 gpm."""
    return System(Pump.from_rating(flow_l_min=300, head_m=66), Hose(152.4, 50.8), Nozzle(15.16), named.pop("lift_m", 3), **named)


@pytest.mark.cases("friction", "fric_hi_", 7)
def test_steel_pipe_loses_what_the_hydraulic_institute_prints(case: Any) -> None:
    flow, bore = case.given["gpm"] * L_PER_GAL, case.given["id_in"] * MM_PER_IN
    case.check("ft per 100 ft", hy.darcy_loss_m(flow, bore, 100, case.given["eps_ft"] * 304.8, FIFTEEN_C), case.want["hf_ft_per_100ft"])
    case.check("ft/s", hy.velocity_m_s(flow, bore) / M_PER_FT, case.recomputed["velocity_ft_s"], within=1e-6)


@pytest.mark.cases("friction", "darcy_f_", 4)
def test_the_friction_factor_is_colebrooks(case: Any) -> None:
    case.check("f", hy.friction_factor(case.given["re"], case.given["rel_rough"]), case.want["f_colebrook"])


@pytest.mark.cases("friction", "hw_constants", 1)
def test_one_form_of_hazen_and_williams(case: Any) -> None:
    given = case.given
    loss = hy.hazen_williams_loss_m(given["gpm"] * L_PER_GAL, given["id_in"] * MM_PER_IN, given["length_ft"] * M_PER_FT, given["c"])
    case.check("ft", loss / M_PER_FT, case.want["si_ft"])


@pytest.mark.cases("friction", "firehose_2in_", 7)
def test_lay_flat_loses_about_what_the_fire_service_prints_for_two_inches(case: Any) -> None:
    given = case.given
    loss = hy.hazen_williams_loss_m(given["q_gpm"] * L_PER_GAL, given["d_in"] * MM_PER_IN, given["l_ft"] * M_PER_FT)
    # their law rises with the square of the flow, ours with its 1.852th power
    case.check("psi", loss * KPA_PER_M / KPA_PER_PSI, case.want["fl_psi"], within=0.17 * case.want["fl_psi"])


@pytest.mark.cases("friction", "christiansen_f_", 5)
def test_outlets_along_a_lateral(case: Any) -> None:
    case.check("F", hy.multi_outlet_factor(case.given["n"]), case.want["f_exact"])


@pytest.mark.cases("friction", "minor_k", 1)
def test_fittings_have_their_printed_coefficients(case: Any) -> None:
    names = {"globe_open": "globe_valve", "angle_open": "angle_valve", "gate_open": "gate_valve", "gate_half": "gate_valve_half_open"}
    names |= {"swing_check": "check_valve", "elbow90_flanged": "elbow_90_flanged", "elbow90_threaded": "elbow_90"}
    names |= {"elbow45_threaded": "elbow_45", "tee_run_threaded": "tee_run", "tee_branch_threaded": "tee_branch"}
    names |= {"return_threaded": "return_bend"}
    for printed, fitting in names.items():
        assert hy.fitting_k(fitting) == case.want[printed], case.row["source"]  # type: ignore[arg-type]
    assert len(names) == len(case.want)


@pytest.mark.cases("pump", "suction_", 6)
def test_suction_follows_the_table_and_not_its_misprint(case: Any) -> None:
    elevation = case.given["elev_ft"] * M_PER_FT
    wanted = case.recomputed["isa_ft_water"] if case.row.get("print_is_wrong") else case.want["atm_ft_water"]
    case.check("ft of water", hy.atmospheric_head_m(elevation) / M_PER_FT, wanted)
    case.check("practical lift", hy.practical_suction_lift_m(elevation) / M_PER_FT, case.want["practical_lift_ft"], within=1e-9)


@pytest.mark.cases("pump", "npsha", 1)
def test_net_positive_suction_head(case: Any) -> None:
    given = case.given
    lift, loss = given["lift_ft"] * M_PER_FT, given["hf_ft"] * M_PER_FT
    npsh = hy.npsh_available_m(elevation_m=given["elev_ft"] * M_PER_FT, water_c=FIFTEEN_C, suction_lift_m=lift, suction_loss_m=loss)
    case.check("ft", npsh / M_PER_FT, case.want["npsha_ft"])


@pytest.mark.cases("pump", "whp", 1)
def test_water_horsepower(case: Any) -> None:
    kw = hy.water_kw(case.given["q_gpm"] * L_PER_GAL, case.given["h_ft"] * M_PER_FT)
    # the round 3960 takes 8.333 lb to the gallon
    case.check("hp", kw / KW_PER_HP, case.want["hp"], within=0.002 * case.want["hp"])


@pytest.mark.cases("energy", "purdue", 1)
def test_engines_take_the_printed_fuel(case: Any) -> None:
    for engine in ("gasoline", "diesel", "propane"):
        hours = L_PER_GAL / hy.fuel_per_hour(KW_PER_HP, engine)
        case.check(engine, hours, case.want[f"{engine}_hph_per_gal"], within=1e-9)


@pytest.mark.cases("field", "field_", 3)
def test_the_field_fact_holds_from_pump_to_nozzle(case: Any) -> None:
    # common practice: 80 gpm at 60 psi through 0.60 in at the end of 500 ft of 2 in lay-flat, about 25-27 psi lost in it
    given, want = case.given, case.want
    flow, bore = want["q_gpm"] * L_PER_GAL, given["hose_in"] * MM_PER_IN
    minor = given["minor_psi"] * KPA_PER_PSI / KPA_PER_M / (hy.velocity_m_s(flow, bore) ** 2 / (2 * KPA_PER_M))
    hose = Hose(given["hose_ft"] * M_PER_FT, bore, c=given["hw_c"], other_k=minor)
    pump = Pump.from_rating(flow_l_min=flow, head_m=want["tdh_ft"] * M_PER_FT, efficiency=0.55)
    nozzle = Nozzle(want["nozzle_d_in"] * MM_PER_IN, given["nozzle_cd"])
    suction = given["suction_ft"] * M_PER_FT
    duty = hy.duty_point(pump, hose, nozzle, given["rise_ft"] * M_PER_FT, suction_lift_m=suction, engine="gasoline")

    def close(what: str, computed: float, key: str, rel: float = 1e-3) -> None:
        case.check(what, computed, want[key], within=rel * want[key])

    close("gpm", duty.flow_l_min / L_PER_GAL, "q_gpm")
    case.check("nozzle psi", duty.nozzle_pressure_kpa / KPA_PER_PSI, given["nozzle_psi"], within=0.1)
    close("psi at the pump", duty.pump_pressure_kpa / KPA_PER_PSI, "pump_psi")
    close("ft of head", duty.pump_head_m / M_PER_FT, "tdh_ft")
    close("water horsepower", duty.water_kw / KW_PER_HP, "whp", 2.5e-3)
    assert duty.fuel_per_hour is not None
    close("gal of gasoline an hour", duty.fuel_per_hour / L_PER_GAL, "gasoline_gal_h", 2.5e-3)
    assert sum(duty.heads["hose_loss_m"]) > 0


@pytest.mark.cases("pump", "wave_", 3)
def test_a_sudden_stop_strikes_with_the_speed_of_its_wave(case: Any) -> None:
    wave = hy.wave_speed_m_s(case.given["e_pa"] / 1e9, case.given["d_over_t"])
    case.check("m/s", wave, case.want["a_m_s"])
    # theirs takes 999 kg/m3, ours 1000 as everywhere
    case.check("kPa for each m/s", hy.surge_kpa(1, wave), case.want["dp_kpa_per_m_s"], within=1.1e-3 * wave)


def test_the_field_fact_in_plain_numbers() -> None:
    # common practice: 80 gpm through 500 ft of 2 in lay-flat: 25 to 27 psi; at two acres a day in eight sets 41 psi
    def psi(gpm: float) -> float:
        return float(Hose(500 * M_PER_FT, 50.8).loss_m(gpm * L_PER_GAL)) * KPA_PER_M / KPA_PER_PSI

    assert 25 < psi(80) < 27.6
    more = convert(2 * 0.75 / 0.85, "acre-in", "gal") / (8 * 60)
    assert (round(more), round(psi(more))) == (100, 41)
    assert round(hy.water_kw(80 * L_PER_GAL, 224 * M_PER_FT) / KW_PER_HP, 1) == 4.5


def test_the_duty_point_lies_on_both_curves() -> None:
    suction = Hose(6, 76.2, material="pvc", fittings=["check_valve", "elbow_90"])
    around: dict[str, Any] = {"suction_lift_m": 2, "suction": [suction], "elevation_m": 300}
    system = example(**around)
    duty = system.duty_point()
    assert system.pump.head_m(duty.flow_l_min) == pytest.approx(duty.pump_head_m, rel=1e-9)
    assert system.heads(duty.flow_l_min)["total_m"] == pytest.approx(duty.pump_head_m, rel=1e-12)
    assert duty == hy.duty_point(system.pump, system.hose[0], system.nozzle, 3, **around)
    assert {row["key"] for row in duty.assumptions} >= {"pump_curve", "pump_efficiency"}
    assert "shaft power" in str(system.explain()[-1])


def test_the_best_change_is_one_that_was_computed() -> None:
    answer = example().limits(least_pressure_kpa=345)
    best = answer.best
    assert best is not None
    assert best == answer.alternatives[0]
    wider = System(Pump.from_rating(flow_l_min=300, head_m=66), Hose(152.4, 63.5), Nozzle(15.16), 3).duty_point()
    assert best["flow_l_min"] == wider.flow_l_min
    assert answer.duty == example().duty_point()


def test_pressure_over_the_rating_is_a_caution_with_its_number() -> None:
    system = System(Pump.from_rating(flow_l_min=300, head_m=66), Hose(152.4, 50.8, rating_kpa=600), Nozzle(15.16), 3)
    first = system.duty_point().cautions[0]
    assert first["text"] == "hose 1 works at 641 kPa and is rated for 600 kPa: it can burst"
    assert (round(first["value"]), first["limit"], first["unit"]) == (641, 600.0, "kPa")


def test_records_survive_json_pickle_and_repr() -> None:
    pumps = (
        Pump.from_points([(0, 60), (300, 50), (500, 20)], npsh_required_m=3),
        Pump.from_rating(flow_l_min=300, head_m=60, power_kw=5.35),
        Pump.from_power(shaft_kw=5, shutoff_head_m=70, efficiency=0.6),
    )
    hoses = (Hose(100, 50.8), Hose(100, 50.8, c=150, fittings=["elbow_45"], other_k=2, rating_kpa=1000), Hose(9, 50, roughness_mm=0.05))
    for record in (*pumps, *hoses):
        assert eval(repr(record), vars(hy).copy()) == record
    for kept in (*pumps, *hoses, example(), example().duty_point(), example().limits()):
        assert type(kept).from_json(kept.to_json()) == kept
        assert pickle.loads(pickle.dumps(kept)) == kept
    newer = example().duty_point().to_json().replace('"schema":1', '"schema":2')
    with pytest.raises(ValueError, match="duty point"):
        hy.Duty.from_json(newer)


def test_arrays_come_back_in_their_shape() -> None:
    flows = np.array([[0.0, 100.0], [200.0, 300.0]])
    loss = hy.hazen_williams_loss_m(flows, [50.8, 63.5], 100)
    assert loss.shape == (2, 2)
    assert loss[1, 1] == hy.hazen_williams_loss_m(300, 63.5, 100)
    assert Hose(100, 50.8).loss_m(flows)[0, 1] == hy.hazen_williams_loss_m(100, 50.8, 100)


def message(call: Any, *args: Any, **named: Any) -> str:
    """Give the whole message of a refusal."""
    with pytest.raises((DibbleTypeError, InconsistentError, InfeasibleError, OutOfRangeError, UnknownNameError)) as caught:
        call(*args, **named)
    return str(caught.value)


def test_bad_pumps_and_hoses_are_refused() -> None:
    assert message(Pump.from_points, [(0, 40), (100, 42), (200, 30)]) == (
        "the pump curve rises from 40 m at 0 L/min to 42 m at 100 L/min. "
        "Head falls with flow: check the order of the two numbers, or leave the point out."
    )
    assert message(Pump.from_points, [0, 40, 100]) == (
        "points is an array of float64 with shape (3,): its last axis must be two numbers. Give x and y for each position."
    )
    assert (
        message(Hose, 100, 50.8, material="pvc", c=150) == "friction is given in two ways. Give material, c or roughness_mm, one of them."
    )
    assert message(Hose, 100, 50.8, material="rope").startswith('material "rope" is not known')
    assert message(System, Pump.from_rating(flow_l_min=300, head_m=66), "hose", Nozzle(15), 3) == (
        "hose is of class str: a Hose, or a list of them, is needed."
    )


def test_a_duty_point_that_does_not_exist_says_why() -> None:
    assert message(example(lift_m=100).duty_point) == (
        "the pump cannot lift to the sprinkler: 12.0 m short. It gives 88.0 m at no flow, and the water must rise by 100.0 m; "
        "set the sprinkler lower, or take a pump with more head."
    )
    short = System(Pump.from_points([(0, 80), (100, 78)]), Hose(10, 76.2), Nozzle(30), 3)
    assert message(short.duty_point).startswith("the duty point lies beyond the pump curve, which ends at 100 L/min with")


def test_the_drawing_has_units_and_the_duty_point() -> None:
    [axes] = example().plot(units="us").axes
    assert (axes.get_xlabel(), axes.get_ylabel()) == ("flow, gpm", "head, ft")
    assert "psi at the nozzle" in axes.texts[0].get_text()
