"""Pages and pictures from one drawing list: the plan on the screen and the plan on paper are the same marks."""

from __future__ import annotations
