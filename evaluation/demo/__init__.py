"""The demo garden: six invented seasons, told day by day and written through the verbs.

`cast` reads who takes part, `plans` chooses a season's crosses, `history` tells what people did,
`loading` does it. The telling is plain Python with its own dice; only `loading` knows the database.
"""

from __future__ import annotations
