"""Kinship, inbreeding and descent in a pedigree of any ploidy. Plain data in, plain data out.

What a number means: what is to be expected from the recorded parents, at a place of the genome
taken at random, founders taken as unrelated. It is no test of the plants' own DNA, and an empty
pedigree makes it small; read it beside `completeness`.
"""

from __future__ import annotations

from breeding.pedigree.check import Fault, PedigreeError, UnknownPlant
from breeding.pedigree.pedigree import Pedigree
from breeding.pedigree.rules import Inheritance, Mode, inheritance

__all__ = [
    "Fault",
    "Inheritance",
    "Mode",
    "Pedigree",
    "PedigreeError",
    "UnknownPlant",
    "inheritance",
]
