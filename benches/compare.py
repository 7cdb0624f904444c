"""dibble beside NumPy and Numba, and beside SciPy's HiGHS: the same formulas, the same numbers, one thread, one run.

    python -m venv .venv && .venv/bin/pip install ".[bench]" && .venv/bin/python benches/compare.py

Processor time of this process, repetitions interleaved, so that a slow moment of the machine meets all alike. Results are
compared before anything is timed. NumPy and Numba get their inputs in the layout that suits them best, prepared outside of
the clock, and hoist the same terms; Numba compiles beforehand, without fastmath. HiGHS gets the matrices of each mix ready.
"""

from __future__ import annotations

import datetime as dt
import os
import resource
import statistics
import sys
import time
from collections.abc import Callable, Mapping
from typing import Any

import numba
import numpy as np

import dibble
from dibble import et, fertility
from dibble.fertility import Product
from dibble.soil import Soil
from dibble.stand import CropDays
from dibble.water import Column, Refill, Season, Watering, run
from dibble.weather import Site, Weather

Arrays = Mapping[str, Any]
ROUNDS = 15


def main() -> None:
    """Print all comparisons."""
    print(f"dibble {dibble.__version__}, NumPy {np.__version__}, Numba {numba.__version__}, {os.cpu_count()} cores", flush=True)
    memory(columns=2000, days=365)
    reference_et()
    for blocks in (20, 2000):
        ledger(columns=2000, days=365, blocks=blocks)
    mixes(100)


def memory(columns: int, days: int) -> None:
    """Print what a run keeps, and by how much it raises the peak of the process; called first, so that the peak is its own."""
    farm = Farm(columns, days, blocks=20)
    items = columns * days
    for record in ("totals", "all"):
        before = peak_bytes()
        season = run(farm.columns, form="layered", record=record, n_threads=1)
        kept = sum(values.nbytes for values in season.daily.values())
        grown = peak_bytes() - before
        print(f"ledger, record={record}: keeps {kept / items:.0f} bytes of a column-day, raises the peak by {grown / items:.0f}")


def peak_bytes() -> int:
    """Return the largest resident size so far (Linux counts in KiB)."""
    return 1024 * resource.getrusage(resource.RUSAGE_SELF).ru_maxrss


def compare(title: str, items: int, each: str, calls: Mapping[str, Callable[[], Any]], read: Callable[[Any], Arrays]) -> None:
    """Check that all agree as `read`, then print the time of each for one item, and its share of dibble's."""
    first, *others = (read(call()) for call in calls.values())
    worst = max(apart(first[key], other[key]) for other in others for key in first)
    if worst > 1e-9:
        sys.exit(f"{title}: results differ by {worst:.1e}")
    seconds: dict[str, list[float]] = {name: [] for name in calls}
    for _ in range(ROUNDS):
        for name, call in calls.items():
            begin = time.process_time()
            call()
            seconds[name].append(time.process_time() - begin)
    print(f"\n{title}; largest difference {worst:.0e}")
    print(f"{'':10} {'min':>8} {'median':>8}   ns for {each}; times dibble's: min, median, lowest and highest of a round")
    for name, spent in seconds.items():
        ratios = [s / d for s, d in zip(spent, seconds["dibble"], strict=True)]
        low, middle = min(spent), statistics.median(spent)
        against = low / min(seconds["dibble"]), statistics.median(ratios), min(ratios), max(ratios)
        print(f"{name:10} {1e9 * low / items:8.2f} {1e9 * middle / items:8.2f}   " + " ".join(f"{ratio:6.2f}" for ratio in against))


def apart(a: Any, b: Any) -> float:
    """Return the largest difference, relative where the numbers are large."""
    return float(np.max(np.abs(a - b) / np.maximum(1.0, np.abs(a))))


# Reference evapotranspiration (FAO-56 Eq. 6), a million site-days.


