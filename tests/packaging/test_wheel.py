"""A wheel installed elsewhere finds its tables, typeface and sample."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]


def test_an_installed_wheel_opens_the_sample(tmp_path: Path) -> None:
    pip = [sys.executable, "-m", "pip", "--disable-pip-version-check", "-q"]
    subprocess.run(
        [*pip, "wheel", "--no-deps", "--no-build-isolation", "--no-index", "-w", str(tmp_path), str(ROOT)], check=True
    )
    (wheel,) = tmp_path.glob("gardenwater-*.whl")
    elsewhere = tmp_path / "elsewhere"
    subprocess.run([*pip, "install", "--no-deps", "--no-index", "--target", str(elsewhere), str(wheel)], check=True)
    code = (
        f"import sys; sys.path.insert(0, {str(elsewhere)!r})\n"
        "import gardenwater as gw\n"
        "from gardenwater import tables\n"
        f"assert gw.__file__.startswith({str(elsewhere)!r}), gw.__file__\n"
        "site = gw.open_site(tables.sample_site('quillet-bank.gpkg'))\n"
        "assert len(site.things) > 50 and site.name == 'Quillet Bank'\n"
        "assert tables.resource('face/SourceSansPro-Regular.ttf').is_file()\n"
        "assert tables.table('soils').row('loam').source\n"
    )
    done = subprocess.run([sys.executable, "-c", code], cwd=tmp_path, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr[-2000:]
