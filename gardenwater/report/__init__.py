"""Pages and pictures from one drawing list: the plan on the screen and the plan on paper are the same marks."""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from gardenwater.report.pages import plan_page
    from gardenwater.report.writing import plan_picture, write_plan_picture
    from gardenwater.report.year.page import write_year_picture, year_picture

_HOMES = {
    "plan_page": "pages",
    "plan_picture": "writing",
    "write_plan_picture": "writing",
    "write_year_picture": "year.page",
    "year_picture": "year.page",
}

__all__ = ["plan_page", "plan_picture", "write_plan_picture", "write_year_picture", "year_picture"]


def __getattr__(name: str) -> Any:
    """Pages bring matplotlib with them, so they are loaded when they are asked for."""
    if name in _HOMES:
        return getattr(import_module(f"gardenwater.report.{_HOMES[name]}"), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