def reference_et() -> None:
    """Sites by days: the site's and the day's terms are computed once for each site and each day."""
    sites, days = 2740, 365
    random = np.random.default_rng(0)
    shape = (sites, days)
    tmin = random.uniform(5, 15, shape)
    weather = {
        "tmin_c": tmin,
        "tmax_c": tmin + random.uniform(0, 12, shape),
        "vapor_pressure_kpa": random.uniform(0.6, 0.9, shape),
        "wind_2m_m_s": random.uniform(0, 5, shape),
        "solar_mj_m2": random.uniform(5, 25, shape),
    }
    latitude, elevation = random.uniform(30, 50, (sites, 1)), random.uniform(0, 600, (sites, 1))
    day = np.arange(1.0, days + 1)
    place = {"latitude_deg": latitude, "elevation_m": elevation, "day_of_year": day}
    # dibble is also given all eight columns at full length, as a table has them
    table = {name: np.ascontiguousarray(np.broadcast_to(values, shape)).ravel() for name, values in (weather | place).items()}
    numbers = tuple(weather.values())
    calls: dict[str, Callable[[], Any]] = {
        "dibble": lambda: et.reference_daily(**weather, **place, n_threads=1),
        "table": lambda: et.reference_daily(**table, n_threads=1).reshape(shape),
        "NumPy": lambda: numpy_reference(*numbers, latitude, elevation, day),
        "Numba": lambda: numba_reference(*numbers, latitude[:, 0], elevation[:, 0], day),
    }
    compare(f"reference ET, {sites} sites x {days} days", sites * days, "a site-day", calls, lambda eto: {"eto": eto})


def numpy_reference(tmin: Any, tmax: Any, vapor: Any, wind: Any, solar: Any, latitude: Any, elevation: Any, day: Any) -> Any:
    """FAO-56 Eq. 6 with Eq. 7, 8, 11, 13, 21, 23-25, 37-39."""
    gamma = 0.665e-3 * 101.3 * ((293.0 - 0.0065 * elevation) / 293.0) ** 5.26
    clear_sky = 0.75 + 2e-5 * elevation
    phi = np.deg2rad(latitude)
    delta_sun = 0.409 * np.sin(2 * np.pi / 365 * day - 1.39)
    distance = 1 + 0.033 * np.cos(2 * np.pi / 365 * day)
    omega = np.arccos(np.clip(-np.tan(phi) * np.tan(delta_sun), -1, 1))
    sums = omega * (np.sin(phi) * np.sin(delta_sun)) + (np.cos(phi) * np.cos(delta_sun)) * np.sin(omega)
    ra = 24 * 60 / np.pi * 0.0820 * distance * sums
    mean = (tmax + tmin) / 2
    e_s = 0.6108 / 2 * (np.exp(17.27 * tmax / (tmax + 237.3)) + np.exp(17.27 * tmin / (tmin + 237.3)))
    slope = 4098 * (0.6108 * np.exp(17.27 * mean / (mean + 237.3))) / (mean + 237.3) ** 2
    ratio = np.minimum(solar / (clear_sky * ra), 1)
    black_body = 4.903e-9 / 2 * (np.square(np.square(tmax + 273.16)) + np.square(np.square(tmin + 273.16)))
    net = 0.77 * solar - black_body * (0.34 - 0.14 * np.sqrt(vapor)) * (1.35 * ratio - 0.35)
    drying = gamma * 900 / (mean + 273) * wind * (e_s - vapor)
    return (0.408 * slope * net + drying) / (slope + gamma * (1 + 0.34 * wind))


@numba.njit
def numba_reference(tmin: Any, tmax: Any, vapor: Any, wind: Any, solar: Any, latitude: Any, elevation: Any, day: Any) -> Any:
    """As `numpy_reference`, row by row."""
    out = np.empty_like(tmin)
    declination = 0.409 * np.sin(2 * np.pi / 365 * day - 1.39)
    sin_day, cos_day, tan_day = np.sin(declination), np.cos(declination), np.tan(declination)
    distance = 24 * 60 / np.pi * 0.0820 * (1 + 0.033 * np.cos(2 * np.pi / 365 * day))
    for site in range(tmin.shape[0]):
        gamma = 0.665e-3 * 101.3 * ((293.0 - 0.0065 * elevation[site]) / 293.0) ** 5.26
        clear_sky = 0.75 + 2e-5 * elevation[site]
        phi = latitude[site] * (np.pi / 180)
        sin_phi, cos_phi, tan_phi = np.sin(phi), np.cos(phi), np.tan(phi)
        for d in range(tmin.shape[1]):
            low, high, e_a, u = tmin[site, d], tmax[site, d], vapor[site, d], wind[site, d]
            x = min(max(-tan_phi * tan_day[d], -1.0), 1.0)
            ra = distance[d] * (np.arccos(x) * sin_phi * sin_day[d] + cos_phi * cos_day[d] * np.sqrt((1 - x) * (1 + x)))
            mean = (high + low) / 2
            e_s = 0.6108 / 2 * (np.exp(17.27 * high / (high + 237.3)) + np.exp(17.27 * low / (low + 237.3)))
            slope = 4098 * (0.6108 * np.exp(17.27 * mean / (mean + 237.3))) / ((mean + 237.3) * (mean + 237.3))
            ratio = min(solar[site, d] / (clear_sky * ra), 1.0)
            high2, low2 = (high + 273.16) * (high + 273.16), (low + 273.16) * (low + 273.16)
            black_body = 4.903e-9 / 2 * (high2 * high2 + low2 * low2)
            net = 0.77 * solar[site, d] - black_body * (0.34 - 0.14 * np.sqrt(e_a)) * (1.35 * ratio - 0.35)
            drying = gamma * 900 / (mean + 273) * u * (e_s - e_a)
            out[site, d] = (0.408 * slope * net + drying) / (slope + gamma * (1 + 0.34 * u))
    return out


