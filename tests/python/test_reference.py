"""Published values through the Python functions, read from the file that the Rust tests read, at printed precision."""

import math
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from dibble import air, et, soil, sun, units
from dibble.et import crop
from dibble.soil import Soil
from dibble.stand import CropDays
from dibble.water import Column, Season, Watering, run
from dibble.weather import Daily, Site, Weather

CASES = tomllib.loads((Path(__file__).parents[1] / "reference/et.toml").read_text())["case"]


def cases(*kinds: str) -> pytest.MarkDecorator:
    """Give the cases of some kinds as parameters; an empty list would test nothing."""
    found = [case for case in CASES if case["kind"] in kinds]
    assert {case["kind"] for case in found} == set(kinds)
    assert all(case["provenance"] != "memory" for case in found)
    return pytest.mark.parametrize("case", found, ids=[case["id"] for case in found])


def check(case: Mapping[str, Any], **computed: float) -> None:
    """Compare what was computed with print; a looser tolerance has its reason in the file."""
    printed = {key: value for key, value in case["expect"].items() if key in computed and key not in case.get("exclude", [])}
    assert printed, f"{case['id']}: nothing to compare"
    for key, value in printed.items():
        tolerance = case.get("looser_tol", {}).get(key, case["tol"][key]) * (1 + 1e-9)
        where = f"{case['source']}, {case['ref']} ({case['id']}): {key} is {computed[key]}, printed {value}"
        assert abs(computed[key] - value) <= tolerance, where


def sheet(day: dict[str, Any], soil_heat_mj_m2: float) -> dict[str, float]:
    """Lines of the calculation sheet of Examples 17 and 18."""
    extraterrestrial = sun.extraterrestrial_radiation(day["latitude_deg"], day["day_of_year"])
    clear = sun.clear_sky_radiation(extraterrestrial_mj_m2=extraterrestrial, elevation_m=day["elevation_m"])
    keys = ("tmin_c", "tmax_c", "vapor_pressure_kpa", "solar_mj_m2")
    longwave = sun.net_longwave_daily(clear_sky_mj_m2=clear, **{key: day[key] for key in keys})
    shortwave = sun.net_shortwave(day["solar_mj_m2"])
    net = shortwave - longwave
    return {
        "Delta": air.vapor_pressure_slope((day["tmin_c"] + day["tmax_c"]) / 2),
        "P": air.atmospheric_pressure(day["elevation_m"]),
        "gamma": air.psychrometric_constant(day["elevation_m"]),
        "es": air.mean_saturation_vapor_pressure(tmin_c=day["tmin_c"], tmax_c=day["tmax_c"]),
        "ea": day["vapor_pressure_kpa"],
        "u2": day["wind_2m_m_s"],
        "Ra": extraterrestrial,
        "N": sun.daylight_hours(day["latitude_deg"], day["day_of_year"]),
        "Rs": day["solar_mj_m2"],
        "Rso": clear,
        "Rns": shortwave,
        "Rnl": longwave,
        "Rn": net,
        "G": soil_heat_mj_m2,
        "Rn_G": net - soil_heat_mj_m2,
        "Rn_mm": et.evaporation_equivalent_mm(net - soil_heat_mj_m2),
        "ETo": et.reference_with_soil_heat(**day, soil_heat_mj_m2=soil_heat_mj_m2),
    }


@cases("ex17")
def test_example_17_bangkok_in_april(case: Any) -> None:
    given = case["inputs"]
    place: dict[str, Any] = {"latitude_deg": given["lat"], "day_of_year": given["J"]}
    day: dict[str, Any] = place | {
        "tmin_c": given["Tmin"],
        "tmax_c": given["Tmax"],
        "vapor_pressure_kpa": given["ea"],
        "wind_2m_m_s": given["u2"],
        "elevation_m": given["z"],
        "solar_mj_m2": sun.solar_from_sunshine(sunshine_h=given["n"], **place),
    }
    check(case, **sheet(day, sun.soil_heat_from_month_before(t_before_c=given["T_prev"], t_c=given["T_month"])))


