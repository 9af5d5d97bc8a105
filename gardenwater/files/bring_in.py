"""Things from a table or from GeoJSON, whichever the file is."""

from __future__ import annotations

from pathlib import Path

from gardenwater.errors import InputError
from gardenwater.files.geojson_in import features_of
from gardenwater.files.gis import local_file
from gardenwater.files.headers import kind_called
from gardenwater.files.table_in import rows_of_table
from gardenwater.files.things_in import made_things
from gardenwater.files.words import unreadable
from gardenwater.site.model import Site
from gardenwater.site.things import Thing


def read_things(
    path: Path | str, *, kind: type[Thing] | str | None = None, site: Site | None = None, written_in: str | None = None
) -> tuple[Thing, ...]:
    """The things in a table (CSV) or in GeoJSON, checked, with ids that are free in the site.

    A table has a row for each thing: its kind (or all of `kind`), x and y in metres or a shape in a column "wkt", and
    any of its fields by name or label, in metric or US units by the ending ("stand_height_m", "Stand height (ft)") or
    in the cell ("2 ft"). References name another thing by its name or id. In GeoJSON outlines are buildings unless it
    says otherwise, and properties that are not ours are left out.

    site: where they are to go: its CRS is what they are brought into, its things may be referred to. written_in: the
    CRS of the file's coordinates when the file does not say it; a table's is the site's unless it has longitude and
    latitude.

    Raises FileError that names the row (or feature) and the column, InputError for a kind that is none, and NeedsAnswer
    when GeoJSON does not say what it is in.
    """
    file = local_file(path)
    own = kind_called(kind) if isinstance(kind, str) else kind
    if kind is not None and own is None:
        raise InputError(f'No thing is called "{kind}".', where="kind", mend='For example "tank" or "level peg".')
    site_crs = site.crs if site else ""
    reader = features_of if _is_json(file) else rows_of_table
    things = made_things(reader(file, own, site_crs, written_in), file, site)
    if not things:
        raise unreadable(file, "there is nothing in it", "Choose another file.")
    return things


def _is_json(file: Path) -> bool:
    with file.open("rb") as stream:
        return stream.read(64).removeprefix(b"\xef\xbb\xbf").lstrip()[:1] in (b"{", b"[")
