"""Labels to print: what they say, how they are laid out, the sheets they stand on; no Django."""

from __future__ import annotations

from garden.labels.calibration import calibration_pdf
from garden.labels.label import Label
from garden.labels.pdf import labels_pdf
from garden.labels.problems import problems
from garden.labels.ready import READY
from garden.labels.sheet import Sheet

__all__ = ["READY", "Label", "Sheet", "calibration_pdf", "labels_pdf", "problems"]
