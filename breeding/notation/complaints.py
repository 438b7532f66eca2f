"""What is wrong with a text that cannot be read, said plainly."""

from __future__ import annotations

from typing import Any

from lark import Token, UnexpectedToken

from breeding.notation.nodes import ParentageError

CLOSES = {"RPAR": "LPAR", "RSQB": "LSQB", "RBRACE": "LBRACE"}
OPENS = set(CLOSES.values())
NAMES = {"NAME", "QUOTED", "MARK", "UNKNOWN", "UNNAMED", "SIB", "SELF"}
# What must follow these signs, and does not.
FOLLOWED_BY = {
    "COMMA": "After a comma only the word 'sib' is understood.",
    "COLON": "Brackets must stand around the parentage that follows this colon.",
    "SIB_TO": "The name of the plant whose sib it is must follow these words.",
}
MISPLACED = {
    "COLON": "A colon stands only between a seedling number and its own parentage.",
    "COMMA": "A comma stands only between a plant and the word 'sib'.",
    "SELF": "Which plant was selfed? Write it before this word.",
    "PREFIX": "This word stands only at the beginning.",
}


def unexpected_character(text: str, position: int) -> ParentageError:
    """A sign that begins nothing."""
    sign = text[position]
    if sign in '"‘‚‹›“”„«»':
        return ParentageError(
            position,
            f"The quotation mark {sign} has no partner, or what stands between is too long.",
        )
    return ParentageError(position, f"The sign {sign} means nothing in a parentage.")


def unexpected_token(text: str, wrong: UnexpectedToken) -> ParentageError:
    """A sign or name that does not fit what stands before it."""
    token = wrong.token
    # What is read so far and not yet put together: signs, and plants that are complete.
    stack = wrong.interactive_parser.parser_state.value_stack
    opened = [one for one in stack if _type(one) in OPENS]
    last = _type(stack[-1]) if stack else "START"
    if token.type == "$END":
        if opened:
            return ParentageError(opened[-1].start_pos, f"This {opened[-1]} is never closed.")
        return ParentageError(len(text), _after(last))
    return ParentageError(token.start_pos, _sentence(token, opened, last))


def _sentence(token: Token, opened: list[Token], last: str) -> str:
    if token.type in CLOSES:
        return _closing(token, opened, last)
    if token.type == "CROSS":
        return _cross(last)
    if last in FOLLOWED_BY:
        return FOLLOWED_BY[last]
    if token.type in MISPLACED:
        return MISPLACED[token.type]
    if last in ("PLANT", *NAMES, *CLOSES):
        return _no_sign(token)
    return f"{token} does not fit here."


def _type(one: Any) -> str:
    return one.type if isinstance(one, Token) else "PLANT"


def _after(last: str) -> str:
    """What the text lacks at its end, or before a bracket that closes."""
    if last == "SIB_TO":
        return FOLLOWED_BY[last]
    if last == "CROSS":
        return "The pollen parent is missing here."
    if last == "COMMA":
        return "The word 'sib' is missing after the comma."
    if last in ("START", "PREFIX", *OPENS):
        return "Nothing stands here: write seed parent × pollen parent."
    return "The parentage is missing after the colon: two parents with × between them."


def _closing(token: Token, opened: list[Token], last: str) -> str:
    if not opened:
        return f"This {token} closes no bracket."
    if opened[-1].type != CLOSES[token.type]:
        place = opened[-1].start_pos + 1
        return f"This {token} does not fit the {opened[-1]} at character {place}."
    return _after(last)


def _cross(last: str) -> str:
    if last == "CROSS":
        return "Two × stand side by side: a parent is missing between them."
    if last in ("START", "PREFIX", "COLON", *OPENS):
        return "The seed parent is missing before this ×."
    if last in FOLLOWED_BY:
        return FOLLOWED_BY[last]
    return "A second × on the same level: brackets must tell which cross was made first."


def _no_sign(token: Token) -> str:
    if token.type in OPENS:
        return f"Before this {token} a sign is missing: × between parents, a colon after a number."
    return f"× is missing before {token}."