# The ledger as FAO-56 prints it (Eq. 71-88), with the refill rule, the season's sums and the doubt of the depletion.

TOTALS = (
    "eto_mm", "rain_mm", "irrigation_mm", "interception_mm", "runoff_mm", "evaporation_mm", "transpiration_mm", "drainage_mm",
    "stress_days", "airless_days", "longest_airless_run", "refills", "depletion_mm", "depletion_sd_mm",
)  # fmt: skip
DAILY = ("depletion_mm", "ks", "irrigation_mm")
RULE = {"allowed_depletion": 0.35, "refill_fraction": 0.85, "event_cap_mm": 25.4, "minimum_mm": 3.0}


def ledger(columns: int, days: int, blocks: int) -> None:
    """Blocks of trees that share weather, cover and soil; each tree has its own start and its own water."""
    farm = Farm(columns, days, blocks)
    sharing = f"{blocks} blocks of {columns // blocks}" if blocks < columns else "each with its own series"
    for record, what in (("totals", "totals"), (DAILY, "totals and 3 series")):
        keep = record != "totals"
        calls: dict[str, Callable[[], Any]] = {
            "dibble": lambda record=record: farm.dibble(record),
            "NumPy": lambda keep=keep: farm.numpy(keep),
            "Numba": lambda keep=keep: farm.numba(keep),
        }
        compare(f"ledger as printed, {columns} columns x {days} days, {sharing}, {what}", columns * days, "a column-day", calls, farm.read)
    season = farm.dibble("totals")
    begin = time.process_time()
    farm.read(season)
    print(f"reading dibble's totals as arrays: {1e9 * (time.process_time() - begin) / columns / days:.1f} ns for a column-day")
    for form in ("fao56", "layered"):
        spent = {record: [] for record in ("totals", "all")}
        for _ in range(ROUNDS):
            for record in spent:
                begin = time.process_time()
                run(farm.columns, form=form, record=record, n_threads=1)
                spent[record].append(1e9 * (time.process_time() - begin) / columns / days)
        print(
            f"dibble alone, {form}: "
            + ", ".join(f"{record} {min(s):.1f} ns (median {statistics.median(s):.1f})" for record, s in spent.items())
        )


