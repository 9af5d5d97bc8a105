"""Writes resources/notices anew: what is installed with the program, under which licence, with the texts.

    python packaging/notices.py

Reads the packages of packaging/lock.txt as they are installed; what their wheels carry inside (Qt, GEOS, GDAL, PROJ ...) is listed by hand
below, since no metadata names it.
"""

from __future__ import annotations

import re
from importlib.metadata import Distribution, distribution
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
NOTICES = ROOT / "resources" / "notices"
BUILD_ONLY = {"hatchling", "editables", "pip", "pathspec", "pluggy", "trove-classifiers", "tomlkit", "colorama"}

INSIDE = """\
| inside | of | licence |
|---|---|---|
| Qt 6 (Core, Gui, Widgets, Svg, PrintSupport) | PySide6-Essentials, shiboken6 | LGPL 3.0 (texts: LGPL-3.0.txt, GPL-3.0.txt); linked at run time and replaceable: put another Qt's libraries in place of those in the package's folder |
| GEOS | shapely, rasterio, pyogrio | LGPL 2.1 (text: LGPL-2.1.txt); linked at run time and replaceable |
| GDAL | rasterio, pyogrio | MIT |
| PROJ | pyproj, rasterio, pyogrio | MIT |
| SQLite | Python, rasterio, pyogrio | public domain |
| libtiff, libjpeg, libpng, zlib, zstd, libdeflate, LERC, OpenJPEG, libwebp, giflib, HDF5, netCDF, curl, OpenSSL, nghttp2, json-c, PCRE2, blosc, libaec | rasterio, pyogrio, pillow | permissive (MIT, BSD, zlib, Apache 2.0 and their like) |
| OpenBLAS, libgfortran, libquadmath | numpy, scipy | BSD; GPL 3 with the GCC runtime library exception |
| LLVM | llvmlite | Apache 2.0 with LLVM exception |
| FreeType, Qhull | matplotlib | FreeType licence; Qhull licence |
| Source Sans Pro 2.020 | resources/face | SIL Open Font License 1.1 (text: resources/face/LICENSE.txt) |
"""


def locked() -> list[str]:
    """Names of the packages that run the program."""
    names = re.findall(r"^([a-z0-9-]+)==", (ROOT / "packaging" / "lock.txt").read_text(), re.MULTILINE)
    return sorted(set(names) - BUILD_ONLY)


def licence_of(found: Distribution) -> str:
    """The licence as the package's metadata says it, in one line."""
    meta = found.metadata
    words = meta.get("License-Expression") or next(iter(meta.get_all("Classifier") or []), "")
    classified = [c.split(" :: ")[-1] for c in meta.get_all("Classifier") or [] if c.startswith("License ::")]
    named = meta.get("License-Expression") or ", ".join(classified) or (meta.get("License") or words).splitlines()[0]
    return named.strip()[:100]


def texts_of(found: Distribution) -> list[str]:
    """The licence texts that the package brings."""
    texts = []
    for file in found.files or []:
        if re.match(r"(LICEN[CS]E|COPYING|NOTICE)", file.name, re.IGNORECASE) and ".dist-info" in str(file):
            path = Path(str(found.locate_file(file)))
            if path.is_file():
                texts.append(path.read_text(encoding="utf-8", errors="replace").strip())
    return texts


def main() -> None:
    """Write NOTICES.md and packages.txt."""
    NOTICES.mkdir(parents=True, exist_ok=True)
    rows, texts = [], []
    for name in locked():
        try:
            found = distribution(name)
        except ModuleNotFoundError:
            continue
        rows.append(f"| {found.metadata['Name']} | {licence_of(found)} |")
        texts += [f"{'=' * 100}\n{found.metadata['Name']}\n{'=' * 100}\n\n{text}\n" for text in texts_of(found)]
    head = "# Notices\n\ngardenwater itself is under the MIT licence. These come with it when it is installed; versions are in\n"
    head += (
        "packaging/lock.txt, the packages' own texts in packages.txt. This page is written by packaging/notices.py.\n\n"
    )
    table = "| package | licence |\n|---|---|\n" + "\n".join(rows)
    (NOTICES / "NOTICES.md").write_text(f"{head}{table}\n\n## Inside these packages\n\n{INSIDE}", encoding="utf-8")
    (NOTICES / "packages.txt").write_text("\n".join(texts), encoding="utf-8")


if __name__ == "__main__":
    main()
