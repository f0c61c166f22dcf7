from __future__ import annotations

import sys
from functools import cache

import pytest

from evenbead.toolpath import kernels
from machine_code_files import program


def test_without_numba_the_kernels_run_as_they_stand(monkeypatch):
    monkeypatch.setitem(sys.modules, "numba", None)
    monkeypatch.setattr(kernels, "compiled", kernels.compiled.__wrapped__)

    assert kernels.compiled() is None


def test_a_large_file_is_read_without_numba_too(monkeypatch):
    monkeypatch.setattr(kernels, "PAYS_FROM", 1)
    monkeypatch.setattr(kernels, "PAYS_AT_HAND_FROM", 1)
    missing = cache(lambda: None)
    monkeypatch.setattr(kernels, "compiled", missing)

    assert len(program("G1 X1 F60\n")) == 1
    assert missing.cache_info().misses == 1


def test_kernels_whose_files_numba_cannot_read_are_compiled_all_the_same(monkeypatch):
    numba = pytest.importorskip("numba")
    asked = []

    def jit(kernel, *, cache):
        asked.append(cache)
        if cache:
            raise OSError(28, "No space left on device")
        return (lambda *_: (3, 0)) if kernel.__name__ == "scan" else (lambda *_: 0)

    monkeypatch.setattr(numba, "njit", jit)
    made = kernels.compiled.__wrapped__()

    assert asked == [True, False, False]
    assert made is not None


def test_a_compiled_kernel_is_named_by_the_text_of_both():
    scan, interpret = (
        kernels._named_by_source(kernel) for kernel in (kernels.words.scan, kernels.interpreter.interpret)
    )

    assert scan.__qualname__.split("_")[1] == interpret.__qualname__.split("_")[1]
    assert scan.__code__ is kernels.words.scan.__code__


@pytest.mark.parametrize("lines", [1, 100_000])
def test_rows_put_away_many_times_are_one_path(lines):
    text = "G21 G91 F600 G1\n" + "X1\nY1\nX-1\nY-1\n" * lines
    if lines > 1:
        text += "G2 I5\n"
    read = program(text)

    assert read.length[: 4 * lines].sum() == pytest.approx(0.004 * lines)
    assert read.line[4 * lines - 1] == 4 * lines + 1
    assert (read.x[4 * lines], read.y[4 * lines]) == pytest.approx((0, 0), abs=1e-12)
