"""How long work is done: cancel, progress, and compiled kernels with a cache of the program's own."""

from __future__ import annotations

from gardenwater.work.cancel import Cancel, Progress, say, stop_if
from gardenwater.work.compiled import kernel, kernel_inline, kernel_inline_part, kernel_part, kernel_sources

__all__ = [
    "Cancel",
    "Progress",
    "kernel",
    "kernel_inline",
    "kernel_inline_part",
    "kernel_part",
    "kernel_sources",
    "say",
    "stop_if",
]
