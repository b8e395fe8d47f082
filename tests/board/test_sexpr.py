"""The tokenizer."""

import gc

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from leeward.board.sexpr import Item, Quoted, Straight, parse
from leeward.errors import InputError


def test_bare_and_quoted_atoms_are_told_apart() -> None:
    """A quoted 7 is a name, a bare 7 a number, whether in a leaf or beside a node."""
    root = parse('(a 7 "7" (b 7) (c "7"))', "f")
    assert root == ["a", "7", "7", ["b", "7"], ["c", "7"]]
    assert [type(atom) for atom in (root[1], root[2], root[3][1], root[4][1])] == [str, Quoted, str, Quoted]


def test_escapes_are_decoded() -> None:
    """Backslash pairs become the character they stand for, also beside brackets in the text."""
    assert parse(r'(a "x\\y" (b "say \"(hi)\"\n"))', "f") == ["a", r"x\y", ["b", 'say "(hi)"\n']]


def test_a_bare_atom_may_hold_a_quote() -> None:
    """KiCad 5 wrote inches bare: `0.96"`."""
    assert parse('(fp_text user 0.96" (at 1 2))', "f") == ["fp_text", "user", '0.96"', ["at", "1", "2"]]


def test_points_stay_one_text() -> None:
    """A list of straight points is kept whole, one with an arc is not."""
    straight = parse("(a (pts (xy 1 2)\n\t(xy -3.5 4)))", "f")
    assert straight[1] == ["pts", " (xy 1 2)\n\t(xy -3.5 4)"]
    assert isinstance(straight[1][1], Straight)
    assert parse("(a (pts (xy 1 2) (arc (start 0 0))))", "f")[1][1] == ["xy", "1", "2"]


def test_items_know_their_line() -> None:
    """Nodes below the root carry the line on which they begin, with either kind of line end."""
    for end in ("\n", "\r\n"):
        root = parse(end.join(["(a", "(b (c", "1))", "", "(d 2)", '(e "x")', ")"]), "f")
        assert [(item[0], item.line) for item in root if isinstance(item, Item)] == [("b", 2), ("d", 5), ("e", 6)]


@pytest.mark.parametrize(
    ("text", "line", "what"),
    [
        ("(a\n(b 1)\n", 3, "the file ends 1 brackets too early"),
        ("(a (b\n1)))", 2, "no opening one"),
        ('(a\n\n(b "never', 3, "never ends"),
        ("", 1, "empty"),
        (" \n", 1, "empty"),
        ("(a) (b)", 1, "not one bracketed expression"),
        ("a b", 1, "not one bracketed expression"),
    ],
)
def test_what_does_not_pair_up_is_placed(text: str, line: int, what: str) -> None:
    """Brackets and quotes that do not pair up are an InputError at their line."""
    with pytest.raises(InputError, match=what) as caught:
        parse(text, "some.kicad_pcb")
    assert caught.value.place is not None
    assert (caught.value.place.file, caught.value.place.line) == ("some.kicad_pcb", line)


def test_the_collector_is_left_as_it_was() -> None:
    """Python's cycle collector runs again after parsing, also after an error."""
    assert gc.isenabled()
    with pytest.raises(InputError):
        parse("(a", "f")
    assert gc.isenabled()


words = st.text(st.characters(blacklist_categories=("Cs", "Cc"), blacklist_characters='()" \\'), min_size=1).filter(
    lambda word: not any(letter.isspace() for letter in word)
)
trees = st.recursive(
    st.lists(words, min_size=1, max_size=3),
    lambda inner: st.tuples(words, st.lists(words | inner, max_size=3)).map(lambda made: [made[0], *made[1]]),
    max_leaves=12,
)


def written(node: object) -> str:
    """Return a tree as text."""
    return f"({' '.join(written(entry) for entry in node)})" if isinstance(node, list) else str(node)


@settings(deadline=None)  # how long it takes is not the question, and machines differ
@given(trees)
def test_what_is_written_is_read_back(tree: list[object]) -> None:
    """Any tree of words comes back as it was written."""
    assert parse(written(tree), "f") == tree
