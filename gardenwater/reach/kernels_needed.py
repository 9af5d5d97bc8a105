"""Kernel of the needed level: back from a spot over the ground, the lowest water level first.

need(q) = max(need(p) + friction x step, level(q) + line height), measured any-angle: each cell keeps its root, the last place where the
ground or a corner held the line, and its need is the root's plus friction along the straight line. Whether that line is clear is
inherited from the two settled cells that straddle it, and walked only where they have other roots. The kernel is long because queue,
sight and settling share all their arrays.
"""

from __future__ import annotations

import math

import numpy as np

from gardenwater.work import kernel

OUT, WAITS, CHECKED, SETTLED = 0, 1, 2, 3


@kernel
def _push(keys, cells, size, key, cell):
    """Put a cell into a binary heap; returns its new size."""
    place = size
    while place > 0:
        above = (place - 1) >> 1
        if keys[above] <= key:
            break
        keys[place], cells[place] = keys[above], cells[above]
        place = above
    keys[place], cells[place] = key, cell
    return size + 1


@kernel
def _pop(keys, cells, size):
    """Take the top off a binary heap (read it first); returns its new size."""
    size -= 1
    key, cell = keys[size], cells[size]
    place = 0
    while True:
        child = 2 * place + 1
        if child >= size:
            break
        if child + 1 < size and keys[child + 1] < keys[child]:
            child += 1
        if keys[child] >= key:
            break
        keys[place], cells[place] = keys[child], cells[child]
        place = child
    keys[place], cells[place] = key, cell
    return size


@kernel
def _clear(root, cell, bars, cols, hx, hy, need_root, slope):
    """Whether the straight line from a root to a cell crosses no cell that bars it, by the level the line may have there."""
    r0, c0, r1, c1 = root // cols, root % cols, cell // cols, cell % cols
    dr, dc = r1 - r0, c1 - c0
    nr, nc = abs(dr), abs(dc)
    sr, sc = (1 if dr > 0 else -1), (1 if dc > 0 else -1)
    length = math.sqrt((dr * hy) ** 2 + (dc * hx) ** 2)
    row, col, ir, ic = r0, c0, 0, 0
    while ir < nr or ic < nc:
        side = (1 + 2 * ir) * nc - (1 + 2 * ic) * nr
        if side == 0:
            share = (ir + 0.5) / nr
            may = need_root + slope * length * share
            if bars[(row + sr) * cols + col] > may and bars[row * cols + col + sc] > may:
                return False
            row += sr
            col += sc
            ir += 1
            ic += 1
        elif side < 0:
            row += sr
            ir += 1
        else:
            col += sc
            ic += 1
        share = max(ir / nr if nr > 0 else 0.0, ic / nc if nc > 0 else 0.0)
        if bars[row * cols + col] > need_root + slope * length * share:
            return False
    return True


@kernel
def _straddled(root, cell, cols, state, root_of):
    """Whether the two cells that straddle the line to the root, next to a cell, are settled on the same root."""
    dr, dc = root // cols - cell // cols, root % cols - cell % cols
    sr = 1 if dr > 0 else (-1 if dr < 0 else 0)
    sc = 1 if dc > 0 else (-1 if dc < 0 else 0)
    diagonal = cell + sr * cols + sc
    straight = cell + sr * cols if abs(dr) >= abs(dc) else cell + sc
    for near, counts in ((diagonal, dr != 0 and dc != 0), (straight, abs(dr) != abs(dc))):
        if counts and near != root and not (state[near] == SETTLED and root_of[near] == root):
            return False
    return True


@kernel
def spread(most, bars, rows, cols, hx, hy, slope, need, root_of, state, keys, cells, sizes):
    """Settle up to `most` cells, the lowest need first. bars: level + line height, inf where nothing passes.

    sizes[0]: how many stand in the heap (keys, cells). Returns whether anything waits.
    """
    size = sizes[0]
    settled = 0
    while size > 0 and settled < most:
        key, cell = keys[0], cells[0]
        size = _pop(keys, cells, size)
        if state[cell] == SETTLED or key > need[cell]:
            continue
        row, col = cell // cols, cell % cols
        root = root_of[cell]
        if state[cell] == WAITS and root != cell and not _straddled(root, cell, cols, state, root_of):
            if not _clear(root, cell, bars, cols, hx, hy, need[root], slope):
                best, by = np.inf, -1
                for dr in range(-1, 2):
                    for dc in range(-1, 2):
                        r, c = row + dr, col + dc
                        if (dr == 0 and dc == 0) or r < 0 or c < 0 or r >= rows or c >= cols:
                            continue
                        near = r * cols + c
                        if state[near] != SETTLED:
                            continue
                        step = need[near] + slope * math.sqrt((dr * hy) ** 2 + (dc * hx) ** 2)
                        if dr != 0 and dc != 0:
                            may = max(step, bars[cell])
                            if bars[row * cols + c] > may and bars[r * cols + col] > may:
                                continue
                        if step < best:
                            best, by = step, near
                        other = root_of[near]
                        if other != root and other != near:
                            orow, ocol = other // cols, other % cols
                            way = math.sqrt(((row - orow) * hy) ** 2 + ((col - ocol) * hx) ** 2)
                            if need[other] + slope * way < best and _clear(
                                other, cell, bars, cols, hx, hy, need[other], slope
                            ):
                                best, by = need[other] + slope * way, other
                if by < 0:
                    need[cell], state[cell] = np.inf, OUT
                    continue
                if bars[cell] >= best:
                    need[cell], root_of[cell] = bars[cell], cell
                else:
                    need[cell], root_of[cell] = best, by
                state[cell] = CHECKED
                if need[cell] > key:
                    size = _push(keys, cells, size, need[cell], cell)
                    continue
                root = root_of[cell]
        state[cell] = SETTLED
        settled += 1
        rrow, rcol = root_of[cell] // cols, root_of[cell] % cols
        base = need[root_of[cell]]
        for dr in range(-1, 2):
            for dc in range(-1, 2):
                r, c = row + dr, col + dc
                if (dr == 0 and dc == 0) or r < 0 or c < 0 or r >= rows or c >= cols:
                    continue
                near = r * cols + c
                if state[near] == SETTLED or bars[near] == np.inf:
                    continue
                way = math.sqrt(((r - rrow) * hy) ** 2 + ((c - rcol) * hx) ** 2)
                value = base + slope * way
                by = root_of[cell]
                if bars[near] >= value:
                    value, by = max(bars[near], need[cell]), near
                if dr != 0 and dc != 0 and bars[row * cols + c] > value and bars[r * cols + col] > value:
                    continue
                value = max(value, need[cell])
                if state[near] == OUT or value < need[near]:
                    need[near], root_of[near], state[near] = value, by, WAITS
                    if size >= keys.size:
                        sizes[0] = -size
                        return True
                    size = _push(keys, cells, size, value, near)
    sizes[0] = size
    return size > 0