@cases("ex18")
def test_example_18_brussels_on_6_july(case: Any) -> None:
    given = case["inputs"]
    place: dict[str, Any] = {"latitude_deg": given["lat"], "day_of_year": 187}
    temperatures: dict[str, Any] = {"tmin_c": given["Tmin"], "tmax_c": given["Tmax"]}
    wind = units.convert(given["wind_kmh"], "km/h", "m/s")
    day: dict[str, Any] = (
        place
        | temperatures
        | {
            "vapor_pressure_kpa": air.vapor_pressure_from_rh_range(**temperatures, rh_min_pct=given["RHmin"], rh_max_pct=given["RHmax"]),
            "wind_2m_m_s": air.wind_at_2m(wind_m_s=wind, height_m=given["z_wind"]),
            "elevation_m": given["z"],
            "solar_mj_m2": sun.solar_from_sunshine(sunshine_h=given["n"], **place),
        }
    )
    check(case, **sheet(day, 0))
    assert et.reference_daily(**day) == et.reference_with_soil_heat(**day, soil_heat_mj_m2=0)


@cases("ex19")
def test_example_19_hours_in_the_sahel(case: Any) -> None:
    given = case["inputs"]
    # The paper counts degrees west.
    hour: dict[str, Any] = {
        "latitude_deg": given["lat"],
        "longitude_deg": -given["Lm"],
        "utc_offset_h": -given["Lz"] / 15,
        "day_of_year": given["J"],
        "midpoint_h": given["t"],
    }
    vapor = air.vapor_pressure_from_rh(t_c=given["T"], rh_pct=given["RH"])
    omega = sun.solar_time_angle(**hour, length_h=1)
    eto = et.reference_hourly(
        **hour,
        t_c=given["T"],
        vapor_pressure_kpa=vapor,
        wind_2m_m_s=given["u2"],
        solar_mj_m2=given["Rs"],
        elevation_m=given["z"],
        night_ratio=given.get("f_night", 0.8),
        form="fao56",
    )
    computed = {"e0": air.saturation_vapor_pressure(given["T"]), "ea": vapor, "omega": omega, "ETo": eto}
    computed |= {"dr": sun.inverse_distance(given["J"]), "delta": sun.declination(given["J"])}
    check(case, **computed, Ra=sun.extraterrestrial_radiation_hourly(**hour, length_h=1))


@cases("kc_clim")
def test_coefficients_in_another_climate(case: Any) -> None:
    given = case["inputs"]
    check(case, Kc=crop.climate_adjusted(kc=given["Kc_tab"], wind_2m_m_s=given["u2"], rh_min_pct=given["RHmin"], height_m=given["h"]))


@cases("kc_interp")
def test_coefficients_within_a_stage(case: Any) -> None:
    given = case["inputs"]
    elapsed = (given["i"] - given["sumL"]) / given["L"]
    check(case, Kc=crop.stage_interpolated(kc_before=given["prev"], kc_next=given["next"], elapsed=elapsed))


@cases("ex32")
def test_examples_32_to_34_evaporation_beside_transpiration(case: Any) -> None:
    given = case["inputs"]
    most = crop.kc_max(kcb=given["Kcb"], wind_2m_m_s=given["u2"], rh_min_pct=given["RHmin"], height_m=given["h"])
    cover = crop.canopy_cover_from_kcb(kcb=given["Kcb"], kc_min=0.15, kc_max=most, height_m=given["h"])
    exposed = crop.exposed_wetted_fraction_under_drip if given.get("drip") else crop.exposed_wetted_fraction
    few = exposed(canopy_cover=cover, wetted=given["fw"])
    evaporation = crop.evaporation_coefficient(reduction=1, kcb=given["Kcb"], kc_max=most, exposed_wetted=few)
    check(case, Kcmax=most, fc=cover, few=few, Ke=evaporation, Kc=given["Kcb"] + evaporation, few_Kcmax=few * most)


