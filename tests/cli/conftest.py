"""What the tests of the command line share: a case on disk, and the entry point run in this process."""

import sys

import pytest

import invented_site as site
from evenbead import cli


@pytest.fixture
def run(monkeypatch, capsys):
    """A command in this process, through the same entry point: status, standard output, standard error."""

    def running(*words):
        monkeypatch.setattr(sys, "argv", ["evenbead", *map(str, words)])
        # Whoever runs these tests as a module would be named in the usage.
        monkeypatch.setattr(sys.modules["__main__"], "__package__", None, raising=False)
        status = 0
        try:
            cli.run()
        except SystemExit as end:
            status = end.code or 0
        out, err = capsys.readouterr()
        return status, out, err

    return running


@pytest.fixture
def refusal(run):
    """The lines of a refusal, after holding that it is one: status 2, nothing on standard output, no traceback."""

    def refusing(*words):
        status, out, err = run(*words)
        assert status == 2
        assert out == ""
        assert "Traceback" not in err
        assert err.endswith("\n")
        return err.splitlines()

    return refusing


@pytest.fixture
def job(tmp_path):
    return site.write_case(tmp_path, station=site.SOUND_STATION, mortar=site.SOUND_TWO_PART)
