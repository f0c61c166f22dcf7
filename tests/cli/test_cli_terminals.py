"""Help, completion, and terminals of every kind."""

import json
import os
import re
import subprocess
import sys

import pytest
import shellingham
from typer.testing import CliRunner

import invented_site as site
from command_line import PYTHON, environment, names_in, typed
from evenbead import __version__, cli
from evenbead.errors import InputRefused, NotPossible


def test_help_is_there_at_once_and_loads_nothing_heavy():
    code = (
        "import sys; sys.argv = ['evenbead', '--help']\n"
        "from evenbead import cli\n"
        "try: cli.run()\n"
        "except SystemExit: pass\n"
        "heavy = {'numpy', 'scipy', 'pydantic', 'rich', 'ezdxf', 'typst', 'numba'} & set(sys.modules)\n"
        "print(sorted(heavy), file=sys.stderr)\n"
    )
    said = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, env=environment())

    assert said.stderr.strip() == "[]"
    for command in ("plan", "catch", "toolpath", "document"):
        assert re.search(rf"^  {command} ", said.stdout, re.MULTILINE)
    assert "..." not in said.stdout.partition("Commands:")[2]  # every summary fits on its line


@pytest.mark.skipif(os.name == "nt", reason="needs the processor time of child processes")
def test_help_takes_less_than_a_fifth_of_a_second(tmp_path):
    # With compiled modules, as an installed program has them. Processor time, because other work on this machine
    # shall not count; the best of several, because the first run compiles.
    extra = {"PYTHONPYCACHEPREFIX": str(tmp_path), "PYTHONDONTWRITEBYTECODE": ""}
    taken = []
    for _ in range(5):
        before = os.times()
        assert typed("--help", **extra).returncode == 0
        after = os.times()
        taken.append(after.children_user + after.children_system - before.children_user - before.children_system)

    assert min(taken) < 0.2


def test_the_version_is_said(run):
    assert run("--version") == (0, f"evenbead {__version__}\n", "")


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish", "powershell"])
def test_completion_is_a_script_for_the_shell(shell, monkeypatch):
    # Which shell it is run from is found out among the parents of this process: here there may be none.
    monkeypatch.setattr(shellingham, "detect_shell", lambda *_: (shell, f"/bin/{shell}"))
    said = CliRunner().invoke(cli.app, ["--show-completion"], prog_name="evenbead")

    assert said.exit_code == 0
    assert "evenbead" in said.stdout.lower()
    assert "_EVENBEAD_COMPLETE" in said.stdout


def test_completion_without_a_shell_to_be_found_is_refused_in_words(monkeypatch):
    def none_found(*_):
        raise shellingham.ShellDetectionFailure

    monkeypatch.setattr(shellingham, "detect_shell", none_found)
    said = CliRunner().invoke(cli.app, ["--show-completion"], prog_name="evenbead")

    assert said.exit_code == 1
    assert "not supported" in said.output


def test_a_terminal_without_our_signs_gets_plain_ones(job):
    said = typed("plan", job, PYTHONIOENCODING="ascii", PYTHONUTF8="0")
    text = said.stdout.decode("ascii")

    assert said.returncode == 0
    assert said.stderr == b""
    assert "+ All 17 checks are ok." in text
    assert "1750 +/- 80 rpm" in text
    assert "?" not in text


def test_json_for_a_terminal_without_our_letters_is_the_same_json(tmp_path):
    job = site.write_case(tmp_path, job=site.changed(site.JOB, "Garden bench", "Gärtenbänk ☃"))
    said = typed("plan", job, "--json", PYTHONIOENCODING="latin-1", PYTHONUTF8="0")

    assert json.loads(said.stdout.decode("latin-1"))["job"] == "Gärtenbänk ☃"


def test_a_reader_that_leaves_early_is_no_fault(job):
    for words in (["plan", str(job)], ["plan", str(job), "--json"]):
        with subprocess.Popen(
            [*PYTHON, *words], stdout=subprocess.PIPE, stderr=subprocess.PIPE, env=environment()
        ) as running:
            running.stdout.close()
            err = running.stderr.read()

        assert err == b""
        assert running.returncode == 0


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="needs a device that is always full")  # noqa: PTH110
def test_a_full_disk_is_told_in_one_line(job):
    with open("/dev/full", "wb") as full:  # noqa: PTH123
        said = subprocess.run(
            [*PYTHON, "plan", str(job)], check=False, stdout=full, stderr=subprocess.PIPE, env=environment()
        )

    assert said.returncode == 2
    assert said.stderr.decode().splitlines() == ["the output can't be written: No space left on device"]


@pytest.mark.skipif(os.name == "nt", reason="needs a pseudo-terminal")
def test_colour_is_for_terminals_that_want_it(job):
    import pty

    def seen(**extra):
        ours, theirs = pty.openpty()
        with subprocess.Popen(
            [*PYTHON, "plan", str(job)], stdout=theirs, stderr=theirs, env=environment(TERM="xterm-256color", **extra)
        ) as running:
            os.close(theirs)
            text = b""
            while True:
                try:
                    piece = os.read(ours, 65536)
                except OSError:
                    break
                if not piece:
                    break
                text += piece
        os.close(ours)
        assert running.returncode == 0
        return text.decode()

    colour = re.compile(r"\x1b\[[\d;]*3[0-7]m")
    assert colour.search(seen(COLUMNS="80"))
    assert not colour.search(seen(COLUMNS="80", NO_COLOR="1"))
    assert "\x1b[" not in typed("plan", job).stdout.decode()


def test_a_narrow_terminal_is_respected(job):
    lines = typed("plan", job, COLUMNS="60").stdout.decode().splitlines()

    assert max(map(len, lines)) <= 60


def test_paths_are_relative_to_the_job_and_not_to_the_folder_one_is_in(job, tmp_path_factory):
    elsewhere = tmp_path_factory.mktemp("elsewhere")
    said = typed("plan", job, "--csv", "layers.csv", cwd=elsewhere)

    assert said.returncode == 0
    assert names_in(elsewhere) == ["layers.csv"]


def test_a_refusal_that_reaches_the_entry_point_is_told_in_its_lines(run, monkeypatch):
    def impossible():
        raise NotPossible("no speed can be read from them")

    monkeypatch.setattr(cli, "app", impossible)
    assert run("plan") == (2, "", "no speed can be read from them\n")

    def refused():
        raise InputRefused.because("a\nb\x1b[2J", file="x")

    monkeypatch.setattr(cli, "app", refused)
    assert run("plan") == (2, "", "x: a\\nb\\x1b[2J\n")
