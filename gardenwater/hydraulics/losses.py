"""Head lost at a flow, and the flow that a head drives."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from gardenwater.errors import InputError
from gardenwater.hydraulics.friction import friction_slope, velocity_head_m
from gardenwater.hydraulics.line import Line

Answer = float | NDArray[np.float64]
"""A number when all that was given are numbers, else a float64 array of their common shape."""

_ROUNDS = 60
_CLOSE = 1e-12
_NUDGE = 1e-6
_TRICKLE = 1e-6

Floats = NDArray[np.float64]


def head_loss_m(flow_l_min: ArrayLike, length_m: ArrayLike, line: Line) -> Answer:
    """Head lost by a flow along a length of line and in its fittings, entrance and exit included, m.

    flow_l_min: L/min. length_m: m, of the last piece; those before it have their own. Numbers, or arrays that broadcast
    to one shape; NaN gives NaN. Darcy-Weisbach with `friction.friction_factor`, plus `line.fittings_k` velocity heads,
    plus what the pieces before lose and what the emitters take. Raises InputError for a negative flow or length.
    """
    flow, length = np.broadcast_arrays(_known("flow_l_min", flow_l_min), _known("length_m", length_m))
    _not_negative("flow_l_min", flow)
    _not_negative("length_m", length)
    return _shaped(_loss_m(flow, length, line))


def flow_l_min(head_m: ArrayLike, length_m: ArrayLike, line: Line) -> Answer:
    """Flow that a head drives through a length of line and its fittings, L/min: the inverse of `head_loss_m`.

    head_m: m, from the water level to where the line ends; 0 or less drives nothing. length_m: m. Numbers, or arrays
    that broadcast to one shape; NaN gives NaN. Infinite where nothing holds the water back (no length, no fittings).
    Raises InputError for a negative length.
    """
    head, length = np.broadcast_arrays(_known("head_m", head_m), _known("length_m", length_m))
    _not_negative("length_m", length)
    flow = np.where(np.isnan(head) | np.isnan(length), np.nan, 0.0)
    driven = (head > 0) & ~np.isnan(length)
    if driven.any():
        flow[driven] = _flow(head[driven], length[driven], line)
    return _shaped(flow)


def charge_m(flow_l_min: ArrayLike, line: Line) -> Floats:
    """Head lost at a flow (L/min) before the last piece and in all fittings but the exit, m: charged at the tank."""
    flow = np.asarray(flow_l_min, dtype=np.float64)
    lost: Floats = (line.fittings_k - line.exit_k) * velocity_head_m(flow, line)
    for piece in line.lead:
        alone = line.along(piece)
        lost = lost + friction_slope(flow, alone) * piece.length_m + piece.fittings_k * velocity_head_m(flow, alone)
    return lost


def exit_head_m(flow_l_min: ArrayLike, line: Line) -> Floats:
    """Head that a flow (L/min) takes at the end of the line, m: in its exit and its emitters."""
    flow = np.asarray(flow_l_min, dtype=np.float64)
    head: Floats = line.exit_k * velocity_head_m(flow, line)
    if line.emitter_l_min:
        head = head + (flow / line.emitter_l_min) ** (1.0 / line.emitter_exponent)
    return head


def wanted_head_m(line: Line) -> float:
    """Head over the delivery point that the wanted flow asks for at the end of the line, m: lift, device and exit."""
    exit_m = float(line.exit_k * velocity_head_m(line.flow_l_min, line))
    device_m = float(exit_head_m(line.flow_l_min, line)) - exit_m
    return line.lift_m + max(line.least_head_m, device_m) + exit_m


def _loss_m(flow: Floats, length: Floats, line: Line) -> Floats:
    loss: Floats = friction_slope(flow, line) * length + charge_m(flow, line) + exit_head_m(flow, line)
    return loss


def _flow(head: Floats, length: Floats, line: Line) -> Floats:
    """Newton's rounds on the logarithms, where the loss is a curve of slope 1 to about 4, kept between two bounds.

    Above: the flow if it stayed laminar, which loses least. Below: as the slope is never under 1, the flow falls short
    of the bound above by no more than the ratio of the losses.
    """
    parts = [(line.along(piece), piece.length_m) for piece in line.lead]
    laminar = friction_slope(_TRICKLE, line) / _TRICKLE * length
    laminar = laminar + sum(float(friction_slope(_TRICKLE, alone)) / _TRICKLE * own_m for alone, own_m in parts)
    fittings = sum(alone.fittings_k * float(velocity_head_m(1.0, alone)) for alone in (line, *(p for p, _ in parts)))
    with np.errstate(divide="ignore", invalid="ignore"):
        flow = 2.0 * head / (laminar + np.sqrt(laminar**2 + 4.0 * fittings * head))
    if line.emitter_l_min:
        flow = np.minimum(flow, line.emitter_l_min * head**line.emitter_exponent)
    held = np.isfinite(flow)
    flow[held] = _between(flow[held], head[held], length[held], line)
    return flow


def _between(above: Floats, head: Floats, length: Floats, line: Line) -> Floats:
    high, wanted = np.log(above), np.log(head)
    low = high - np.maximum(np.log(_loss_m(above, length, line)) - wanted, 0.0)
    x = high.copy()
    for _ in range(_ROUNDS):
        miss = np.log(_loss_m(np.exp(x), length, line)) - wanted
        high, low = np.where(miss > 0, x, high), np.where(miss > 0, low, x)
        slope = (np.log(_loss_m(np.exp(x - _NUDGE), length, line)) - wanted - miss) / -_NUDGE
        step = x - miss / slope
        step = np.where((step >= low) & (step <= high), step, (low + high) / 2.0)
        moved = float(np.max(np.abs(step - x), initial=0.0))
        x = step
        if moved < _CLOSE:
            break
    flow: Floats = np.exp(x)
    return flow


def _known(field: str, given: ArrayLike) -> Floats:
    try:
        return np.asarray(given, dtype=np.float64)
    except (TypeError, ValueError) as error:
        raise InputError(f"{given!r} is not a number.", where=field, mend="Give numbers, or an array.") from error


def _not_negative(field: str, values: Floats) -> None:
    if (values < 0).any():
        raise InputError("It cannot be negative.", where=field, mend="Give zero or more.")


def _shaped(values: Floats) -> Answer:
    return float(values) if values.ndim == 0 else values
