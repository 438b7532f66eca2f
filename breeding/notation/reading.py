"""A written parentage read into a tree of plants."""

from __future__ import annotations

from dataclasses import dataclass, replace

from lark import Token, Transformer, UnexpectedCharacters, UnexpectedToken, v_args

from breeding.notation import words
from breeding.notation.complaints import unexpected_character, unexpected_token
from breeding.notation.grammar import LONGEST_NAME, parser
from breeding.notation.nodes import Node, ParentageError

LONGEST = 1_000_000


def read_parentage(text: str) -> Node:
    """Read a parentage as breeders write it: seed parent first.

    Understood are

    - × or x or X between the parents (a letter needs a space, bracket or quotation mark on both
      sides), brackets of three kinds, nested to any depth, stray spaces and line breaks, a full
      stop at the end and 'Parentage:' in front;
    - names in quotation marks of any kind, or without: then a name ends at a bracket, colon, comma
      or ×. A name that holds such a sign, or a word like 'sib' at its end, needs quotation marks;
      within "…" a doubled "" is one of them;
    - a number or name before its own parentage: '14-031C: (A × B)', also '14-031C: A × B' where
      nothing follows; '14-031C: (A × B) × C' is the cross of 14-031C with C. 'Sdlg. 14-031C' is
      14-031C;
    - 'unknown', '?', 'pollen parent unknown', 'bee pod', 'OP' and the like for a parent that is
      not known; 'sdlg.' for a plant without number; 'sdlg. #1' for such a plant that stands
      more than once;
    - 'A × sib', 'A × 14-2B, sib': a full sib of the other parent; 'A sib', 'sib to A',
      '14-2B, sib to A', 'sibling of A': a full sib of A;
    - 'A × self', 'A selfed': both parents are A.

    'A × B × C' is refused: the order of the crosses must be told by brackets.

    Returns the plant that the text speaks of. 'A × B' gives a plant without name; 'unknown' one
    with two unknown parents. `pedigree_of` joins what the text says of the same plant.

    Raises ParentageError with the position and a sentence. Cost: the length of the text.

    >>> tree = read_parentage("14-031C: (Wet Slate X [12-007A x 'Attic Barometer'])")
    >>> tree.name, tree.parents[0].name, tree.parents[1].parents[1].name
    ('14-031C', 'Wet Slate', 'Attic Barometer')
    """
    if len(text) > LONGEST:
        raise ParentageError(LONGEST, f"The text is longer than {LONGEST:,} characters.")
    text = text.translate(words.BLANKS).rstrip()
    if not text:
        raise ParentageError(0, "Nothing stands here: write seed parent × pollen parent.")
    reader = parser(_BUILD)
    try:
        return reader.parse(text)
    except UnexpectedToken as wrong:
        raise unexpected_token(text, wrong) from None
    except UnexpectedCharacters as wrong:
        raise unexpected_character(text, wrong.pos_in_stream) from None


@dataclass(frozen=True)
class _Unknown:
    """A parent that is not known."""

    position: int


@dataclass(frozen=True)
class _Sib:
    """A sib of the other parent of a cross, which is not read yet."""

    position: int
    name: str | None = None
    mark: int | None = None


_Plant = Node | _Unknown | _Sib


@v_args(inline=True)
class _Build(Transformer):
    """Rule by rule, from the innermost brackets outwards."""

    def start(self, *read: _Plant | Token) -> Node:
        plant = next(one for one in read if not isinstance(one, Token))
        if isinstance(plant, _Unknown):
            return Node(None, (None, None), position=plant.position)
        if isinstance(plant, _Sib):
            raise ParentageError(plant.position, "Sib of which plant? Write 'sib to' and its name.")
        return plant

    def cross(self, seed: _Plant, sign: Token, pollen: _Plant | Token) -> Node:
        if isinstance(pollen, Token):
            return self.selfed(seed, pollen)
        if isinstance(seed, _Sib):
            # 'sib × A' is what 'A × sib' is, with the sib as seed parent.
            other = _node(pollen, seed)
            return Node(None, (_sib(seed, other), other), position=seed.position)
        if isinstance(pollen, _Sib):
            other = _node(seed, pollen)
            return Node(None, (other, _sib(pollen, other)), position=other.position)
        parents = (_known(seed), _known(pollen))
        return Node(None, parents, position=seed.position)

    def heading(self, plant: Node, seed: _Plant, sign: Token, pollen: _Plant | Token) -> Node:
        return replace(plant, parents=self.cross(seed, sign, pollen).parents)

    def heading_unknown(self, plant: Node, unknown: Token) -> Node:
        return replace(plant, parents=(None, None))

    def selfed(self, plant: _Plant, word: Token) -> Node:
        if not isinstance(plant, Node):
            raise ParentageError(word.start_pos, "Only a plant that is known can be selfed.")
        return Node(None, (plant, plant), position=plant.position)

    def numbered(self, plant: Node, inner: _Plant) -> Node:
        if isinstance(inner, _Unknown):
            return replace(plant, parents=(None, None))
        if not (isinstance(inner, Node) and inner.name is None and inner.parents):
            raise ParentageError(
                inner.position, f"Two parents with × between them belong here, after {plant.name}:"
            )
        return replace(plant, parents=inner.parents)

    def bracketed(self, inner: _Plant) -> _Plant:
        return inner

    def named(self, token: Token) -> Node:
        if token.type == "MARK":
            mark = int(words.MARK.fullmatch(token).group(1))
            return Node(None, mark=mark, position=token.start_pos)
        name = _name(token)
        if not name:
            raise ParentageError(token.start_pos, "A name is missing between the quotation marks.")
        if len(name) > LONGEST_NAME:
            raise ParentageError(
                token.start_pos, f"This name is longer than {LONGEST_NAME} characters."
            )
        return Node(name, position=token.start_pos)

    def unknown(self, word: Token) -> _Unknown:
        return _Unknown(word.start_pos)

    def unnamed(self, word: Token) -> Node:
        return Node(None, position=word.start_pos)

    def sib(self, word: Token) -> _Sib:
        return _Sib(word.start_pos)

    def sib_of(self, of: Node, word: Token) -> Node:
        return Node(None, sib_of=of, position=of.position)

    def sib_to(self, word: Token, of: Node) -> Node:
        return Node(None, sib_of=of, position=word.start_pos)

    def named_sib(self, plant: Node, word: Token) -> _Sib:
        return _Sib(plant.position, plant.name, plant.mark)

    def named_sib_to(self, plant: Node, word: Token, of: Node) -> Node:
        return replace(plant, sib_of=of)


def _known(plant: _Plant) -> Node | None:
    return plant if isinstance(plant, Node) else None


def _node(other: _Plant, sib: _Sib) -> Node:
    """The parent whose sib the other one is."""
    if isinstance(other, Node):
        return other
    raise ParentageError(sib.position, "The other parent is not known, so it can have no sib here.")


def _sib(sib: _Sib, of: Node) -> Node:
    return Node(sib.name, sib_of=of, mark=sib.mark, position=sib.position)


def _name(token: Token) -> str:
    """The name within quotation marks or without, its spaces tidied."""
    if token.type == "NAME":
        if involving := words.INVOLVING.match(token):
            raise ParentageError(
                token.start_pos,
                f"'{involving[0]}' names plants among the ancestors, but no parents: "
                "write 'unknown' for this parent.",
            )
        front = words.SEEDLING.match(token)
        return words.tidy(token[front.end() if front else 0 :])
    inner = token[1:-1]
    return words.tidy(inner.replace('""', '"') if token[0] == '"' else inner)


_BUILD = _Build()
