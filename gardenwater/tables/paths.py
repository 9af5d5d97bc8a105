"""Where resources and sample sites stand: beside the package in a checkout, inside it when it was installed."""

from __future__ import annotations

from pathlib import Path

from gardenwater.errors import FileError

_PACKAGE = Path(__file__).resolve().parent.parent


def _found(folder: str, path: str) -> Path:
    inside, beside = _PACKAGE / f"_{folder}", _PACKAGE.parent / folder
    base = inside if inside.is_dir() else beside
    found = (base / path).resolve()
    if not found.is_relative_to(base) or not found.exists():
        raise FileError(
            f"{folder}/{path} is not there.",
            where=str(found),
            mend="The installation is not whole: install gardenwater again.",
        )
    return found


def resource(path: str) -> Path:
    """Where a file or folder of resources/ stands ("palette.json", "icons/tank.svg").

    Raises FileError where there is none.
    """
    return _found("resources", path)


def sample_site(name: str) -> Path:
    """Where a file of sample_sites/ stands. Raises FileError where there is none."""
    return _found("sample_sites", name)
