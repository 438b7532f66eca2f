"""Sheets of the thread to print: drawn from plain data. Free of Django."""

from __future__ import annotations
