"""Pump and system curves with the duty point."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from dibble._plot.look import INK, PALE, WATER, bare, pyplot, scale

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from dibble.hydraulics import System


def system(system: System, *, units: str = "si") -> Figure:
    """Draw the pump's head and what suction, hoses, lift and nozzle take against the flow, and where they meet."""
    plt = pyplot()
    flow, head, pressure = scale("flow", units), scale("head", units), scale("pressure", units)
    duty = system.duty_point()
    q = np.linspace(0.0, min(system.pump.most_flow_l_min, 1.35 * duty.flow_l_min), 121)
    parts = [system.heads(float(each)) for each in q]
    rise = np.array([part["suction_lift_m"] + part["lift_m"] for part in parts])
    lost = np.array([part["suction_loss_m"] + sum(part["hose_loss_m"]) for part in parts])
    total = np.array([part["total_m"] for part in parts])

    figure: Figure
    figure, axes = plt.subplots(figsize=(7.0, 4.4), layout="constrained")
    x = q * flow.by
    base = np.minimum(rise, 0.0)
    axes.fill_between(x, base * head.by, np.maximum(rise, 0.0) * head.by, color=PALE, alpha=0.9, linewidth=0, label="lift")
    axes.fill_between(
        x, rise * head.by, (rise + lost) * head.by, facecolor="white", edgecolor=PALE, hatch="////", linewidth=0, label="lost in hoses"
    )
    axes.fill_between(x, (rise + lost) * head.by, total * head.by, color=WATER, alpha=0.2, linewidth=0, label="left at the nozzle")
    axes.plot(x, total * head.by, color=WATER, linewidth=1.8, linestyle="--", label="what the system takes")
    axes.plot(x, np.asarray(system.pump.head_m(q)) * head.by, color=INK, linewidth=1.8, label="what the pump gives")
    axes.plot(duty.flow_l_min * flow.by, duty.pump_head_m * head.by, "o", color=INK, markersize=8, zorder=5)
    axes.annotate(
        f"{duty.flow_l_min * flow.by:.0f} {flow.unit} at {duty.pump_head_m * head.by:.0f} {head.unit}\n"
        f"{duty.nozzle_pressure_kpa * pressure.by:.0f} {pressure.unit} at the nozzle",
        (duty.flow_l_min * flow.by, duty.pump_head_m * head.by),
        xytext=(0, 14),
        textcoords="offset points",
        ha="center",
        va="bottom",
        fontsize="small",
        bbox={"boxstyle": "round,pad=0.3", "facecolor": "white", "edgecolor": PALE, "linewidth": 0.6},
    )
    axes.set_xlabel(f"flow, {flow.unit}")
    axes.set_ylabel(f"head, {head.unit}")
    axes.set_xlim(0.0, float(x[-1]))
    axes.set_ylim(top=1.12 * max(float(total.max()), float(np.max(system.pump.head_m(q)))) * head.by)
    if float(rise.min()) >= 0.0:
        axes.set_ylim(bottom=0.0)
    figure.legend(loc="outside lower center", frameon=False, ncols=3, fontsize="small")
    bare(axes)
    return figure
