#!/usr/bin/env python3
"""Runs Haftbook's commands: `manage.py start` opens the garden, `manage.py help` lists the rest."""

from __future__ import annotations

import os
import sys


def main() -> None:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "garden.settings")
    from django.core.management import execute_from_command_line

    execute_from_command_line(sys.argv)


if __name__ == "__main__":
    main()
