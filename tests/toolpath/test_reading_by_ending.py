"""Which reader a file gets, and what a job tells it."""

import ezdxf
import pytest

import invented_site as site
from evenbead.documents import read_case
from evenbead.errors import InputRefused
from evenbead.toolpath.reading import read_program, toolpath_for


def case_with(tmp_path, name, job=site.JOB):
    return read_case(site.write_case(tmp_path, job=site.changed(job, "bench.gcode", name)))


@pytest.mark.parametrize("name", ["a.gcode", "a.NC", "a.ngc", "a.tap", "a"])
def test_any_other_ending_is_machine_code(tmp_path, name):
    (tmp_path / name).write_text(site.bench_code(), encoding="utf-8")

    assert read_program(tmp_path / name).length.sum() == pytest.approx(6 * 5.6 + 6 * 0.015)


@pytest.mark.parametrize("ending", [".toml", ".PDF", ".stl", ".3mf"])
def test_a_file_that_holds_no_path_is_refused_whatever_is_in_it(tmp_path, ending):
    file = tmp_path / f"a{ending}"
    file.write_text(site.bench_code(), encoding="utf-8")
    with pytest.raises(InputRefused, match="holds no toolpath"):
        read_program(file)


def test_a_drawing_is_repeated_as_the_job_says(tmp_path):
    drawing = ezdxf.new(units=4)
    drawing.modelspace().add_circle((0, 0), 500)
    drawing.saveas(tmp_path / "ring.dxf")
    job = site.changed(site.JOB, 'when = { on = "M7", off = "M9" }\n', 'speed = "100 mm/s"\n')
    case = case_with(tmp_path, "ring.dxf", job)
    with pytest.raises(InputRefused, match=r"\[drawing\]"):
        toolpath_for(case.toolpath, case.job)

    case = case_with(tmp_path, "ring.dxf", f"{job}\n[drawing]\nlayers = 7\n")
    path = toolpath_for(case.toolpath, case.job)
    # seven turns of a circle of 1 m: plane geometry
    assert path.path_length == pytest.approx(7 * 3.141592653589793, rel=1e-9)
    assert path.z.max() == pytest.approx(7 * 0.015)


def test_the_job_says_when_the_bead_is_on(tmp_path):
    code = "G21 G90\nG1 X1000 F6000 E1\nM3\nG1 X2000\nM5\nG1 X3000\n"
    lengths = {}
    for when in ('"extruding"', '"feed moves"', '{ on = "M3", off = "M5" }'):
        job = site.changed(site.JOB, '{ on = "M7", off = "M9" }', when)
        case = read_case(site.write_case(tmp_path, job=job, code=code))
        lengths[when] = toolpath_for(case.toolpath, case.job).path_length

    assert list(lengths.values()) == pytest.approx([1.0, 3.0, 1.0])