class Farm:
    """Made-up columns within reason, as dibble takes them and as arrays."""

    def __init__(self, columns: int, days: int, blocks: int) -> None:
        random = np.random.default_rng(0)
        first = dt.date(2026, 1, 1)
        dates = [first + dt.timedelta(days=d) for d in range(days)]
        self.kind = np.arange(columns) * blocks // columns
        self.days = days
        t = np.arange(days) / days
        weathers, crops, soils = [], [], []
        textures = ["sand", "sandy loam", "loam", "silt loam", "clay loam", "clay"]
        for _ in range(blocks):
            rain = np.where(random.random(days) < 0.3, random.uniform(0, 20, days), 0.0)
            table = {
                "date": dates,
                "tmin_c": np.full(days, 10.0),
                "tmax_c": np.full(days, 22.0),
                "rain_mm": rain,
                "eto_mm": random.uniform(1, 6, days),
            }
            weathers.append(Weather.from_table(table).complete(Site(45, 200), reference="given"))
            kcb = random.uniform(0.3, 0.9) * (0.5 + 2 * t * (1 - t))
            root = random.uniform(0.15, 0.35) + random.uniform(0, 0.1) * t
            crops.append(CropDays(kcb=kcb, kc_max=1.2, exposed=0.7 - 0.3 * t, evaporation_factor=0.8, root_depth_m=root, p=0.5))
            soils.append(Soil.from_texture(textures[random.integers(len(textures))], random.uniform(1, 4)))
        # by block and day, as dibble completed them
        self.forcing = np.array(
            [
                [w.eto_mm, w.rain_mm, c.kcb, c.kc_max, c.exposed, c.evaporation_factor, 1000 * c.root_depth_m, c.p]
                for w, c in zip(weathers, crops, strict=True)
            ]
        )
        self.start = np.linspace(0.5, 1, columns)
        self.retention = np.where(np.arange(columns) % 2 == 0, 25_400 / 75 - 254, np.inf)
        self.rule = np.arange(columns) % 3 == 0
        self.given = np.zeros((columns, days))
        self.columns = []
        soil_numbers = []
        for i, k in enumerate(self.kind):
            soil, depth = soils[k], 5 + 0.005 * i
            if not self.rule[i]:
                self.given[i, i % 10 :: 10] = depth
            waterings = [] if self.rule[i] else [Watering(dates[d], depth) for d in range(i % 10, days, 10)]
            number, refill = (75.0 if i % 2 == 0 else None), (Refill(**RULE) if self.rule[i] else None)
            self.columns.append(
                Column(
                    str(i),
                    weathers[k],
                    crops[k],
                    soil,
                    curve_number=number,
                    start=self.start[i],
                    p_factor=1.0,
                    waterings=waterings,
                    refill=refill,
                )
            )
            tew = 1000 * (soil.field_capacity - 0.5 * soil.wilting_point) * 0.1
            soil_numbers.append(
                (
                    soil.field_capacity - soil.wilting_point,
                    soil.saturation - soil.field_capacity,
                    tew,
                    min(soil.readily_evaporable_mm, 0.9 * tew),
                )
            )
        self.soil = np.array(soil_numbers)
        # NumPy's: by day and column
        self.by_day = np.ascontiguousarray(self.forcing[self.kind].transpose(2, 1, 0))
        self.given_by_day = np.ascontiguousarray(self.given.T)

    def dibble(self, record: Any) -> Any:
        return run(self.columns, form="fao56", record=record, n_threads=1)

    def numpy(self, keep: bool) -> Any:
        return numpy_ledger(self.by_day, self.given_by_day, self.start, self.retention, self.rule, *self.soil.T, keep)

    def numba(self, keep: bool) -> Any:
        totals, daily = numba_ledger(self.forcing, self.kind, self.given, self.start, self.retention, self.rule, self.soil, keep)
        return totals, daily.transpose(0, 2, 1)

    def read(self, result: Any) -> Arrays:
        """Return totals by column and series by day and column, whoever made them."""
        if isinstance(result, Season):
            totals, daily = result.totals, result.daily
            return {name: totals[name] for name in TOTALS} | {f"daily {name}": daily[name] for name in DAILY if name in daily}
        totals, daily = result
        series = {f"daily {name}": rows for name, rows in zip(DAILY, daily, strict=True) if rows.size}
        return dict(zip(TOTALS, totals, strict=True)) | series


