"""The wheels of a kit: the program itself, and what it needs, for each system and Python wanted."""

from __future__ import annotations

import base64
import hashlib
import importlib.util
import re
import subprocess
import sys
import zipfile
from collections.abc import Iterator, Sequence
from importlib.metadata import Distribution, PackageNotFoundError, distribution
from pathlib import Path

import advisor
from advisor.errors import InputError, install_command
from advisor.words import tr

NAME = "goldroom-advisor"
_LINUX = ("manylinux2014_{0}", "manylinux_2_17_{0}", "manylinux_2_28_{0}")
SYSTEMS = {
    "windows": ("win_amd64",),
    "linux": tuple(tag.format("x86_64") for tag in _LINUX),
    "linux-arm": tuple(tag.format("aarch64") for tag in _LINUX),
    "mac": ("macosx_11_0_arm64", "macosx_12_0_arm64", "macosx_13_0_arm64"),
    "mac-intel": ("macosx_10_9_x86_64", "macosx_10_12_x86_64", "macosx_10_13_x86_64"),
}
"""Systems that a kit can be made for, with the names that wheels have for them."""
_NOT_PACKED = ("INSTALLER", "REQUESTED", "RECORD", "direct_url.json")
_FOR_WINDOWS = re.compile(r"Windows|win32")


def gather(folder: Path, own: Path, systems: Sequence[str], pythons: Sequence[str]) -> None:
    """Put the wheel of the program and those of all that it needs into a folder.

    Args:
        folder: Where they go; it exists.
        own: The wheel of the program.
        systems: Of ``SYSTEMS``; without one the system that this runs on.
        pythons: Versions such as ``3.12``; without one the version that this runs on.

    Raises:
        InputError: If pip is missing, or what is needed could not be fetched.
    """
    for system in systems or ("",):
        for python in pythons or ("",):
            chosen = _chosen(system, python)
            _pip("download", "--dest", str(folder), *chosen, str(own))
            if system == "windows" and (more := sorted(set(_windows_only(folder)))):
                _pip("download", "--dest", str(folder), *chosen, *more)


def own_wheel(folder: Path) -> Path:
    """The wheel of the program: built where it runs from a checkout, else packed again from what is installed.

    Raises:
        InputError: If it could not be built.
    """
    root = Path(advisor.__file__).resolve().parent.parent
    if (root / "pyproject.toml").is_file():
        _pip("wheel", "--no-deps", "--wheel-dir", str(folder), str(root))
        return next(folder.glob(f"{NAME.replace('-', '_')}-*.whl"))
    try:
        return _packed(distribution(NAME), folder)
    except PackageNotFoundError:
        raise InputError(tr("what is installed of {name} is not whole; install it again", name=NAME)) from None


def _packed(installed: Distribution, folder: Path) -> Path:
    """A wheel of the installed files: a zip of them with a list of their checksums, as the wheel format has it."""
    files = {file.as_posix(): file for file in installed.files or () if _belongs(file.parts)}
    record = next(name for name in files if name.endswith(".dist-info/METADATA")).replace("METADATA", "RECORD")
    wheel = folder / f"{NAME.replace('-', '_')}-{installed.version}-py3-none-any.whl"
    lines = []
    with zipfile.ZipFile(wheel, "w", zipfile.ZIP_DEFLATED) as packed:
        for name in sorted(files):
            content = files[name].read_binary()
            digest = base64.urlsafe_b64encode(hashlib.sha256(content).digest()).rstrip(b"=").decode()
            lines.append(f"{name},sha256={digest},{len(content)}\n")
            packed.writestr(name, content)
        packed.writestr(record, "".join([*lines, f"{record},,\n"]))
    return wheel


def _belongs(parts: tuple[str, ...]) -> bool:
    """Whether an installed file came from the wheel: not the command, nor what Python and pip made there."""
    return ".." not in parts and "__pycache__" not in parts and parts[-1] not in _NOT_PACKED


def _chosen(system: str, python: str) -> list[str]:
    """What pip is told of a system and a Python; both are empty where they are its own.

    For others it takes nothing that would have to be built.
    """
    tags = [f"--platform={tag}" for tag in SYSTEMS[system]] if system else []
    version = [f"--python-version={python}"] if python else []
    return ["--only-binary=:all:", *tags, *version] if tags or version else []


def _windows_only(folder: Path) -> Iterator[str]:
    """What wheels need on Windows alone; pip looks at the conditions of the system that it runs on."""
    for wheel in folder.glob("*.whl"):
        with zipfile.ZipFile(wheel) as packed:
            metadata = next(name for name in packed.namelist() if name.endswith(".dist-info/METADATA"))
            text = "\n".join(packed.read(metadata).decode("utf-8").splitlines())
        for needed, _, condition in re.findall(r"^Requires-Dist: ([^;\n]+)(; *(.+))?$", text, re.MULTILINE):
            if _FOR_WINDOWS.search(condition) and not re.search("extra|!=", condition):
                yield re.sub(r"[ ()]", "", needed)


def _pip(*words: str) -> None:
    """Run pip.

    Raises:
        InputError: If it is missing, or could not do it, with the last thing that it said.
    """
    if importlib.util.find_spec("pip") is None:
        raise InputError(
            tr(
                "this Python has no pip, which fetches the wheels; get it with  {install_command}",
                install_command=install_command("pip"),
            )
        )
    command = [sys.executable, "-m", "pip", "--quiet", "--disable-pip-version-check", *words]
    done = subprocess.run(command, capture_output=True, text=True, errors="replace", check=False)
    if done.returncode:
        said = [line.removeprefix("ERROR: ") for line in done.stderr.splitlines() if line.startswith("ERROR: ")]
        reason = said[-1] if said else tr("pip gives no reason")
        raise InputError(
            tr("the wheels could not be fetched ({reason}); see that there is a network, and try again", reason=reason)
        )
