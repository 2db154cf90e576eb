"""Writing all results or none."""

from __future__ import annotations

import pytest

from drafting.errors import OutputError
from drafting.files import write_files


def test_bytes_and_text_arrive_as_they_are(tmp_path):
    paths = write_files(tmp_path / "a" / "b", {"fit.json": '{"ease": "½ in"}', "front.png": b"\x89PNG\r\n"})
    assert [path.name for path in paths] == ["fit.json", "front.png"]
    assert paths[0].read_text(encoding="utf-8") == '{"ease": "½ in"}'
    assert paths[1].read_bytes() == b"\x89PNG\r\n"
    assert sorted(p.name for p in paths[0].parent.iterdir()) == ["fit.json", "front.png"]


def test_former_results_are_replaced_and_others_kept(tmp_path):
    (tmp_path / "fit.json").write_text("old")
    (tmp_path / "mine.txt").write_text("mine")
    write_files(tmp_path, {"fit.json": "new"})
    assert (tmp_path / "fit.json").read_text() == "new"
    assert (tmp_path / "mine.txt").read_text() == "mine"


def test_a_folder_that_is_a_file_is_one_clear_line(tmp_path):
    (tmp_path / "taken").write_text("a file")
    with pytest.raises(OutputError, match=r"Cannot write into .*taken/out.*another folder") as told:
        write_files(tmp_path / "taken" / "out", {"fit.json": "{}"})
    assert told.value.about == ("out",)
    with pytest.raises(OutputError, match="Cannot write into"):
        write_files(tmp_path / "taken", {"fit.json": "{}"})
    assert (tmp_path / "taken").read_text() == "a file"


def test_a_place_that_nobody_may_write(tmp_path):
    with pytest.raises(OutputError, match="Cannot write into"):
        write_files("/proc/toile/out", {"fit.json": "{}"})


def test_a_failure_halfway_leaves_everything_as_it_was(tmp_path):
    (tmp_path / "fit.json").write_text("old")
    (tmp_path / "report.html").mkdir()
    with pytest.raises(OutputError, match=r"report\.html is a folder"):
        write_files(tmp_path, {"fit.json": "new", "more.json": "new", "report.html": "new"})
    assert (tmp_path / "fit.json").read_text() == "old"
    assert sorted(p.name for p in tmp_path.iterdir()) == ["fit.json", "report.html"]


@pytest.mark.parametrize("name", ["", "../fit.json", "a/fit.json", ".."])
def test_only_plain_names(tmp_path, name):
    with pytest.raises(OutputError, match="plain file name"):
        write_files(tmp_path / "new", {name: "x"})
    assert not (tmp_path / "new").exists()
