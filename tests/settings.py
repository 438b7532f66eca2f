"""Settings of the tests: those of the garden, with a data folder that is thrown away."""

from __future__ import annotations

import atexit
import os
import shutil
import tempfile

# Set before the garden's settings are read: they make their data folder and its secret key.
if "HAFTBOOK_DATA" not in os.environ:
    os.environ["HAFTBOOK_DATA"] = tempfile.mkdtemp(prefix="haftbook-tests-")
    atexit.register(shutil.rmtree, os.environ["HAFTBOOK_DATA"], ignore_errors=True)

from garden.settings import *  # noqa: E402, F403
from garden.settings import DATA_DIR, DATABASES, INSTALLED_APPS, STATIC_ROOT, STORAGES  # noqa: E402

DEBUG = False
# Tables are made from the models at once.
MIGRATION_MODULES = {app.rpartition(".")[2]: None for app in INSTALLED_APPS}
# WhiteNoise wants to see its folder, though the tests collect nothing into it.
STATIC_ROOT.mkdir(exist_ok=True)
# As the real one: one in memory would shut a browser's readers out while another writes.
DATABASES["default"]["TEST"] = {"NAME": DATA_DIR / "tests.sqlite3"}
if DATABASES["default"]["ENGINE"].endswith("postgresql"):
    DATABASES["default"]["TEST"] = {"TEMPLATE": "template0"}
STORAGES["staticfiles"] = {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"}
PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
