"""The wheel holds the whole tool and only the tool."""

from __future__ import annotations

import configparser
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

from tests.house.tree import SHIPPED, TOP, files


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> zipfile.ZipFile:
    """The wheel, built from this tree with what is installed here."""
    folder = tmp_path_factory.mktemp("wheel")
    words = ["--wheel", "--no-isolation", "--skip-dependency-check", "--outdir", str(folder), str(TOP)]
    done = subprocess.run([sys.executable, "-m", "build", *words], check=False, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr + done.stdout
    (path,) = folder.glob("*.whl")
    return zipfile.ZipFile(path)


def test_the_wheel_has_every_file_of_the_tool(wheel: zipfile.ZipFile) -> None:
    ours = {path.as_posix() for path in files() if path.parts[0] in SHIPPED}

    assert ours - set(wheel.namelist()) == set()


def test_the_wheel_has_nothing_beside_the_tool(wheel: zipfile.ZipFile) -> None:
    rooms = {Path(name).parts[0] for name in wheel.namelist()}

    assert {room for room in rooms if not room.endswith(".dist-info")} == set(SHIPPED)


def test_the_wheel_brings_the_command_and_the_demo_studio(wheel: zipfile.ZipFile) -> None:
    (name,) = [name for name in wheel.namelist() if name.endswith("entry_points.txt")]
    points = configparser.ConfigParser()

    points.read_string(wheel.read(name).decode())

    assert dict(points["console_scripts"]) == {"footring": "tracker.cli:main"}
    assert dict(points["footring.demo"]) == {"studio": "demo_seed.play:play"}