def numpy_ledger(
    forcing: Any, given: Any, start: Any, retention: Any, rule: Any, holding: Any, air: Any, tew: Any, rew: Any, keep: bool
) -> Any:
    """All columns at once, day after day."""
    days, _, columns = forcing.shape
    sums = np.zeros((14, columns))
    stressed, airless_days, longest, refills = sums[8:12]
    run_now = np.zeros(columns)
    daily = np.empty((3, days, columns)) if keep else np.empty((3, 0, 0))
    taw = holding * forcing[0, 6]
    dr, de = (1 - start) * taw, (1 - start) * tew
    sd_start, sd_et, sd_water = 0.1 * taw, np.zeros(columns), np.zeros(columns)
    for d in range(days):
        eto, rain, kcb, kc_max, exposed, factor, root, p = forcing[d]
        due = rule & (dr >= RULE["allowed_depletion"] * taw) & (dr > 0)
        net = np.minimum(RULE["refill_fraction"] * dr, RULE["event_cap_mm"])
        refill = np.where(due & (net >= RULE["minimum_mm"]), net, 0.0)
        irrigation = given[d] + refill
        caught = np.where(rain < 0.2 * eto, rain, 0.0)
        reaches = rain - caught
        excess = np.maximum(reaches - 0.2 * retention, 0.0)
        runoff = excess * excess / (excess + retention)
        enters = reaches - runoff
        wetted = np.maximum(de - enters - irrigation, 0.0)
        kr = np.where(wetted <= rew, 1.0, np.clip((tew - wetted) / (tew - rew), 0.0, 1.0))
        ke = np.minimum(kr * np.maximum(kc_max - kcb, 0.0), exposed * kc_max)
        taw = holding * root
        water = enters + irrigation
        ks = np.clip((taw - dr) / np.maximum((1 - p) * taw, 1e-12), 0.0, 1.0)
        left = np.maximum(taw - (dr - water), 0.0)
        evaporation = np.minimum(np.minimum(ke * eto * factor, exposed * (tew - wetted)), left)
        transpiration = np.minimum(ks * kcb * eto, left - evaporation)
        used = evaporation + transpiration
        drained = np.maximum(water - used - dr, 0.0)
        dr = np.clip(dr - water + used + drained, 0.0, taw)
        de = np.minimum(wetted + evaporation / np.maximum(exposed, 0.01), tew)
        airless = air + dr / root < 0.10
        for into, value in zip(sums, (eto, rain, irrigation, caught, runoff, evaporation, transpiration, drained), strict=False):
            into += value
        stressed += ks < 1 - 1e-9
        airless_days += airless
        run_now = (run_now + 1) * airless
        np.maximum(longest, run_now, out=longest)
        refills += refill > 0
        sd_et += used
        sd_water += rain + irrigation
        sd = np.minimum(np.sqrt(sd_start * sd_start + (0.15 * sd_et) ** 2 + (0.1 * sd_water) ** 2), taw / np.sqrt(12.0))
        flushed = drained > 2 * sd
        sd_start = np.where(flushed, 0.1 * taw, sd_start)
        sd_et[flushed] = 0.0
        sd_water[flushed] = 0.0
        if keep:
            daily[0, d], daily[1, d], daily[2, d] = dr, ks, irrigation
    sums[12] = dr
    sums[13] = np.minimum(np.sqrt(sd_start * sd_start + (0.15 * sd_et) ** 2 + (0.1 * sd_water) ** 2), taw / np.sqrt(12.0))
    return sums, daily


@numba.njit
def numba_ledger(forcing: Any, kind: Any, given: Any, start: Any, retention: Any, rule: Any, soil: Any, keep: bool) -> Any:
    """Column after column; a column's state stays in registers, its days in the cache."""
    columns, days = given.shape
    totals = np.zeros((14, columns))
    daily = np.empty((3, columns, days)) if keep else np.empty((3, 0, 0))
    for c in range(columns):
        holding, air, tew, rew = soil[c]
        own = forcing[kind[c]]
        taw = holding * own[6, 0]
        dr, de = (1 - start[c]) * taw, (1 - start[c]) * tew
        sd_start, sd_et, sd_water = 0.1 * taw, 0.0, 0.0
        eto_sum = rain_sum = water_sum = caught_sum = runoff_sum = e_sum = t_sum = drained_sum = 0.0
        stressed = airless_days = longest = run_now = refills = 0
        for d in range(days):
            eto, rain, kcb, kc_max, exposed = own[0, d], own[1, d], own[2, d], own[3, d], own[4, d]
            irrigation = given[c, d]
            if rule[c] and dr >= 0.35 * taw and dr > 0:
                net = min(0.85 * dr, 25.4)
                if net >= 3.0:
                    irrigation += net
                    refills += 1
            caught = rain if rain < 0.2 * eto else 0.0
            reaches = rain - caught
            excess = max(reaches - 0.2 * retention[c], 0.0)
            runoff = excess * excess / (excess + retention[c]) if excess > 0 else 0.0
            enters = reaches - runoff
            wetted = max(de - enters - irrigation, 0.0)
            kr = 1.0 if wetted <= rew else min(max((tew - wetted) / (tew - rew), 0.0), 1.0)
            ke = min(kr * max(kc_max - kcb, 0.0), exposed * kc_max)
            taw = holding * own[6, d]
            water = enters + irrigation
            ks = min(max((taw - dr) / max((1 - own[7, d]) * taw, 1e-12), 0.0), 1.0)
            left = max(taw - (dr - water), 0.0)
            evaporation = min(min(ke * eto * own[5, d], exposed * (tew - wetted)), left)
            transpiration = min(ks * kcb * eto, left - evaporation)
            used = evaporation + transpiration
            drained = max(water - used - dr, 0.0)
            dr = min(max(dr - water + used + drained, 0.0), taw)
            de = min(wetted + evaporation / max(exposed, 0.01), tew)
            eto_sum += eto
            rain_sum += rain
            water_sum += irrigation
            caught_sum += caught
            runoff_sum += runoff
            e_sum += evaporation
            t_sum += transpiration
            drained_sum += drained
            if ks < 1 - 1e-9:
                stressed += 1
            if air + dr / own[6, d] < 0.10:
                airless_days += 1
                run_now += 1
                longest = max(longest, run_now)
            else:
                run_now = 0
            sd_et += used
            sd_water += rain + irrigation
            if drained > 0:
                sd = min(np.sqrt(sd_start * sd_start + (0.15 * sd_et) ** 2 + (0.1 * sd_water) ** 2), taw / np.sqrt(12.0))
                if drained > 2 * sd:
                    sd_start, sd_et, sd_water = 0.1 * taw, 0.0, 0.0
            if keep:
                daily[0, c, d], daily[1, c, d], daily[2, c, d] = dr, ks, irrigation
        totals[0, c], totals[1, c], totals[2, c], totals[3, c] = eto_sum, rain_sum, water_sum, caught_sum
        totals[4, c], totals[5, c], totals[6, c], totals[7, c] = runoff_sum, e_sum, t_sum, drained_sum
        totals[8, c], totals[9, c], totals[10, c], totals[11, c] = stressed, airless_days, longest, refills
        totals[12, c] = dr
        totals[13, c] = min(np.sqrt(sd_start * sd_start + (0.15 * sd_et) ** 2 + (0.1 * sd_water) ** 2), taw / np.sqrt(12.0))
    return totals, daily


