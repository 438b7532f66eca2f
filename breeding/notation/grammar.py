"""The grammar of parentages, and its parser.

lark's LALR parser works with a table and a stack of its own, so brackets nest as deep as memory
goes; a recursive-descent library gives up at some hundred levels.
"""

from __future__ import annotations

from functools import cache

from lark import Lark, Token, Transformer

from breeding.notation.words import kind_of

# In quotation marks; beyond it they have no partner.
LONGEST_NAME = 300
_QUOTES = "'\"‘’‚‹›“”„«»"
# Spaces looked past at once; a longer run is looked at bit by bit, and trimmed off the name.
_GAP = r"\s{0,20}"
# Where a name without quotation marks ends: at a sign of the grammar, at × in all its spellings,
# at a word like 'sib' with a sign after it, at the full stop of the whole text.
_CROSS = rf"(?:[×✕⨯✖]|(?<![^\s()\[\]{{}}{_QUOTES}])[xX](?![^\s()\[\]{{}}{_QUOTES}]))"
_END = rf"(?={_GAP}(?:[()\[\]{{}}:;,]|{_CROSS}|\.?\Z))"
_TAIL = rf"\s{_GAP}(?:sib(?:ling)?|self(?:ed)?|self-pollinated){_END}"
# What stands after a quotation mark that closes, where the sign may be an apostrophe as well.
_CLOSED = rf"(?:{_END}|(?={_TAIL})|(?={_GAP}[{_QUOTES}]))"
_SINGLE = rf"(?=\s{{0,5}}[^\s'])(?:(?!'{_CLOSED})(?:[^\s]|\s(?!'(?!n'\s|{_END}))))"
_STARTS = r"[^\s()\[\]{}:;,×✕⨯✖\"‘‚‹“„«»›]"

GRAMMAR = rf"""
start: PREFIX? text FULL_STOP?
?text: plant | cross | heading
cross: plant CROSS (plant | SELF)
heading: named ":" flat CROSS (plant | SELF)
    | named ":" UNKNOWN -> heading_unknown

?plant: flat
    | bracketed
    | bracketed SELF -> selfed
?flat: named
    | numbered
    | named SELF -> selfed
    | UNKNOWN -> unknown
    | UNNAMED -> unnamed
    | SIB -> sib
    | named SIB -> sib_of
    | SIB_TO (named | numbered) -> sib_to
    | named "," SIB -> named_sib
    | named "," SIB_TO (named | numbered) -> named_sib_to
numbered: named ":" bracketed
named: NAME | QUOTED | MARK
bracketed: "(" text ")" | "[" text "]" | "{{" text "}}"

PREFIX.6: /(?:parentage|pedigree)\s*:/i
SIB_TO.5: /sib(?:ling)?\s+(?:to|of)(?=\s|\Z)/i
QUOTED.4: /"(?:[^"]|""){{1,{LONGEST_NAME}}}"(?!")/
    | /'{_SINGLE}{{1,{LONGEST_NAME}}}'{_CLOSED}/s
    | /[‘‚‹](?:(?![’‘›]{_CLOSED})[^‚‹]){{1,{LONGEST_NAME}}}[’‘›]{_CLOSED}/
    | /[“„](?:[^“”]){{1,{LONGEST_NAME}}}[“”]/
    | /«[^«»]{{1,{LONGEST_NAME}}}»/ | /»[^«»]{{1,{LONGEST_NAME}}}«/
FULL_STOP.2: /\.(?=\Z)/
CROSS.3: /{_CROSS}/
NAME.1: /{_STARTS}(?:(?!{_END}|{_TAIL}).)*/s
%declare UNKNOWN SIB SELF UNNAMED MARK
%ignore /\s+/
"""


def _classed(token: Token) -> Token:
    token.type = kind_of(token)
    return token


@cache
def parser(transformer: Transformer) -> Lark:
    """The parser, which hands each rule to `transformer` as soon as it is read."""
    return Lark(
        GRAMMAR,
        parser="lalr",
        lexer="basic",
        transformer=transformer,
        lexer_callbacks={"NAME": _classed},
    )
