"""The door of the web server."""

from __future__ import annotations

import os

from django.core.wsgi import get_wsgi_application

from garden.claims import believable

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "garden.settings")

application = believable(get_wsgi_application())

if os.environ.get("HAFTBOOK_SERVED"):
    from garden.safekeeping import end_with_parent, watch_over

    end_with_parent()
    watch_over()
