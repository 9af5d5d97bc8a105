"""The flow that a head drives over a distance, by table: the exact solution costs 300 times as much for each cell.

Both axes step by an eighth of an octave, eight equal steps from each power of two to the next, so that the place in
the table can be read off a float32's bits: exponent and top three bits of the fraction are the node, the rest is the
way to the next one. Between nodes the flow is interpolated. It goes with the head's power of a half to one, so that
this errs by less than 0.5 %; where the flow just turns from laminar and the law has a bend, by 1.5 % at most.
"""

from __future__ import annotations

import numpy as np

from gardenwater.reach.kernels_records import Doubles, Floats, Number
from gardenwater.work import kernel

STEPS = 8
LOW_HEAD, HIGH_HEAD = -14, 8
LOW_LENGTH, HIGH_LENGTH = -5, 11

_SHIFT = 20
_MASK = (1 << _SHIFT) - 1
_PART = np.float32(1.0 / (1 << _SHIFT))
_BIAS = 127
_FIRST_HEAD = (LOW_HEAD + _BIAS) * STEPS
_FIRST_LENGTH = (LOW_LENGTH + _BIAS) * STEPS
_LEAST_HEAD = np.float32(2.0**LOW_HEAD)
_MOST_HEAD = np.float32(2.0**HIGH_HEAD * 0.9999)
_LEAST_LENGTH = np.float32(2.0**LOW_LENGTH)
_MOST_LENGTH = np.float32(2.0**HIGH_LENGTH * 0.9999)


@kernel
def fill(table: Floats, length: Doubles, head: Doubles, flow: Doubles, slope: Doubles, fixed: Doubles) -> None:
    """Fill table[length node, head node] with flows, L/min.

    length, head: at the nodes, m, see `nodes`.
    flow, slope: flows from next to none upwards and the friction slope at each, so close that the loss is straight
    between two. per_flow_squared: head lost in fittings by a flow of 1 L/min, m.
    """
    last = flow.size - 1
    for i in range(length.size):
        k = 0
        below, q_below = 0.0, 0.0
        above = slope[0] * length[i] + fixed[0]
        per_head = flow[0] / above
        for j in range(head.size):
            if above < head[j] and k < last:
                while above < head[j] and k < last:
                    below, q_below = above, flow[k]
                    k += 1
                    above = slope[k] * length[i] + fixed[k]
                per_head = (flow[k] - q_below) / (above - below)
            table[i, j] = q_below + (min(head[j], above) - below) * per_head


@kernel
def flow_at(table: Floats, head: Number, length: Number) -> Number:
    """Flow for a head and a length, L/min; 0 for no head."""
    if not head > 0.0:
        return np.float32(0.0)
    h = np.float32(head)
    x = np.float32(max(np.float32(length), _LEAST_LENGTH))
    if x > _MOST_LENGTH:
        # over such a way the fittings count for nothing, and the flow goes by the head for each metre alone
        h *= _MOST_LENGTH / x
        x = _MOST_LENGTH
    scale = np.float32(1.0)
    if h < _LEAST_HEAD:
        # so little head that the flow is laminar and straight in it
        scale = h / _LEAST_HEAD
        h = _LEAST_HEAD
    h = np.float32(min(h, _MOST_HEAD))
    x = np.float32(x)
    bits_h, bits_x = h.view(np.int32), x.view(np.int32)
    j = (bits_h >> _SHIFT) - _FIRST_HEAD
    i = (bits_x >> _SHIFT) - _FIRST_LENGTH
    a = np.float32(bits_h & _MASK) * _PART
    b = np.float32(bits_x & _MASK) * _PART
    near = table[i, j] + a * (table[i, j + 1] - table[i, j])
    far = table[i + 1, j] + a * (table[i + 1, j + 1] - table[i + 1, j])
    flow: np.float32 = scale * (near + b * (far - near))
    return flow
