"""No path in a document leaves its folder. In: a name as written. Out: what is wrong with it, or nothing."""

from __future__ import annotations

from pathlib import Path, PurePosixPath, PureWindowsPath

from stockwright.documents.fields import shown

__all__ = ["ELSEWHERE", "elsewhere"]

ELSEWHERE = "copy the file here, or name it on the command line"


def elsewhere(name: str, folder: Path) -> str:
    """Return what is wrong with a file's name in a document of `folder`, or nothing where it lies within."""
    windows = PureWindowsPath(name)
    if PurePosixPath(name).is_absolute() or windows.drive or windows.root or name.startswith("~"):
        return f"got {shown(name)}, expected a path that starts at this file's folder"
    if ".." in windows.parts or not _below(folder / name, folder):
        return f"{shown(name)} leaves this file's folder, expected a path within it"
    return ""


def _below(path: Path, folder: Path) -> bool:
    try:
        return path.resolve().is_relative_to(folder.resolve())
    except (OSError, ValueError, RuntimeError):
        return True  # no such path, or one that no system takes: said when it is read
