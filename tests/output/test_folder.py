"""A set of files is written whole or not at all, and touches no other file."""

import errno
import json
import os
from pathlib import Path

import pytest

from templates_gen.errors import OutputError, TemplatesGenError
from templates_gen.output import MANIFEST, OutputFolder, name_fault, standing
from templates_gen.output.journal import STAGING
from templates_gen.output.manifest import looks_ours, read_manifest
from tests.output.sets import FORMER, NEW, NOTES, OWNED, contents, everything, write


def test_a_whole_set_replaces_the_former_one_and_leaves_the_builders_own_files(former: Path) -> None:
    assert contents(former) == FORMER | NOTES
    assert write(former, NEW) == []
    assert contents(former) == NEW | NOTES
    assert standing() == f"the new set is whole: 3 files in {former}"


def test_another_job_in_the_folder_leaves_the_set_and_its_entries(former: Path) -> None:
    write(former, {"book.pdf": b"a book"}, owned=["book.pdf"])
    assert contents(former) == FORMER | NOTES | {"book.pdf": b"a book"}
    assert set(read_manifest(former)) == {*FORMER, "book.pdf"}
    write(former, NEW)
    assert contents(former) == NEW | NOTES | {"book.pdf": b"a book"}


def test_the_list_is_the_same_for_the_same_files_and_names_their_drawing(former: Path, tmp_path: Path) -> None:
    files = {"moulds.pdf": b"abc"}
    write(former, files)
    write(tmp_path / "other", files)
    listed = (former / MANIFEST).read_bytes()
    assert listed == (tmp_path / "other" / MANIFEST).read_bytes()
    entry = json.loads(listed)["files"]["moulds.pdf"]
    # the digest of "abc" is the example of FIPS 180-4 for SHA-256
    assert entry["sha256"] == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    assert (entry["bytes"], entry["drawing"]) == (3, "0123abcd")


def test_folders_are_made_and_files_can_be_read_by_others(tmp_path: Path) -> None:
    before = os.umask(0o022)
    try:
        write(tmp_path / "a" / "b", {"moulds.pdf": b""})
    finally:
        os.umask(before)
    assert (tmp_path / "a" / "b" / "moulds.pdf").stat().st_mode & 0o777 == 0o644


def test_a_file_that_the_program_did_not_write_is_refused_by_its_name_and_stays(former: Path) -> None:
    (former / "bevels.pdf").write_bytes(b"the builder's own")
    before = everything(former)
    with pytest.raises(OutputError, match=r"^bevels\.pdf in .* was not written by .*move or rename it"):
        write(former, NEW)
    assert everything(former) == before


def test_a_file_that_is_not_ours_is_refused_before_the_work_begins(former: Path) -> None:
    folder = OutputFolder(former, OWNED)
    folder.refuse_foreign([*FORMER, "new.pdf"])
    (former / "strakes.pdf").write_bytes(FORMER["strakes.pdf"].swapcase())
    before = everything(former)
    with pytest.raises(OutputError, match=r"^strakes\.pdf in .* was not written by"):
        folder.refuse_foreign(FORMER)
    folder.refuse_foreign(["moulds.pdf", "new.pdf"])
    assert everything(former) == before


def test_a_file_that_was_changed_since_is_refused_and_stays(former: Path) -> None:
    (former / "moulds.pdf").write_bytes(FORMER["moulds.pdf"] + b" with notes")
    (former / "strakes.pdf").write_bytes(FORMER["strakes.pdf"].swapcase())  # of the same size
    before = everything(former)
    with pytest.raises(OutputError, match=r"^moulds\.pdf, strakes\.pdf in .* were not written .*changed afterwards"):
        write(former, NEW)
    assert everything(former) == before


def test_a_leftover_that_is_not_ours_stays_and_the_builder_hears_of_it(former: Path) -> None:
    (former / "transom.pdf").write_bytes(b"with notes")
    messages = write(former, NEW)
    assert (former / "transom.pdf").read_bytes() == b"with notes"
    (line,) = messages
    assert f"{former}/transom.pdf has been changed since templates-gen wrote it: it was left as it is" in line
    assert "transom.pdf" not in read_manifest(former)
    with pytest.raises(OutputError, match=r"^transom\.pdf in"):
        write(former, FORMER)


def test_of_many_foreign_files_a_few_are_named(tmp_path: Path) -> None:
    names = [f"stock-{number}.dxf" for number in range(1, 13)]
    for name in names:
        (tmp_path / name).write_bytes(b"own")
    with pytest.raises(OutputError, match=r"stock-5\.dxf and 7 more in .* move or rename them"):
        write(tmp_path, dict.fromkeys(names, b"new"), owned=names)


def test_a_folder_or_a_link_of_that_name_is_foreign(former: Path, tmp_path: Path) -> None:
    elsewhere = tmp_path / "elsewhere.pdf"
    elsewhere.write_bytes(b"precious")
    (former / "bevels.pdf").symlink_to(elsewhere)
    with pytest.raises(OutputError, match=r"bevels\.pdf in .* was not written by"):
        write(former, NEW)
    assert elsewhere.read_bytes() == b"precious"
    (former / "bevels.pdf").unlink()
    (former / "bevels.pdf").mkdir()
    with pytest.raises(OutputError, match=r"bevels\.pdf in .* was not written by"):
        write(former, NEW)
    write(former, FORMER)
    assert (former / "bevels.pdf").is_dir()


