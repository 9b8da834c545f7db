"""Where the shipped recipes lie. In: nothing. Out: a folder, in an installed wheel or in a checkout."""

from __future__ import annotations

from pathlib import Path

__all__ = ["recipes_folder", "shipped_names"]


def recipes_folder() -> Path:
    """Return the folder of the shipped recipes: package data where installed, `recipes/` in a checkout."""
    package = Path(__file__).parents[1]
    installed = package / "shipped" / "recipes"
    return installed if installed.is_dir() else package.parents[1] / "recipes"


def shipped_names(folder: Path) -> list[str]:
    """Return the names of the recipes in a folder, sorted."""
    return sorted(file.stem for file in folder.glob("*.yaml"))
