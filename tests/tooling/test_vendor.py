"""What others made is here unchanged, or changed as the page beside it says."""

import hashlib
import importlib.util
import shutil
import sys
import tarfile
from pathlib import Path
from types import ModuleType

import pytest

ROOT = Path(__file__).resolve().parents[2]
SCRIPT = ROOT / "static" / "vendor" / "vendor.py"


def _loaded(name: str, path: Path) -> ModuleType:
    spec = importlib.util.spec_from_file_location(name, path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    before, sys.dont_write_bytecode = sys.dont_write_bytecode, True  # the folder is served
    spec.loader.exec_module(module)
    sys.dont_write_bytecode = before
    return module


@pytest.fixture(scope="module")
def vendor() -> ModuleType:
    return _loaded("vendor", SCRIPT)


@pytest.fixture
def copy(vendor: ModuleType, tmp_path: Path) -> Path:
    """The vendored files in a folder of their own."""
    for target in vendor.recorded(vendor.TABLE.read_text(encoding="utf-8")):
        (tmp_path / target).parent.mkdir(parents=True, exist_ok=True)
        shutil.copy(ROOT / target, tmp_path / target)
    return tmp_path


def test_every_file_is_as_the_table_says(vendor: ModuleType) -> None:
    assert vendor.main(["--check", "--offline"]) == 0


def test_the_hash_is_that_of_the_standard_library(vendor: ModuleType) -> None:
    target, expected = next(iter(vendor.recorded(vendor.TABLE.read_text()).items()))
    assert hashlib.sha256((ROOT / target).read_bytes()).hexdigest() == expected


def test_a_changed_and_a_missing_file_are_found(vendor: ModuleType, copy: Path) -> None:
    table = vendor.TABLE.read_text(encoding="utf-8")
    assert vendor.compare(copy, table) == []
    with (copy / "static/vendor/htmx/htmx.min.js").open("ab") as file:
        file.write(b" ")
    (copy / "tests/vendor/axe/axe.min.js").unlink()
    assert vendor.compare(copy, table) == [
        "static/vendor/htmx/htmx.min.js: SHA-256 differs from the table of VENDOR.md",
        "tests/vendor/axe/axe.min.js: missing",
    ]


def test_a_file_that_the_table_does_not_know_is_found(vendor: ModuleType, copy: Path) -> None:
    lines = vendor.TABLE.read_text(encoding="utf-8").splitlines()
    table = "\n".join(line for line in lines if "micropython.wasm |" not in line)
    assert vendor.compare(copy, table) == [
        "static/vendor/micropython/micropython.wasm: not in the table of VENDOR.md"
    ]


def test_nothing_lies_in_the_vendor_folders_that_the_table_does_not_name(
    vendor: ModuleType,
) -> None:
    known = set(vendor.recorded(vendor.TABLE.read_text(encoding="utf-8")))
    for folder in ("static/vendor", "tests/vendor"):
        for path in (ROOT / folder).rglob("*"):
            name = path.relative_to(ROOT).as_posix()
            own = path.name in ("VENDOR.md", "vendor.py") or "__pycache__" in name
            assert own or path.is_dir() or name in known, name


def test_every_package_has_its_licence_beside_it(vendor: ModuleType) -> None:
    for package in vendor.PACKAGES:
        folder = (ROOT / package.files[0][1]).parent
        assert (folder / "LICENSE.txt").stat().st_size > 500


def test_another_archive_under_the_same_name_is_refused(
    vendor: ModuleType, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with tarfile.open(tmp_path / "htmx.org-2.0.11.tgz", "w:gz"):
        pass
    assert vendor.main(["--check", "--from", str(tmp_path)]) == 1
    assert "integrity is" in capsys.readouterr().err


def test_the_classic_script_is_no_module() -> None:
    build = _loaded("build", SCRIPT.parent / "micropython" / "build.py")
    module = (
        "async function a(){}export default _createMicroPythonModule;"
        "export async function loadMicroPython(options){}"
        "u=import.meta.url;v=import.meta.url;w=import.meta.url"
    )
    text = build.classic(module)
    assert "export" not in text
    assert "import.meta" not in text
    assert text.count("self.location.href") == 3
    with pytest.raises(build.BuildError, match="found 0"):
        build.classic("something else")