# The cheapest mix of products: linear programs of the size that a shed has.


def mixes(count: int) -> None:
    """Mixes that can be made, of 2 to 15 products for 3 to 8 nutrients with limits, caps and a salt cap."""
    from scipy.optimize import linprog

    random = np.random.default_rng(20270303)
    labels = ["n", "p2o5", "k2o", "s", "mg", "ca", "zn", "b"]
    asked: list[tuple[Any, Any, float]] = []
    programs: list[dict[str, Any]] = []
    while len(programs) < count:
        products, nutrients = int(random.integers(2, 16)), int(random.integers(3, 9))
        content = np.round(random.uniform(0, 0.6, (products, nutrients)) * (random.random((products, nutrients)) < 0.45), 3)
        content /= np.maximum(1.0, content.sum(axis=1, keepdims=True) / 0.95)
        least = np.round(random.uniform(2, 60, nutrients), 1)
        most = np.round(least * 2 + 20, 1)
        price, salt, cap = random.uniform(0.2, 2.0, products), random.uniform(0, 1.2, products), random.uniform(100, 400, products)
        salt_cap = float(random.uniform(100, 600))
        program = {
            "c": price,
            "A_ub": np.vstack([-content.T, content.T, salt]),
            "b_ub": np.concatenate([-least, most, [salt_cap]]),
            "bounds": np.column_stack([np.zeros(products), cap]),
            "method": "highs",
        }
        if linprog(**program).status != 0:
            continue
        programs.append(program)
        figures = [{f"{label}_pct": 100 * pct for label, pct in zip(labels, row, strict=False)} for row in content]
        own = [
            Product(name=f"p{i}", price_per_kg=price[i], salt_index=100 * salt[i], max_kg=cap[i], **figure)
            for i, figure in enumerate(figures)
        ]
        asked.append(({f"{label}_kg": pair for label, pair in zip(labels, zip(least, most, strict=True), strict=False)}, own, salt_cap))
    calls: dict[str, Callable[[], Any]] = {
        "dibble": lambda: np.array([fertility.blend(needs, own, salt_cap_kg=salt).cost for needs, own, salt in asked]),
        "HiGHS": lambda: np.array([linprog(**program).fun for program in programs]),
    }
    compare(f"cheapest mix, {count} linear programs", count, "a mix with its shadow prices and ties", calls, lambda cost: {"cost": cost})


if __name__ == "__main__":
    main()
