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

Floats = NDArray[np.float64]


def head_loss_m(flow_l_min: ArrayLike, length_m: ArrayLike, line: Line) -> Answer:
    """Head lost by a flow along a length of line and in its fittings, entrance and exit included, m.

    flow_l_min: L/min. length_m: m. Numbers, or arrays that broadcast to one shape; NaN gives NaN. Darcy-Weisbach with
    `friction.friction_factor`, plus `line.fittings_k` velocity heads. Raises InputError for a negative flow or length.
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


def _loss_m(flow: Floats, length: Floats, line: Line) -> Floats:
    loss: Floats = friction_slope(flow, line) * length + line.fittings_k * velocity_head_m(flow, line)
    return loss


def _flow(head: Floats, length: Floats, line: Line) -> Floats:
    """Newton's rounds on the logarithms, where the loss is a curve of slope 1 to about 4, kept between two bounds.

    Above: the flow if it stayed laminar, which loses least. Below: as the slope is never under 1, the flow falls short
    of the bound above by no more than the ratio of the losses.
    """
    with np.errstate(divide="ignore", invalid="ignore"):
        laminar = friction_slope(1e-6, line) * 1e6 * length
        fittings = line.fittings_k * velocity_head_m(1.0, line)
        flow = 2.0 * head / (laminar + np.sqrt(laminar**2 + 4.0 * fittings * head))
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
