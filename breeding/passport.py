"""Plants as multi-crop passport descriptors, and pedigrees as plain files. Free of Django.

MCPD V2.1: A. Alercia, S. Diulgheroff and M. Mackay 2015, FAO/Bioversity Multi-Crop Passport
Descriptors V.2.1. Several values in one cell are parted by semicolons without a space; what is not
known is left empty. STORAGE 20 (field collection) and BREDNAME are written from memory.
"""

from __future__ import annotations

import io
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

from garden.csvout import write_rows

GENUS, CROP, IN_THE_FIELD = "Iris", "bearded iris", "20"
DESCRIPTORS = (
    "INSTCODE", "ACCENUMB", "COLLNUMB", "GENUS", "SPECIES", "CROPNAME", "ACCENAME", "ACQDATE",
    "BREDCODE", "BREDNAME", "SAMPSTAT", "ANCEST", "DONORCODE", "DONORNUMB", "OTHERNUMB", "STORAGE",
    "REMARKS",
)  # fmt: skip
# SAMPSTAT, descriptor 19: improved cultivar, breeder's line.
IMPROVED, LINE = "500", "410"
STATUS = {"cultivar": IMPROVED, "seedling": LINE, "guest": LINE}
# What XML 1.0 cannot hold.
NO_XML = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ufffe\uffff]")
EPITHET = re.compile(r"(?:Iris|I\.)\s+([a-z][a-z-]+)")


@dataclass(frozen=True, slots=True)
class Entry:
    """What is known of one plant. `kind` as in the stock; `came` is the day on which it was first
    planted here, None when unknown."""

    code: str
    name: str
    kind: str
    number: str = ""
    breeder: str = ""
    came: date | None = None
    ancestry: str = ""
    growing: bool = True
    remarks: Mapping[str, str] = field(default_factory=dict)


def in_one_cell(values: Iterable[str]) -> str:
    """Several values as the standard parts them; a semicolon within one becomes a comma."""
    return ";".join(text for value in values if (text := value.strip().replace(";", ",")))


def passport(entry: Entry) -> list[str]:
    """One line in the order of DESCRIPTORS."""
    species = EPITHET.match(entry.name) if entry.kind == "species" else None
    told = {
        "ACCENUMB": entry.code,
        "GENUS": GENUS,
        "SPECIES": species[1] if species else "",
        "CROPNAME": CROP,
        "ACCENAME": in_one_cell([entry.name]),
        "ACQDATE": f"{entry.came:%Y%m%d}" if entry.came else "",
        "BREDNAME": in_one_cell([entry.breeder]),
        "SAMPSTAT": STATUS.get(entry.kind, ""),
        "ANCEST": entry.ancestry,
        "OTHERNUMB": in_one_cell([entry.number] if entry.number != entry.name else []),
        "STORAGE": IN_THE_FIELD if entry.growing else "",
        "REMARKS": in_one_cell(f"{name}:{value}" for name, value in entry.remarks.items()),
    }
    return [told.get(name, "") for name in DESCRIPTORS]


def passport_csv(entries: Iterable[Entry]) -> str:
    """A CSV file of the standard, with its heading line."""
    file = io.StringIO(newline="")
    write_rows(file, [DESCRIPTORS, *(passport(entry) for entry in entries)])
    return file.getvalue()


@dataclass(frozen=True, slots=True)
class Line:
    """A plant in a pedigree: its two parents are keys of other lines, words, or ''."""

    key: str
    name: str
    seed: str = ""
    pollen: str = ""
    kind: str = ""
    year: int = 0
    ploidy: int = 0


def pedigree_csv(lines: Sequence[Line]) -> str:
    """Three columns: plant, seed parent, pollen parent, by their names.

    A parent that is no plant of the list stands with the words written for it.
    """
    names = {line.key: line.name for line in lines}
    file = io.StringIO(newline="")
    head = ("id", "seed_parent", "pollen_parent")
    rows = ((line.name, names.get(line.seed, line.seed), names.get(line.pollen, line.pollen))
            for line in lines)  # fmt: skip
    write_rows(file, [head, *rows])
    return file.getvalue()


def pedigree_graphml(lines: Sequence[Line]) -> bytes:
    """GraphML, UTF-8: an arrow from each parent to its offspring, with the parent's side.

    A plant that is both parents of another (selfed) has one arrow with side 'both'.
    """
    import networkx as nx

    graph = nx.DiGraph()
    known = {line.key for line in lines}
    for line in lines:
        name = NO_XML.sub("", line.name)
        told = {"name": name, "kind": line.kind, "year": line.year, "ploidy": line.ploidy}
        graph.add_node(line.key, **{name: value for name, value in told.items() if value})
    for line in lines:
        sides = {side: key for side, key in (("seed", line.seed), ("pollen", line.pollen)) if key}
        for side, key in sides.items():
            parent = key if key in known else NO_XML.sub("", key)
            if key not in known:
                graph.add_node(parent, name=parent, kind="written only")
            both = line.seed == line.pollen
            graph.add_edge(parent, line.key, side="both" if both else side)
    out = io.BytesIO()
    nx.write_graphml(graph, out, encoding="utf-8", prettyprint=True)
    return out.getvalue()
