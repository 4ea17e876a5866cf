"""A figure or all of them as files: a picture as PNG or SVG, and a workbook that works them out."""

from __future__ import annotations

from pathlib import Path

from app.documents.export.workbook import save
from app.errors import Mendable
from app.window.figures.pages import Said
from app.window.paper.charts import picture_file
from app.window.paper.palette import LIGHT

PICTURES = "PNG picture (*.png);;SVG drawing (*.svg)"
_LEGEND = {"solid": "solid", "hatch": "hatched", "line": "line", "dash": "dashed"}


def write_picture(path: Path, one: Said, title: str) -> None:
    """Write one figure with its finding in the colours of paper, by its ending: .png or .svg.

    Another file of that name is moved aside. Raises `Mendable` where it cannot be written.
    """
    kind = path.suffix.casefold().removeprefix(".")
    if kind not in ("png", "svg"):
        raise Mendable(f"{path.name} should end in .png or .svg; give it one of these endings.")
    under = one.subtitle or ", ".join(f"{_LEGEND[mark]}: {words}" for mark, words in one.legend)
    picture = picture_file(one.plot, LIGHT, (one.finding, under, title), kind)
    save(lambda file: file.write(picture), path)
