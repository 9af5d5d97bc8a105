"""The water reach map of one frame of a drag: fields gone on beyond the reach, and their classes on the screen's px.

Both are long because each is one pass over a grid; a frame has no time for a pass for each step.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from gardenwater.work import kernel, kernel_part

Floats = NDArray[np.float32]
Codes = NDArray[np.uint8]

OUT, MARGINAL, SLOW, HATCH, EDGE, LIMIT, SOFT = 0, 6, 7, 8, 9, 10, 11
"""What a px shows: nothing, 1 to 5 by minutes, marginal, a dot of slow water, a slanted line, lines and their rim."""

_IN_REACH, _IS_SLOW = 0, 1  # `reach.Reason`
_LEAST_M, _FAR_M = np.float32(1e-4), np.float32(-1.0)
_SURE_M = np.float32(0.5)
_HATCH_PX, _DOT_PX = 6, 5
_LIMIT_PX, _RIM_PX, _EDGE_PX = 0.95, 1.95, 0.5


@kernel
def go_on(
    head: Floats, minutes: Floats, sure: Floats, level: Floats, reason: Codes, under: NDArray[np.int32],
    shown_head: Floats, shown_doublings: Floats, shown_sure: Floats, slow: NDArray[np.bool_],
) -> None:  # fmt: skip
    """Fill the last four, (rows, cols), from the maps of a tank: fields whose zero runs where reach ends.

    head: beyond the reach one cell by the rise of the ground there, well below 0 farther off, NaN without a level.
    doublings: minutes per can as their logarithm to the base 2, gone on by one cell. sure: head beyond the error, at
    most 0.5 m either way; where it is NaN it counts as not sure. under: flat index of the cell that each one shows: its
    own, on a barrier the nearest beside it.
    """
    rows, cols = head.shape
    for row in range(rows):
        for col in range(cols):
            at = under[row, col]
            r, c = at // cols, at % cols
            slow[row, col] = reason[r, c] == _IS_SLOW
            here = level[r, c]
            if reason[r, c] == _IN_REACH:
                shown_head[row, col] = max(head[r, c], _LEAST_M)
                shown_doublings[row, col] = np.log2(minutes[r, c])
                beyond = sure[r, c]
                shown_sure[row, col] = -_SURE_M if np.isnan(beyond) else min(max(beyond, -_SURE_M), _SURE_M)
                continue
            guess, longest = _FAR_M, np.float32(-1e9)
            near = False
            for y in range(max(r - 1, 0), min(r + 2, rows)):
                for x in range(max(c - 1, 0), min(c + 2, cols)):
                    if reason[y, x] == _IN_REACH:
                        rise = max(head[y, x], _LEAST_M) + level[y, x] - here
                        guess = rise if not near else max(guess, rise)
                        longest = max(longest, minutes[y, x])
                        near = True
            shown_head[row, col] = np.nan if np.isnan(here) else min(guess, -_LEAST_M)
            shown_doublings[row, col] = np.log2(longest) if near else np.float32(9.0)
            shown_sure[row, col] = -_SURE_M


@kernel_part
def _class_of(head: float, doublings: float, sure: float) -> int:
    """The class of a spot, without lines."""
    if not head >= 0.0:
        return OUT
    if sure < 0.0:
        return MARGINAL
    return 1 + (doublings >= 0.0) + (doublings >= 1.0) + (doublings >= 2.0) + (doublings >= 3.0)


@kernel_part
def _plain(code: int, slow: bool, x: int, y: int) -> int:
    """What a px shows away from all lines: slanted lines over what is marginal, dots where water is slow."""
    if code == MARGINAL and (x + y) % _HATCH_PX == 0:
        return HATCH
    if code == OUT and slow and x % _DOT_PX == 0 and y % _DOT_PX == 0:
        return SLOW
    return code


@kernel_part
def _fill(line: Codes, first: int, end: int, code: int, slow: bool, y: int) -> None:
    """The same for px `first` to `end` of a line of the sheet."""
    for x in range(first, end):
        line[x] = code
    if code == MARGINAL:
        for x in range(first + (-(first + y)) % _HATCH_PX, end, _HATCH_PX):
            line[x] = HATCH
    if code == OUT and slow and y % _DOT_PX == 0:
        for x in range(first + (-first) % _DOT_PX, end, _DOT_PX):
            line[x] = SLOW


@kernel_part
def _on_line(value: float, across: float, down: float, px: float) -> bool:
    """Whether the line on which a field is 0 lies within `px` of a spot; across, down: its slopes there for a px."""
    return value * value <= px * px * (across * across + down * down)


@kernel_part
def _near(a: float, b: float, c: float, d: float, cell_x: float, cell_y: float, px: float) -> bool:
    """Whether a field that is over 0 at four corners may come within `px` of 0 between them."""
    across, down = max(abs(b - a), abs(d - c)) / cell_x, max(abs(c - a), abs(d - b)) / cell_y
    return min(a, b, c, d) <= px * (across + down)


@kernel_part
def _has_line(
    code: int, h_a: float, h_b: float, h_c: float, h_d: float, d_a: float, d_b: float, d_c: float, d_d: float,
    cell_x: float, cell_y: float,
) -> bool:  # fmt: skip
    """Whether a line may run into a square whose corners are all of one class."""
    if code == OUT:
        return False
    if _near(h_a, h_b, h_c, h_d, cell_x, cell_y, _LIMIT_PX):
        return True
    low, high = code - 2.0, code - 1.0
    if code in (2, 3, 4, 5) and _near(d_a - low, d_b - low, d_c - low, d_d - low, cell_x, cell_y, _EDGE_PX):
        return True
    return code < 5 and _near(high - d_a, high - d_b, high - d_c, high - d_d, cell_x, cell_y, _EDGE_PX)


@kernel_part
def _px_between(number: int, count: int, first: float, cell: float, most: int) -> tuple[int, int]:
    """First and end of the px between the centres of a cell and the next, of `count`; half a cell at either edge."""
    begins, ends = first + number * cell, first + (number + 1) * cell
    if number < 0:
        begins += cell / 2
    if number == count - 1:
        ends -= cell / 2
    return max(int(np.ceil(begins - 0.5)), 0), min(int(np.ceil(ends - 0.5)), most)


@kernel
def shade(
    out: Codes, head: Floats, doublings: Floats, sure: Floats, slow: NDArray[np.bool_],
    left: float, top: float, cell_x: float, cell_y: float,
) -> None:  # fmt: skip
    """Fill the px of a sheet, (height, width), all 0, from the fields of `go_on`.

    left, top: where the centre of the first cell lies, px. cell_x, cell_y: size of a cell, px. Between four centres the
    fields are bilinear; a square of one class that no line runs into is filled without looking at its px.
    """
    height, width = out.shape
    rows, cols = head.shape
    codes = np.empty((rows, cols), dtype=np.uint8)
    for row in range(rows):
        for col in range(cols):
            codes[row, col] = _class_of(head[row, col], doublings[row, col], sure[row, col])
    first_row, end_row = max(int((-top) / cell_y) - 1, -1), min(int((height - top) / cell_y) + 2, rows)
    first_col, end_col = max(int((-left) / cell_x) - 1, -1), min(int((width - left) / cell_x) + 2, cols)
    for row in range(first_row, end_row):
        y_0, upper, lower = top + row * cell_y, max(row, 0), min(row + 1, rows - 1)
        px_top, px_bottom = _px_between(row, rows, top, cell_y, height)
        for col in range(first_col, end_col):
            x_0, west, east = left + col * cell_x, max(col, 0), min(col + 1, cols - 1)
            px_left, px_right = _px_between(col, cols, left, cell_x, width)
            code, is_slow = codes[upper, west], slow[upper, west]
            h_a, h_b, h_c, h_d = head[upper, west], head[upper, east], head[lower, west], head[lower, east]
            d_a, d_b = doublings[upper, west], doublings[upper, east]
            d_c, d_d = doublings[lower, west], doublings[lower, east]
            same = code == codes[upper, east] and code == codes[lower, west] and code == codes[lower, east]
            same = same and is_slow == slow[upper, east] == slow[lower, west] == slow[lower, east]
            if same and not _has_line(code, h_a, h_b, h_c, h_d, d_a, d_b, d_c, d_d, cell_x, cell_y):
                for y in range(px_top, px_bottom):
                    _fill(out[y], px_left, px_right, code, is_slow, y)
                continue
            s_a, s_b, s_c, s_d = sure[upper, west], sure[upper, east], sure[lower, west], sure[lower, east]
            broken = np.isnan(h_a + h_b + h_c + h_d)
            ends = max(h_a, h_b, h_c, h_d) >= 0.0  # farther off the fields fall at once, which is no line
            for y in range(px_top, px_bottom):
                v = (y + 0.5 - y_0) / cell_y
                for x in range(px_left, px_right):
                    u = (x + 0.5 - x_0) / cell_x
                    near_row, near_col = lower if v >= 0.5 else upper, east if u >= 0.5 else west
                    is_slow = slow[near_row, near_col]
                    if broken:  # beside ground without a level nothing ends: there is no line
                        out[y, x] = _plain(codes[near_row, near_col], is_slow, x, y)
                        continue
                    h_top, h_low = h_a + (h_b - h_a) * u, h_c + (h_d - h_c) * u
                    value = h_top + (h_low - h_top) * v
                    across, down = ((h_b - h_a) * (1 - v) + (h_d - h_c) * v) / cell_x, (h_low - h_top) / cell_y
                    if ends and _on_line(value, across, down, _LIMIT_PX):
                        out[y, x] = LIMIT
                        continue
                    if value < 0.0:
                        rim = ends and _on_line(value, across, down, _RIM_PX)
                        out[y, x] = SOFT if rim else _plain(OUT, is_slow, x, y)
                        continue
                    s_top, s_low = s_a + (s_b - s_a) * u, s_c + (s_d - s_c) * u
                    if s_top + (s_low - s_top) * v < 0.0:
                        out[y, x] = _plain(MARGINAL, is_slow, x, y)
                        continue
                    d_top, d_low = d_a + (d_b - d_a) * u, d_c + (d_d - d_c) * u
                    value = d_top + (d_low - d_top) * v
                    across, down = ((d_b - d_a) * (1 - v) + (d_d - d_c) * v) / cell_x, (d_low - d_top) / cell_y
                    edge = min(max(np.rint(value), 0.0), 3.0)
                    if _on_line(value - edge, across, down, _EDGE_PX):
                        out[y, x] = EDGE
                    else:
                        out[y, x] = _class_of(1.0, value, 1.0)
