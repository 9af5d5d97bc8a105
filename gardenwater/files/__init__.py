"""The only room that opens files: the site file, rasters of levels, pictures, tables, maps in open formats.

    open_site(path) -> Site                      the site in a site file (GeoPackage)
    save_site(site, path)                        whole or not at all, checked by reading back
    read_ground(path, ...) -> Ground             levels from GeoTIFF, ASCII grid
    import_ground(path, ...) -> GroundHandle     the same as a site holds it, with notices
    read_underlay(path, ...) -> Underlay         a picture; scale_underlay sets it to scale, picture_facts looks at it
    read_things(path, ...) -> tuple of Thing     from a table (CSV) or GeoJSON
    days_seen(path, ...) -> DaysSeen             what a file of daily weather is taken for; nothing is read wrong unseen
    read_days(path, ...) -> DayRows              its rows, to be looked over (`weather.look_over`)
    import_weather(path, ...) -> WeatherHandle   the same as a site holds it, put right as chosen
    read_monthly(path) -> Monthly                twelve monthly figures from a table
    write_raster(path, values, ground, ...)      GeoTIFF; write_bands(path, bands, ground) several grids of Band in one
    write_balance(path, balance, names)          every day of the store, as a table (CSV)
    write_geojson(path, features, crs)           RFC 7946, of MapFeature(shape, properties)
    flat_map_reference(words) -> str             a map reference that a site can lie in
    written_aside(path)                          any other file, whole or not at all
    Recovery(folder=None)                        unsaved work, kept aside and found again

All raise FileError, or NeedsAnswer (a FileError that a person can answer), and leave what is on the disk as it was.
"""

from __future__ import annotations

from gardenwater.files.aside import written_aside
from gardenwater.files.asking import ChangedGround, Choice, NeedsAnswer, VerticalUnit
from gardenwater.files.balance_out import write_balance
from gardenwater.files.bring_in import read_things
from gardenwater.files.day_dates import DayOrder
from gardenwater.files.geojson_out import MapFeature, write_geojson
from gardenwater.files.kept import Found
from gardenwater.files.monthly_in import read_monthly
from gardenwater.files.picture import PictureFacts, is_to_scale, picture_facts, read_underlay, scale_underlay
from gardenwater.files.placing import flat_map_reference
from gardenwater.files.raster import import_ground, read_ground
from gardenwater.files.raster_out import Band, write_bands, write_raster
from gardenwater.files.recovery import Recovery, state_folder
from gardenwater.files.site_read import open_site
from gardenwater.files.site_write import save_site
from gardenwater.files.weather_in import ColumnSeen, DaysSeen, days_seen, import_weather, read_days

__all__ = [
    "Band",
    "ChangedGround",
    "Choice",
    "ColumnSeen",
    "DayOrder",
    "DaysSeen",
    "Found",
    "MapFeature",
    "NeedsAnswer",
    "PictureFacts",
    "Recovery",
    "VerticalUnit",
    "days_seen",
    "flat_map_reference",
    "import_ground",
    "import_weather",
    "is_to_scale",
    "open_site",
    "picture_facts",
    "read_days",
    "read_ground",
    "read_monthly",
    "read_things",
    "read_underlay",
    "save_site",
    "scale_underlay",
    "state_folder",
    "write_balance",
    "write_bands",
    "write_geojson",
    "write_raster",
    "written_aside",
]