@cases("eq73")
def test_evaporable_water_of_a_surface_layer(case: Any) -> None:
    given = case["inputs"]
    holding = {"field_capacity": given["theta_fc"], "wilting_point": given["theta_wp"]}
    check(case, TEW=crop.total_evaporable_mm(**holding, depth_m=given["Ze"]))


@cases("ex36")
def test_example_36_available_water(case: Any) -> None:
    given = case["inputs"]
    holding = {"field_capacity": given["theta_fc"], "wilting_point": given["theta_wp"]}
    total = crop.total_available_mm(**holding, root_depth_m=given["Zr"])
    check(case, TAW=total, RAW=crop.readily_available_mm(total_mm=total, p=given["p"]))


@cases("ex40")
def test_example_40_sparse_cover(case: Any) -> None:
    given = case["inputs"]
    climate = {"wind_2m_m_s": given["u2"], "rh_min_pct": given["RHmin"], "height_m": given["h"]}
    table = {name: crop.climate_adjusted(kc=given[name + "_tab"], **climate) for name in ("Kc", "Kcb")}
    thin = {k: crop.adjusted_for_sparse_cover(kc=v, cover=given["fc"], dense_cover=given["fc_dense"]) for k, v in table.items()}
    check(case, Acm=table["Kc"] - thin["Kc"], Kc_adj=thin["Kc"], Kcb_adj=thin["Kcb"])


@cases("sparse")
def test_examples_41_and_43_rows_and_round_crowns(case: Any) -> None:
    given = case["inputs"]
    noon = crop.noon_sun_elevation(latitude_deg=given["lat"], day_of_year=given["J"])
    rows = given["shape"] == "row"
    cover = given["fc"] if rows else math.pi * given["diam"] ** 2 / 4 / given["area"]
    effective = (
        crop.effective_cover_of_rows(canopy_cover=cover, height_to_width=given["HWR"], sun_elevation_rad=noon)
        if rows
        else crop.effective_cover_of_trees(canopy_cover=cover, sun_elevation_rad=noon)
    )
    full = crop.kcb_full(height_m=given["h"], wind_2m_m_s=given["u2"], rh_min_pct=given["RHmin"])
    density = crop.density_coefficient(canopy_cover=cover, effective_cover=effective, height_m=given["h"])
    middle = crop.kcb_from_cover(kcb_full=full, kc_min=0.15, density=density)
    computed = {"eta": noon, "fc": cover, "fceff": effective, "Kcb_full": full, "Kcb_mid": middle}
    if not rows:
        leaf = {"t_c": given["T"], "elevation_m": given["z"], "wind_2m_m_s": given["u2"], "leaf_resistance_s_m": given["rl"]}
        computed["Kcb_adj"] = middle * crop.stomatal_factor(**leaf)
    check(case, **computed)


@cases("ex44")
def test_example_44_stress_from_yield(case: Any) -> None:
    given = case["inputs"]
    check(case, Ks=crop.stress_from_yield(relative_yield=given["Ya"] / given["Ym"], yield_response=given["Ky"]))


@cases("ex46")
def test_example_46_two_covers(case: Any) -> None:
    given = case["inputs"]
    tall = {"tall_cover": given["f1"], "tall_height_m": given["h1"], "tall_kc": given["K1"]}
    check(case, Kc=crop.two_cover_kc(**tall, short_cover=given["f2"], short_height_m=given["h2"], short_kc=given["K2"]))


def ten_days(given: Mapping[str, Any]) -> Daily:
    """Complete the weather that Examples 35 and 38 share; only ETo and rain matter."""
    days = [str(np.datetime64("2026-05-01") + day) for day in range(10)]
    table = {"date": days, "tmin_c": [10.0] * 10, "tmax_c": [22.0] * 10, "rain_mm": given["P"], "eto_mm": given["ETo"]}
    return Weather.from_table(table).complete(Site(45, 200), reference="given")


def loamy(given: Mapping[str, Any]) -> Soil:
    """Give the soil that Examples 35 and 38 share; pore space and conductivity, which they do not use, are ours."""
    holding = {"field_capacity": given["theta_fc"], "wilting_point": given["theta_wp"]}
    return Soil.from_measured(**holding, saturation=0.40, ksat_mm_h=10, texture="loam")


