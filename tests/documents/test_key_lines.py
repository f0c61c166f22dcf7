"""The line of every key of a TOML text, however the text is laid out."""

import tomllib

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from evenbead.documents.lines import key_lines, nearest_line

COMMENT = "# no ] } [ { = \" ' \"\"\" ''' here counts, and neither does \u2028 or \u0085 end a line"


@pytest.mark.parametrize(
    ("text", "path", "line"),
    [
        ("a = 1", ("a",), 1),
        ("\n\r\n\na = 1", ("a",), 4),
        (f"{COMMENT}\na = 1", ("a",), 2),
        (f"a = 1 {COMMENT}\nb = 2", ("b",), 2),
        ('a = """\nb = 1\n"""\nb = 2', ("b",), 4),
        ("a = '''\nb = 1\n[b]\n'''\nb = 2", ("b",), 5),
        ('a = """one "two"\nthree "four" """"\nb = 2', ("b",), 3),
        ('a = """\\"""\nb"""\nb = 2', ("b",), 3),
        ("a = '''one''''\nb = 2", ("b",), 2),
        ('a = "#["\nb = "\\"]"\nc = \'\\\'\nd = 1', ("d",), 4),
        ("a = [\n1,\n[2,\n3],\n]\nb = 2", ("b",), 6),
        ("a = [\n1,\n[2,\n3],\n]\nb = 2", ("a", 1, 1), 4),
        ('a = [ # [\n"]", # ]\n]\nb = 2', ("b",), 4),
        ("a = { b = { c = 1 } }\nd = 2", ("a", "b", "c"), 1),
        ("a = [\n{ b = 1 },\n{ b = 2 },\n]", ("a", 1, "b"), 3),
        ("a.b.c = 1\na.b.d = 2", ("a", "b", "d"), 2),
        ("a.b.c = 1\na.b.d = 2", ("a", "b"), 1),
        ('"a.b"."c]" = 1\n"x" = 2', ("a.b", "c]"), 1),
        ('"\\u0061" = 1', ("a",), 1),
        ("'a' . b = 1", ("a", "b"), 1),
        ("[a.b]\nc = 1", ("a",), 1),
        ("[a.b]\nc = 1", ("a", "b", "c"), 2),
        ("[ a . 'b' ] # x\nc = 1", ("a", "b", "c"), 2),
        ("[[a]]\n[[a]]\nb = 1", ("a", 1, "b"), 3),
        ("[[a]]\n[[a.b]]\n[[a]]\n[[a.b]]\n[[a.b]]\nc = 1", ("a", 1, "b", 1, "c"), 6),
        ("[[a]]\n[a.b]\nc = 1\n[[a]]\n[a.b]\nc = 1", ("a", 1, "b", "c"), 6),
        ("a = 2026-06-18 07:00:00\nb = -1.5e+3\nc = +inf\nd = 0xFF", ("d",), 4),
        ("1.5 = 2", ("1", "5"), 1),
    ],
)
def test_a_key_is_found_where_it_stands(text, path, line):
    tomllib.loads(text)

    assert key_lines(text)[path] == line


def test_a_key_that_is_not_there_is_looked_for_in_the_table_around_it():
    lines = key_lines("a = 1\n[b]\n[b.c]\nd = 1\n")

    assert nearest_line(lines, ("b", "c", "missing")) == 3
    assert nearest_line(lines, ("b", "missing", "deeper")) == 2
    assert nearest_line(lines, ("missing",)) == 1


# Keys that are bare, quoted, literal, and such as hold what would be a sign elsewhere.
NAMES = ["a", "b-1", "3", "_", "x.y", "[x]", "k = 1", "#no", "é", "'", '"', "\\"]
SCALARS = [
    "1",
    "-2.5",
    "true",
    "inf",
    "1e-3",
    '"text # ["',
    "'''a\nb'''",
    '"""\n] "x" }"""',
    "1979-05-27 07:32:00",
    "[]",
    "{}",
]


def spelt(draw, name):
    """A key as it may be written."""
    if name.replace("-", "").replace("_", "").isascii() and name.replace("-", "_").replace("_", "a").isalnum():
        return draw(st.sampled_from([name, f'"{name}"', f"'{name}'", f" {name} "]))
    escaped = name.replace("\\", "\\\\").replace('"', '\\"')
    return f'"{escaped}"'


class Writer:
    """Writes TOML and notes the line on which it writes each key."""

    def __init__(self, draw):
        self.draw, self.text, self.lines = draw, "", {}

    def line(self):
        return self.text.count("\n") + 1

    def filler(self):
        for piece in self.draw(st.lists(st.sampled_from(["\n", f"{COMMENT}\n", "  \t\n"]), max_size=2)):
            self.text += piece

    def names(self):
        return self.draw(st.lists(st.sampled_from(NAMES), max_size=3, unique=True))

    def pairs(self, path, depth):
        for name in self.names():
            self.filler()
            self.pair((*path, name), depth)
            self.text += self.draw(st.sampled_from(["\n", f" {COMMENT}\n"]))

    def pair(self, path, depth):
        self.lines[path] = self.line()
        self.text += f"{spelt(self.draw, path[-1])} = "
        self.value(path, depth)

    def value(self, path, depth):
        shape = self.draw(st.sampled_from(["scalar", "array", "inline"] if depth else ["scalar"]))
        if shape == "scalar":
            self.text += self.draw(st.sampled_from(SCALARS))
        elif shape == "array":
            self.array(path, depth)
        else:
            self.text += "{ "
            for k, name in enumerate(self.names()):
                self.text += ", " if k else ""
                self.pair((*path, name), depth - 1)
            self.text += " }"

    def array(self, path, depth):
        self.text += "["
        for k in range(self.draw(st.integers(0, 3))):
            self.text += self.draw(st.sampled_from(["", "\n", f" {COMMENT}\n"]))
            self.lines[*path, k] = self.line()
            self.value((*path, k), depth - 1)
            self.text += self.draw(st.sampled_from([",", " ,\n"]))
        self.text += "]"

    def whole(self):
        self.pairs((), 2)
        taken = {path[0] for path in self.lines}
        for name in self.names():
            if name in taken:
                continue
            entries = self.draw(st.integers(0, 2))
            for entry in range(entries) or [None]:
                self.filler()
                path = (name,) if entry is None else (name, entry)
                self.lines[path] = self.line()
                key = spelt(self.draw, name)
                self.text += f"[{key}]\n" if entry is None else f"[[{key}]]\n"
                self.pairs(path, 2)


@settings(max_examples=80, deadline=None)
@given(data=st.data())
def test_every_key_of_any_text_is_found_on_the_line_it_was_written_on(data):
    writer = Writer(data.draw)
    writer.whole()
    tomllib.loads(writer.text)
    found = key_lines(writer.text)

    assert {path: found.get(path) for path in writer.lines} == writer.lines
