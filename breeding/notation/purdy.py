"""Purdy's notation of pedigrees, both ways.

Purdy, Loegering, Konzak, Peterson & Allan 1968, A proposed standard method for illustrating
pedigrees of small grain varieties, Crop Science 8:405-406. The seed parent stands left. '/' is the
first cross, '//' or '/2/' the second, '/3/' the third: the highest number is the cross made last.
'n*B' beside the stroke says that B is the recurrent parent and was used n times:
'A/3*B' = ((A × B) × B) × B.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from functools import cache

from lark import Lark, Token, UnexpectedInput

from breeding.notation.nodes import Node, ParentageError, parents_first, pedigree_of
from breeding.notation.words import BLANKS, UNKNOWN, UNKNOWN_WORDS, tidy

MOST_DOSES = 100
MOST_CROSSES = 20_000

GRAMMAR = r"""
start: term (STROKE term)*
term: DOSE? (NAME | QUOTED) DOSE_AFTER?

STROKE.4: /\/\s*\d{1,6}\s*\/|\/+/
DOSE.3: /\d{1,6}\s*\*/
DOSE_AFTER.3: /\*\s*\d{1,6}/
QUOTED.2: /"(?:[^"]|"")+"/
NAME.1: /[^\s\/*"](?:[^\/*"]*[^\s\/*"])?/
%ignore /\s+/
"""


@dataclass(frozen=True)
class _Term:
    """A plant with its doses; None for an unknown parent."""

    node: Node | None
    doses: int
    position: int


@dataclass(frozen=True)
class _Stroke:
    order: int
    position: int


def read_purdy(text: str) -> Node:
    """Read a pedigree in Purdy's notation.

    The doses may stand on either side of the recurrent parent ('7*B', 'B*7'), and the recurrent
    parent on either side of the stroke; it keeps its side in every cross. Names are as written;
    those with a stroke or asterisk stand in "…". 'unknown' or '?' is an unknown parent.

    Returns the tree of the crosses, as `read_parentage` does; a lone name gives that plant.

    Raises ParentageError with the position: two crosses of the same order where neither is made
    first ('A/B/C'), doses on both sides of a stroke, doses with no cross, a missing parent.
    Cost: the text and the crosses.

    >>> tree = read_purdy("A/B//C")
    >>> [node.name for node in tree.parents[0].parents], tree.parents[1].name
    (['A', 'B'], 'C')
    """
    text = text.translate(BLANKS)
    if not text.strip():
        raise ParentageError(0, "Nothing stands here: write seed parent / pollen parent.")
    try:
        read = _parser().parse(text).children
    except UnexpectedInput as wrong:
        raise _complaint(text, wrong) from None
    terms = [_term(one.children) for one in read[::2]]
    strokes = [_Stroke(_order(token), token.start_pos) for token in read[1::2]]
    if not strokes:
        if terms[0].doses > 1:
            raise ParentageError(terms[0].position, "Doses need a cross: write A/3*B.")
        return terms[0].node or Node(None, (None, None), position=terms[0].position)
    return _put_together(terms, strokes)


@cache
def _parser() -> Lark:
    return Lark(GRAMMAR, parser="lalr", lexer="basic")


def _order(stroke: Token) -> int:
    digits = stroke.strip("/").strip()
    return int(digits) if digits else len(stroke)


def _term(tokens: list[Token]) -> _Term:
    doses = [int(token.strip("* \t\n")) for token in tokens if token.type.startswith("DOSE")]
    name = next(token for token in tokens if token.type in ("NAME", "QUOTED"))
    position = tokens[0].start_pos
    if len(doses) > 1:
        raise ParentageError(position, f"{name} has doses on both sides.")
    if not 1 <= (doses or [1])[0] <= MOST_DOSES:
        raise ParentageError(position, f"Doses go from 1 to {MOST_DOSES}.")
    written = name[1:-1].replace('""', '"') if name.type == "QUOTED" else str(name)
    written = tidy(written)
    if not written:
        raise ParentageError(name.start_pos, "A name is missing between the quotation marks.")
    unknown = name.type == "NAME" and written.casefold() in UNKNOWN_WORDS
    node = None if unknown else Node(written, position=name.start_pos)
    return _Term(node, (doses or [1])[0], position)


def _put_together(terms: list[_Term], strokes: list[_Stroke]) -> Node:
    """Strokes of higher order bind less; read from left to right with a stack of open ones."""
    parts: list[_Term] = [terms[0]]
    open_strokes: list[_Stroke] = []
    for stroke, term in zip(strokes, terms[1:], strict=True):
        while open_strokes and open_strokes[-1].order < stroke.order:
            _cross_last(parts, open_strokes.pop())
        if open_strokes and open_strokes[-1].order == stroke.order:
            raise ParentageError(
                stroke.position,
                "Two crosses of the same order side by side: number the later one higher, "
                "as in A/B//C.",
            )
        open_strokes.append(stroke)
        parts.append(term)
    while open_strokes:
        _cross_last(parts, open_strokes.pop())
    return parts[0].node


def _cross_last(parts: list[_Term], stroke: _Stroke) -> None:
    """The last two parts become one: their cross, repeated for the doses."""
    right, left = parts.pop(), parts.pop()
    if left.doses > 1 and right.doses > 1:
        raise ParentageError(
            stroke.position, "Only one parent of a cross can be the recurrent one."
        )
    node = Node(None, (left.node, right.node), position=left.position)
    for _ in range(max(left.doses, right.doses) - 1):
        pair = (left.node, node) if left.doses > 1 else (node, right.node)
        node = Node(None, pair, position=left.position)
    parts.append(_Term(node, 1, left.position))


def _complaint(text: str, wrong: UnexpectedInput) -> ParentageError:
    token = getattr(wrong, "token", None)
    if token is None:
        sign = text[wrong.pos_in_stream]
        return ParentageError(wrong.pos_in_stream, f"The sign {sign} does not fit here.")
    if token.type == "$END":
        return ParentageError(len(text.rstrip()), "A parent is missing at the end.")
    if token.type == "STROKE":
        return ParentageError(token.start_pos, f"A parent is missing before {token}.")
    return ParentageError(token.start_pos, f"{token} does not fit here.")


def write_purdy(tree: Node) -> str:
    """A tree of crosses in Purdy's notation, backcrosses with their doses ('A/3*B').

    `tree_of` makes the tree of a plant of the stock. Purdy's notation has no place for the number
    of a plant whose parents are written: such plants are told by their parents alone. An end
    without name is 'unknown'.

    Raises ValueError for a sib, and for more than 20,000 crosses: an ancestor that stands twice is
    written out twice. Iterative; cost: the text written.

    >>> write_purdy(read_purdy("A / 2 / B / C"))
    'A//B/C'
    """
    parts: dict[Node, _Cross] = {}
    for node in parents_first([tree], lambda node: node.before, lambda node: node.name or ""):
        if node.sib_of is not None:
            raise ValueError("Purdy's notation has no sign for a sib.")
        if node.parents not in (None, (None, None)):
            parts[node] = _cross(node, parts)
    if tree in parts and parts[tree].size > MOST_CROSSES:
        raise ValueError(f"More than {MOST_CROSSES:,} crosses would have to be written.")
    out: list[str] = []
    todo: list[Node | str | None] = [tree]
    while todo:
        now = todo.pop()
        if now in parts:
            todo += reversed(parts[now].items())
        else:
            out.append(now if isinstance(now, str) else _end(now))
    return "".join(out)


@dataclass(frozen=True)
class _Cross:
    """A cross as it is written. `doses` of the parent on side `recurrent` (0 seed, 1 pollen).

    `size` : the crosses that must be written for it, itself included.
    """

    parents: tuple[Node | None, Node | None]
    recurrent: int
    doses: int
    order: int
    size: int

    def items(self) -> list[Node | str | None]:
        stroke = {1: "/", 2: "//"}.get(self.order, f"/{self.order}/")
        found: list[Node | str | None] = [self.parents[0], stroke, self.parents[1]]
        if self.doses > 1:
            found.insert(2 * self.recurrent, f"{self.doses}*")
        return found


def _cross(node: Node, parts: dict[Node, _Cross]) -> _Cross:
    """The cross, with the crosses before it that were made to the same recurrent parent."""
    recurrent, doses = 1, 1
    pair = node.parents
    for side in (0, 1):
        other = pair[1 - side]
        while doses < MOST_DOSES and other in parts and _same_end(pair[side], other.parents[side]):
            recurrent, doses = side, doses + 1
            pair = other.parents
            other = pair[1 - side]
        if doses > 1:
            break
    below = [parts[one] for one in pair if one in parts]
    order = 1 + max((part.order for part in below), default=0)
    return _Cross(pair, recurrent, doses, order, 1 + sum(part.size for part in below))


def _same_end(one: Node | None, other: Node | None) -> bool:
    """Whether both are the same plant, known and without parents of its own."""
    if one is None or other is None or one.parents or other.parents or not one.name:
        return False
    return one.name == other.name


def _end(node: Node | None) -> str:
    name = tidy((node and node.name) or "")
    if not name:
        return UNKNOWN
    loud = set(name) & set('/*"') or name.isdigit() or name.casefold() in UNKNOWN_WORDS
    return '"' + name.replace('"', '""') + '"' if loud else name


def shares(tree: Node, fold: Callable[[str], str] = str.casefold) -> dict[str | None, Fraction]:
    """Expected share of each plant without parents in the text in the plant itself.

    Name as first written -> fraction; None for unknown parents and for ends without name. The
    shares sum to 1: each parent gives half. Raises ParentageError as `pedigree_of` does.

    >>> shares(read_purdy("A/3*B"))
    {'A': Fraction(1, 8), 'B': Fraction(7, 8)}
    """
    said = pedigree_of(tree, fold)
    found: dict[str | None, Fraction] = {}
    weights = {said.root: Fraction(1)}
    for place in range(said.root, -1, -1):
        pair = said.parents[place]
        weight = weights.get(place, Fraction(0))
        if pair is None or pair == (None, None):
            name = said.names[place]
            found[name] = found.get(name, Fraction(0)) + weight
            continue
        for parent in pair:
            if parent is None:
                found[None] = found.get(None, Fraction(0)) + weight / 2
            else:
                weights[parent] = weights.get(parent, Fraction(0)) + weight / 2
    return {name: found[name] for name in sorted(found, key=lambda name: (name is None, name))}
