"""Friction in a round bore that runs full: viscosity of water, friction factor, loss for each metre."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from gardenwater.hydraulics.line import Line

GRAVITY_M_S2 = 9.80665
LAMINAR_BELOW = 2000.0
TURBULENT_ABOVE = 4000.0

_M3_S_PER_L_MIN = 1.0 / 60_000.0
_KELVIN = 273.15
_COLEBROOK_ROUNDS = 4

Floats = NDArray[np.float64]


def kinematic_viscosity_m2_s(water_c: float) -> float:
    """Kinematic viscosity of liquid water at 1 bar, m2/s.

    Dynamic viscosity: IAPWS SR6-08(2011), supplementary release on liquid water at 0.1 MPa, equation 7 (1 % from -20
    to 110 °C). Density: Kell 1975, J. Chem. Eng. Data 20(1), equation 16. Both written from memory and checked in the
    tests against published values.
    """
    warm = (water_c + _KELVIN) / 300.0
    dynamic_pa_s = 1e-6 * (280.68 * warm**-1.9 + 511.45 * warm**-7.7 + 61.131 * warm**-19.6 + 0.45903 * warm**-40.0)
    t = water_c
    upper = 999.83952 + t * (
        16.945176 + t * (-7.9870401e-3 + t * (-46.170461e-6 + t * (105.56302e-9 - t * 280.54253e-12)))
    )
    density_kg_m3 = upper / (1.0 + 16.879850e-3 * t)
    return float(dynamic_pa_s / density_kg_m3)


def friction_factor(reynolds: ArrayLike, *, roughness_share: float) -> Floats:
    """Darcy friction factor at each Reynolds number, float64 of its shape; infinite at 0, NaN where that is NaN.

    roughness_share: roughness of the wall over the bore. 64/Re below 2000; Colebrook 1939 above 4000; between them the
    curve of Churchill 1977 (Chem. Eng. 84(24), 91-92), scaled so that it meets both ends: the factor is continuous and
    the loss rises with the flow everywhere. The scaling is under 2 % for smooth bores.
    """
    re = np.atleast_1d(np.asarray(reynolds, dtype=np.float64))
    with np.errstate(divide="ignore"):
        factor = 64.0 / re
    turbulent = re >= TURBULENT_ABOVE
    factor[turbulent] = _colebrook(re[turbulent], roughness_share)
    between = (re > LAMINAR_BELOW) & ~turbulent
    if between.any():
        factor[between] = _transition(re[between], roughness_share)
    return factor.reshape(np.shape(reynolds))


def _colebrook(re: Floats, roughness_share: float) -> Floats:
    """Colebrook by Newton's rounds on 1/sqrt(f), from Haaland's explicit formula; exact to rounding after three."""
    rough = roughness_share / 3.7
    x = -1.8 * np.log10(6.9 / re + rough**1.11)
    for _ in range(_COLEBROOK_ROUNDS):
        inside = rough + 2.51 * x / re
        gap = x + 2.0 * np.log10(inside)
        x = x - gap / (1.0 + (2.0 / math.log(10.0)) * (2.51 / re) / inside)
    result: Floats = 1.0 / (x * x)
    return result


def _churchill(re: Floats, roughness_share: float) -> Floats:
    a = (2.457 * np.log(1.0 / ((7.0 / re) ** 0.9 + 0.27 * roughness_share))) ** 16
    b = (37_530.0 / re) ** 16
    result: Floats = 8.0 * ((8.0 / re) ** 12 + (a + b) ** -1.5) ** (1.0 / 12.0)
    return result


def _transition(re: Floats, roughness_share: float) -> Floats:
    ends = np.array([LAMINAR_BELOW, TURBULENT_ABOVE])
    at_ends = np.array([64.0 / LAMINAR_BELOW, float(_colebrook(ends[1:], roughness_share)[0])])
    scale = np.interp(re, ends, at_ends / _churchill(ends, roughness_share))
    result: Floats = _churchill(re, roughness_share) * scale
    return result


def reynolds_per_l_min(line: Line) -> float:
    """Reynolds number of a flow of 1 L/min in this line."""
    speed_m_s = _M3_S_PER_L_MIN / (math.pi / 4.0 * line.bore_m**2)
    return speed_m_s * line.bore_m / kinematic_viscosity_m2_s(line.water_c)


def velocity_head_m(flow_l_min: ArrayLike, line: Line) -> Floats:
    """Velocity head of a flow (L/min) in this line, m."""
    speed_m_s = np.asarray(flow_l_min, dtype=np.float64) * (_M3_S_PER_L_MIN / (math.pi / 4.0 * line.bore_m**2))
    head: Floats = speed_m_s**2 / (2.0 * GRAVITY_M_S2)
    return head


def friction_slope(flow_l_min: ArrayLike, line: Line) -> Floats:
    """Loss along the bore for each metre of line at a flow (L/min), m/m. Darcy-Weisbach."""
    flow = np.atleast_1d(np.asarray(flow_l_min, dtype=np.float64))
    reynolds = flow * reynolds_per_l_min(line)
    # 64/Re times Re is taken together, so that no flow loses nothing and not 0 times infinity
    factor_flow = np.full_like(reynolds, 64.0)
    moving = reynolds > LAMINAR_BELOW
    factor_flow[moving] = (
        friction_factor(reynolds[moving], roughness_share=line.roughness_mm / line.bore_mm) * reynolds[moving]
    )
    factor_flow[np.isnan(reynolds)] = np.nan
    viscous = kinematic_viscosity_m2_s(line.water_c) / line.bore_m
    speed_m_s = reynolds * viscous
    slope = factor_flow * viscous * speed_m_s / (2.0 * GRAVITY_M_S2 * line.bore_m)
    return slope.reshape(np.shape(flow_l_min))
