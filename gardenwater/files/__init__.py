"""The only room that opens files: the site file, rasters of levels, pictures, tables, maps in open formats.

    open_site(path) -> Site             save_site(site, path)
    read_ground(path, ...) -> Ground    import_ground(path, ...) -> GroundHandle

All raise FileError (or NeedsAnswer, a FileError that a person can answer) and leave what is on the disk as it was.
"""

from __future__ import annotations

from gardenwater.files.asking import ChangedGround, Choice, NeedsAnswer, VerticalUnit
from gardenwater.files.raster import import_ground, read_ground
from gardenwater.files.site_read import open_site
from gardenwater.files.site_write import save_site

__all__ = [
    "ChangedGround",
    "Choice",
    "NeedsAnswer",
    "VerticalUnit",
    "import_ground",
    "open_site",
    "read_ground",
    "save_site",
]
