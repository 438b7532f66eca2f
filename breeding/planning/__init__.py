"""Which crosses to make: pairs side by side, a balanced set, what kinship costs. No Django.

numpy is loaded with the parts, scipy with the first set that is chosen: import the parts late.

- `candidates`: plants that may be parents, and what the columns weigh.
- `chances`: the chance of the wanted type for all pairs at once.
- `pairs`: the table of pairs, every column kept, with a score.
- `choosing`: a set of crosses chosen together, kinship of the whole programme under a limit.
- `curve`: what a lower kinship costs.
"""

from __future__ import annotations
