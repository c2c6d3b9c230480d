"""The shop's own settings on a data folder that lives as long as the tests do."""

from __future__ import annotations

import atexit
import os
import shutil
import tempfile

_folder = tempfile.mkdtemp(prefix="runningfit-tests-")
atexit.register(shutil.rmtree, _folder, ignore_errors=True)
os.environ["RUNNINGFIT_DATA"] = _folder
for _name in ("RUNNINGFIT_LAN", "RUNNINGFIT_HOSTS"):
    os.environ.pop(_name, None)

from runningfit.project.settings import *  # noqa: E402, F403  (the folder must be named before they are read)
from runningfit.project.settings import DATABASES  # noqa: E402

if "sqlite3" in str(DATABASES["default"]["ENGINE"]):
    # A file and not memory: only a file has the journal and the locks that the shop's database has.
    DATABASES["default"]["TEST"] = {"NAME": os.path.join(_folder, "tests.sqlite3")}