def over_ten_days(ends: list[float]) -> Any:
    """Draw a straight line through ten days."""
    return np.linspace(ends[0], ends[1], 10)


@cases("ex35")
def test_example_35_evaporation_over_ten_days_by_the_ledger(case: Any) -> None:
    given = case["inputs"]
    daily = ten_days(given)
    most = crop.kc_max(kcb=given["Kcb"][1], wind_2m_m_s=given["u2"], rh_min_pct=given["RHmin"], height_m=given["h"])
    exposed = over_ten_days(given["exposed"])
    # The sprinkler of day 1 wets a part of the ground, the rain of day 6 all of it.
    exposed[:5] = crop.exposed_wetted_fraction(canopy_cover=1 - exposed[:5], wetted=given["fw_irr"])
    plants = CropDays(
        kcb=np.round(over_ten_days(given["Kcb"]), 2), kc_max=most, exposed=exposed, evaporation_factor=1, root_depth_m=0.3, p=0.8
    )
    column = Column(
        "Example 35",
        daily,
        plants,
        loamy(given),
        start=0,
        wetted_fraction=given["fw_irr"],
        readily_evaporable_mm=given["REW"],
        ignored_rain_share=0,
        waterings=[Watering(daily.first, given["I"][0])],
    )
    season = run([column], form="fao56 drain first")
    used = season.series("evaporation_mm") + season.series("transpiration_mm")
    # Day 3 prints Kr 0.70 with Ke 0.62 and then an ETc that follows from Ke 0.72.
    check(case, Kcmax=most, **{f"ETc_{day}": used[day - 1] for day in range(1, 11) if day != 3})


def example_38(given: Mapping[str, Any], refill_mm: float) -> Season:
    """Run Example 38, its Kc column as printed and all of it taken from Dr, watered on day 1 and on day 10."""
    daily = ten_days(given)
    plants = CropDays(kcb=given["Kc"], kc_max=1.3, exposed=0.5, evaporation_factor=0, root_depth_m=over_ten_days(given["Zr"]), p=given["p"])
    waterings = [Watering(daily.first, given["I"][0])] + ([Watering(daily.last, refill_mm)] if refill_mm else [])
    column = Column("Example 38", daily, plants, loamy(given), start=1 - given["p"], ignored_rain_share=0, waterings=waterings)
    return run([column], form="fao56 drain first" if given["drain_first"] else "fao56")


@cases("ex38")
def test_example_38_root_zone_over_ten_days_by_the_ledger_in_either_order_of_drainage(case: Any) -> None:
    given = case["inputs"]
    before = example_38(given, 0).series("depletion_mm")[8]
    season = example_38(given, before)
    lacking, drained, used = (season.series(name) for name in ("depletion_mm", "drainage_mm", "transpiration_mm"))
    days = range(1, 11)
    computed = {f"Dr_{day}": lacking[day - 1] for day in days} | {f"DP_{day}": drained[day - 1] for day in days}
    check(case, **computed, **{f"ETc_{day}": used[day - 1] for day in days})


def test_refusals_name_the_argument_as_it_is_written_in_python() -> None:
    with pytest.raises(ValueError, match=r"^short_kc is 3: crop coefficient must be from 0 to 2\.5"):
        crop.two_cover_kc(tall_cover=0.3, short_cover=0.7, tall_height_m=2, short_height_m=0.3, tall_kc=1.2, short_kc=3)
    with pytest.raises(ValueError, match=r"^leaching 0 lets salt gather without end"):
        soil.soil_ec_ds_m(water_ec_ds_m=1, leaching=0)
    with pytest.raises(ValueError, match=r"^kc_min is 1\.3 and kc_max is 1\.2: the lower limit must be below the upper"):
        crop.canopy_cover_from_kcb(kcb=0.9, kc_min=1.3, kc_max=1.2, height_m=1)