@pytest.mark.parametrize(
    "data", [b"", b"[]", b"{}", b'{"format": 1}', b"\xff", b'{"format": 1, "files": {"a": 3}}', b"[" * 100_000]
)
def test_a_damaged_list_is_an_error_that_names_the_cure(former: Path, data: bytes) -> None:
    (former / MANIFEST).write_bytes(data)
    before = everything(former)
    with pytest.raises(OutputError, match=rf"{MANIFEST} is damaged.*; delete it, or give another --out"):
        write(former, NEW)
    assert everything(former) == before


def test_a_list_of_a_later_version_is_refused(former: Path) -> None:
    (former / MANIFEST).write_bytes(b'{"format": 2, "files": {}}')
    with pytest.raises(OutputError, match="later version"):
        write(former, NEW)


def test_no_entry_of_a_list_leads_out_of_the_folder(former: Path, tmp_path: Path) -> None:
    (tmp_path / "precious.txt").write_bytes(b"precious")
    listed = json.loads((former / MANIFEST).read_bytes())
    listed["files"]["../precious.txt"] = listed["files"]["moulds.pdf"]
    (former / MANIFEST).write_text(json.dumps(listed))
    write(former, NEW)
    assert (tmp_path / "precious.txt").read_bytes() == b"precious"


def test_marks_of_other_programs_files_are_not_ours() -> None:
    pdf = b"%PDF-1.7\n/Creator (templates-gen)\n/Producer (ReportLab PDF Library - x)\n%%EOF\n"
    assert looks_ours(".pdf", pdf)
    assert not looks_ours(".pdf", pdf + b"notes\n%%EOF\n")  # an update appended to it, ISO 32000-1, 7.5.6
    assert not looks_ours(".pdf", pdf.replace(b"templates-gen", b"another"))
    assert not looks_ours(".txt", pdf)
    assert not looks_ours(".json", b'{"format": 1}')
    assert not looks_ours(".json", b'{"hull":')
    assert not looks_ours(".dxf", b"0\nSECTION\n")


def test_a_file_where_the_folder_should_be_is_named(tmp_path: Path) -> None:
    (tmp_path / "out").write_bytes(b"a letter")
    with pytest.raises(OutputError, match=r"cannot write to the folder .*out: this is not a folder"):
        write(tmp_path / "out", NEW)
    with pytest.raises(OutputError, match="not a directory"):
        write(tmp_path / "out" / "below", NEW)
    assert everything(tmp_path) == {"out": b"a letter"}


def test_a_folder_that_cannot_be_written_to_is_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    # a simulated refusal: the tests may run with rights that no folder refuses
    def refuse(*_: object) -> None:
        raise OSError(errno.EACCES, os.strerror(errno.EACCES))

    monkeypatch.setattr(os, "mkdir", refuse)
    with pytest.raises(OutputError, match=r"cannot write to the folder .*out: permission denied") as caught:
        write(tmp_path / "new" / "out", NEW)
    assert isinstance(caught.value, TemplatesGenError)
    assert isinstance(caught.value, OSError)
    assert os.listdir(tmp_path) == []


def test_a_folder_with_an_impossible_name_is_refused() -> None:
    with pytest.raises(OutputError, match="null byte"):
        write(Path("out\0"), NEW)


def test_a_hidden_folder_that_is_a_link_is_not_followed(former: Path, tmp_path: Path) -> None:
    (tmp_path / "elsewhere" / "new").mkdir(parents=True)
    (former / STAGING).symlink_to(tmp_path / "elsewhere")
    with pytest.raises(OutputError, match="is a link; remove it"):
        write(former, NEW)
    assert (tmp_path / "elsewhere" / "new").is_dir()


@pytest.mark.parametrize(
    "name",
    ["", ".", "..", "../moulds.pdf", "a/b.pdf", "a\\b.pdf", "/etc/passwd", ".hidden", "a b.pdf", "Łódź.pdf",
     "new\nline.pdf", "con", "NUL.pdf", "Com1.dxf", "a" * 57 + ".pdf", "moulds.",
     "moulds.pdf\n", "c:moulds.pdf", "nul\0l"],
)  # fmt: skip
def test_a_name_that_is_not_safe_everywhere_is_refused(tmp_path: Path, name: str) -> None:
    assert name_fault(name)
    with pytest.raises(OutputError, match="cannot write a file named"):
        write(tmp_path / "out", {name: b""})
    assert os.listdir(tmp_path) == []


@pytest.mark.parametrize("name", ["moulds.pdf", "tiles.json", "strake-4_net.dxf", "a" * 56 + ".pdf", "console.pdf"])
def test_a_plain_name_is_accepted(name: str) -> None:
    assert name_fault(name) == ""


def test_two_files_whose_names_differ_only_in_case_are_refused(tmp_path: Path) -> None:
    with pytest.raises(OutputError, match="twice"):
        write(tmp_path, {"moulds.pdf": b"", "Moulds.pdf": b""})
    assert os.listdir(tmp_path) == []
