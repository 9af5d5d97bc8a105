"""gardenwater: water a garden from its own roofs, by gravity.

The public face for scripts and notebooks, `import gardenwater as gw`. Each name is loaded when it is first asked for,
so that the import itself costs nothing:

    gw.open_site(path), gw.save_site(site, path), gw.new_site(...)     sites and their files
    gw.edits, gw.things                                               changing a site
    gw.assess(site)                                                   everything that can be answered, and the findings
    gw.ground, gw.files, gw.hydraulics, gw.reach, gw.overflow         the engines, as functions
    gw.weather                                                        days of weather, reference evapotranspiration
    gw.demand                                                         what beds and ponds want, day by day
    gw.balance                                                        whether the store lasts, day by day
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

from gardenwater.work.version import VERSION

if TYPE_CHECKING:
    from gardenwater import balance, demand, files, ground, hydraulics, overflow, reach, weather
    from gardenwater.assess.run import assess
    from gardenwater.files import open_site, save_site
    from gardenwater.ground import Ground
    from gardenwater.site import edits, things
    from gardenwater.site.model import Site

__version__ = VERSION

__all__ = [
    "Site",
    "__version__",
    "assess",
    "balance",
    "demand",
    "edits",
    "files",
    "ground",
    "hydraulics",
    "new_site",
    "open_site",
    "overflow",
    "reach",
    "save_site",
    "things",
    "weather",
]

_HOMES = {
    "Site": "gardenwater.site.model",
    "open_site": "gardenwater.files",
    "save_site": "gardenwater.files",
}
_MODULES = {
    # a module that is also called: gw.assess(site), and gardenwater.assess.Workbench
    "assess": "gardenwater.assess",
    "balance": "gardenwater.balance",
    "demand": "gardenwater.demand",
    "edits": "gardenwater.site.edits",
    "files": "gardenwater.files",
    "ground": "gardenwater.ground",
    "hydraulics": "gardenwater.hydraulics",
    "overflow": "gardenwater.overflow",
    "reach": "gardenwater.reach",
    "things": "gardenwater.site.things",
    "weather": "gardenwater.weather",
}


def __getattr__(name: str) -> Any:
    if name in _MODULES:
        found: Any = import_module(_MODULES[name])
    elif name in _HOMES:
        found = getattr(import_module(_HOMES[name]), name)
    else:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    globals()[name] = found
    return found


def __dir__() -> list[str]:
    return sorted(__all__)


def new_site(*, name: str = "Garden", ground: Ground | None = None, crs: str = "", **settings: Any) -> Site:
    """An empty site.

    ground: the lie of the land as a grid of levels; flat unless given. crs: "EPSG:n" or WKT of a projected CRS in
    metres, x east and y north; the ground's unless given. settings: fields of `site.model.Settings`
    (`latitude_deg=51.2`, `can_l=8`).
    Raises InputError for another CRS, or one that is not known; EditError for a setting that cannot be taken.
    """
    from gardenwater.site import edits
    from gardenwater.site.model import GroundHandle, GroundKind, Site

    if crs:
        from gardenwater.files import flat_map_reference

        crs = flat_map_reference(crs)
    site = Site(crs=crs or (ground.crs if ground is not None else ""))
    if ground is not None:
        handle = GroundHandle(
            digest=ground.digest,
            source="",
            kind=GroundKind.UNKNOWN,
            rows=ground.shape[0],
            cols=ground.shape[1],
            transform=tuple(ground.transform)[:6],
            crs=ground.crs,
            payload=ground,
        )
        site = edits.set_ground(site, handle, crs=site.crs)
    return edits.settings(edits.rename_site(site, name), **settings)
