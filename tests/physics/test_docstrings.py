"""The docstrings of the physics are data: what they say about names, units and sources is held to be true."""

import ast
import dataclasses
import importlib
import inspect
import pkgutil
import re
import tomllib
from pathlib import Path

import pytest

import evenbead.physics
from evenbead.quantities import TEMPERATURE, Kind, UnitFault, parse

ROOT = Path(__file__).parents[2]
SOURCES = tomllib.loads((ROOT / "docs" / "sources.toml").read_text(encoding="utf-8"))

MODULES = [
    importlib.import_module(f"evenbead.physics.{found.name}")
    for found in pkgutil.iter_modules(evenbead.physics.__path__)
]
FUNCTIONS = [
    pytest.param(member, id=f"{module.__name__.rsplit('.', 1)[1]}.{name}")
    for module in MODULES
    for name, member in inspect.getmembers(module, inspect.isfunction)
    if member.__module__ == module.__name__ and not name.startswith("_")
]
VALUES = [
    pytest.param(member, id=f"{module.__name__.rsplit('.', 1)[1]}.{name}")
    for module in MODULES
    for name, member in inspect.getmembers(module, dataclasses.is_dataclass)
    if member.__module__ == module.__name__ and not name.startswith("_")
]

# A citation: a capital, letters, and a year or a dashed number; units and matrices have none of these forms.
CITATION = re.compile(r"\[([A-Z][A-Za-z]+(?:\d{4}|-[A-Za-z0-9.]+))\]")
SOURCELESS = ("common practice, no source", "from memory", "geometry", "definition", "continuity", "as `", "as in `")


def entries(documented, section):
    """The entries of a numpydoc section, name to description."""
    text = inspect.getdoc(documented) or ""
    match = re.search(rf"^{section}\n-+\n(.*?)(?=^\S[^\n]*\n-+\n|^\w[\w ]*\w:|\Z)", text, re.DOTALL | re.MULTILINE)
    # A heading such as "name : type" begins at the margin, its description is indented.
    blocks = re.split(r"^(?=\w+ : )", match[1], flags=re.MULTILINE) if match else []
    return {block.split(" : ", 1)[0]: block.split("\n", 1)[1] for block in blocks if " : " in block}


def is_unit(text):
    if text in ("-", "1"):
        return True
    kind = TEMPERATURE if text == "degC" else Kind(name="a quantity", si=text, metric=text, us=text)
    try:
        parse(f"1 {text}", kind)
    except UnitFault:
        return False
    return True


def units(description):
    return [found for found in re.findall(r"\[([^\[\]]+)\]", description) if is_unit(found)]


def source_of(function):
    match = re.search(r"^Source: (.+?)(?=\n\n|\Z)", inspect.getdoc(function) or "", re.DOTALL | re.MULTILINE)
    return " ".join(match[1].split()) if match else ""


def test_there_is_something_to_walk():
    assert len(FUNCTIONS) > 30
    assert len(VALUES) > 10


@pytest.mark.parametrize("function", FUNCTIONS)
def test_documented_parameters_are_those_of_the_signature_in_their_order(function):
    names = [name.lstrip("*") for name in inspect.signature(function).parameters]

    assert list(entries(function, "Parameters")) == names


@pytest.mark.parametrize("function", FUNCTIONS)
def test_every_parameter_and_every_result_has_a_unit(function):
    documented = entries(function, "Parameters") | {
        f"returned {name}": text for name, text in entries(function, "Returns").items()
    }

    assert any(name.startswith("returned ") for name in documented)
    assert [name for name, text in documented.items() if not units(text)] == []


@pytest.mark.parametrize("function", FUNCTIONS)
def test_every_function_names_its_source(function):
    source = source_of(function)

    assert source
    assert CITATION.search(source) or any(words in source for words in SOURCELESS)


@pytest.mark.parametrize("value", VALUES)
def test_every_field_of_a_value_is_documented_with_its_unit_in_order(value):
    documented = entries(value, "Attributes")

    assert list(documented) == [field.name for field in dataclasses.fields(value)]
    assert [name for name, text in documented.items() if not units(text)] == []


@pytest.mark.parametrize("text", ["kg/m^3", "rev/s", "kg^2/s/rev", "m^6", "1/m^3", "degC", "-", "1"])
def test_the_units_in_use_are_understood(text):
    assert is_unit(text)


@pytest.mark.parametrize("text", ["GUM2008", "kilos", "n", "rev/sx", "1, 2"])
def test_what_is_no_unit_is_not_taken_for_one(text):
    assert not is_unit(text)


@pytest.mark.parametrize("module", MODULES, ids=lambda module: module.__name__.rsplit(".", 1)[1])
def test_every_citation_is_in_the_bibliography(module):
    source = Path(module.__file__).read_text(encoding="utf-8")

    assert set(CITATION.findall(source)) <= set(SOURCES)


def test_every_entry_of_the_bibliography_is_cited():
    readers = [*(ROOT / "src").rglob("*.py"), *(ROOT / "tests" / "published").glob("*.toml")]
    text = "\n".join(path.read_text(encoding="utf-8") for path in readers)

    assert [key for key in SOURCES if key not in text] == []


@pytest.mark.parametrize("key", SOURCES)
def test_every_entry_says_who_when_what_and_how_we_know_it(key):
    entry = SOURCES[key]

    assert set(entry) - {"doi", "note"} == {"authors", "year", "title", "publisher", "got"}
    assert entry["got"] in ("read in full", "abstract", "secondary", "from memory")
    assert 1850 < entry["year"] < 2100


@pytest.mark.parametrize("module", MODULES, ids=lambda module: module.__name__.rsplit(".", 1)[1])
def test_physics_imports_only_arrays_special_functions_errors_and_itself(module):
    tree = ast.parse(Path(module.__file__).read_text(encoding="utf-8"))
    imported = {node.module for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)}
    imported |= {alias.name for node in ast.walk(tree) if isinstance(node, ast.Import) for alias in node.names}

    allowed = re.compile(
        r"(numpy|scipy)(\.\w+)*|math|dataclasses|typing|__future__|collections\.abc|evenbead\.(errors|physics(\.\w+)?)"
    )
    assert [name for name in imported if not allowed.fullmatch(name)] == []
