"""What all tests share: the checkout on the path, a window without a screen, one profile for generated cases."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

ROOT = Path(__file__).resolve().parent.parent
SHARED = ROOT.parent / "shared"

# Appended, not put first: an installed gardenwater is the one that is tested, a bare checkout still finds its own.
sys.path.append(str(ROOT))
os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

# Cases are the same on every run (a failure on one machine is a failure on all), and no case is timed: the first call
# of a compiled kernel takes seconds.
settings.register_profile(
    "default",
    max_examples=50,
    deadline=None,
    derandomize=True,
    print_blob=True,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)
settings.register_profile("long", settings.get_profile("default"), max_examples=2000, derandomize=False)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "default"))


@pytest.fixture(scope="session")
def shared_data() -> Path:
    """The folder of real rasters and weather beside the repository; skips where it is not."""
    folder = SHARED / "data"
    if not folder.is_dir():
        pytest.skip(f"the shared data is not on this machine ({folder})")
    return folder
