"""The docs tell the truth: shown outputs are real, keys and checks are all mentioned, links lead somewhere."""

import importlib.util
import json
import re
import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path

import pytest

from evenbead.documents import read_case
from evenbead.plan import as_contract, plan_day
from evenbead.toolpath.reading import toolpath_for

ROOT = Path(__file__).parents[2]
DOCS = ROOT / "docs"
PAGES = [ROOT / "README.md", ROOT / "CONTRIBUTING.md", *sorted(DOCS.rglob("*.md"))]


@pytest.fixture(scope="module")
def remake():
    sys.path.insert(0, str(DOCS))
    try:
        spec = importlib.util.spec_from_file_location("remake", DOCS / "remake.py")
        module = importlib.util.module_from_spec(spec)
        spec.loader.exec_module(module)
    finally:
        sys.path.remove(str(DOCS))
    return module


@pytest.fixture(scope="module")
def contract():
    case = read_case(ROOT / "demo" / "two-part" / "job.toml")
    plan = plan_day(case, toolpath_for(case.toolpath, case.job), made_at=datetime(2026, 6, 1, tzinfo=UTC))
    return as_contract(plan)


def test_every_shown_output_and_every_generated_page_is_what_the_program_gives(remake, tmp_path):
    stale = [
        str(path.relative_to(ROOT))
        for path, text in remake.everything(remake.scratch_folder(tmp_path)).items()
        if not path.exists() or path.read_text(encoding="utf-8") != text
    ]

    assert stale == [], "run `make docs`"


def test_the_reference_mentions_every_key_of_the_plan_for_scripts(contract):
    page = (DOCS / "reference" / "plan.md").read_text(encoding="utf-8")

    missing = {key for key in _keys(contract) if f"`{key}`" not in page and f"`{key}[]`" not in page}

    assert missing == set()


def test_the_reference_mentions_every_check(contract):
    page = (DOCS / "reference" / "checks.md").read_text(encoding="utf-8")

    assert [check["name"] for check in contract["checks"] if f"`{check['name']}`" not in page] == []


@pytest.mark.parametrize("page", PAGES, ids=lambda page: str(page.relative_to(ROOT)))
def test_every_link_leads_to_a_file(page):
    links = re.findall(r"\]\(([^)#:]+?)(?:#[^)]*)?\)", page.read_text(encoding="utf-8"))

    assert [link for link in links if not (page.parent / link).exists()] == []


def test_every_page_can_be_reached_from_the_contents():
    contents = (DOCS / "README.md").read_text(encoding="utf-8")

    assert [str(p.relative_to(DOCS)) for p in PAGES[3:] if str(p.relative_to(DOCS)) not in contents] == []


def test_the_python_of_the_how_to_pages_runs():
    page = (DOCS / "how-to" / "scripts.md").read_text(encoding="utf-8")
    code = re.search(r"```python\n(.*?)```", page, re.DOTALL)[1]

    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True)

    assert "s until a change can be judged" in done.stdout


def _keys(value):
    if isinstance(value, dict):
        yield from value
        for inner in value.values():
            yield from _keys(inner)
    elif isinstance(value, list) and value:
        yield from _keys(value[0])


def test_the_contract_is_plain_json(contract):
    assert json.loads(json.dumps(contract, allow_nan=False)) == contract
