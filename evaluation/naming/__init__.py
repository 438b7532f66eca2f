"""The way to a name: what a proposed name may be taken for here, and the registration dossier."""

from __future__ import annotations
