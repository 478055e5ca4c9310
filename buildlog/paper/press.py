"""Setting sheets of paper, in a process of its own: what setting takes of memory goes with it.

`python -m buildlog.paper.press` reads what is to be printed as JSON and writes the PDF.
"""

from __future__ import annotations

import json
import subprocess
import sys
import threading
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path

__all__ = ["CannotPrint", "Printed", "SheetOfPaper", "print_sheets"]

TEMPLATE = Path(__file__).with_name("sheets.typ")
ROOT = Path(__file__).parents[2]
#: Seconds that setting may take; a plan of 500 tasks takes a few.
PATIENCE = 60
#: So many at a time, for each takes hundreds of megabytes while it lasts.
_presses = threading.BoundedSemaphore(2)


class CannotPrint(Exception):
    """The sheets could not be set; the message is for the log."""


@dataclass(frozen=True, slots=True)
class SheetOfPaper:
    """One drawing, inked, of a width and height in the same unit; what it says to someone who
    does not see it, and which part of the whole it is."""

    svg: str
    width: float
    height: float
    alt: str
    part: str = ""


@dataclass(frozen=True, slots=True)
class Printed:
    """What stands on every sheet: the fields of ISO 7200 in plain words.

    `paper` is a4 or a3, laid on its long side. `number` tells the drawing from others of the
    build; `by` is who it was drawn for; `note` stands above the title block.
    """

    paper: str
    build: str
    title: str
    number: str
    date: str
    revision: str
    by: str
    note: str


def print_sheets(printed: Printed, sheets: Sequence[SheetOfPaper]) -> bytes:
    """Set the sheets as a PDF.

    Raises
    ------
    CannotPrint
        If setting fails or takes too long.
    ValueError
        If there are no sheets.
    """
    if not sheets:
        raise ValueError("there is nothing to print")
    given = json.dumps(asdict(printed) | {"sheets": [asdict(one) for one in sheets]})
    with _presses:
        try:
            done = subprocess.run(
                [sys.executable, "-m", "buildlog.paper.press"],
                input=given.encode(),
                capture_output=True,
                timeout=PATIENCE,
                check=True,
                cwd=ROOT,
            )
        except subprocess.TimeoutExpired as late:
            raise CannotPrint(f"setting took more than {PATIENCE} s") from late
        except subprocess.CalledProcessError as failed:
            raise CannotPrint(failed.stderr.decode(errors="replace")[-2000:]) from failed
    return done.stdout


def set_sheets(data: Mapping[str, object]) -> bytes:
    """Set them in this process."""
    import typst  # takes its time, and is wanted in the child only

    pdf = typst.compile(
        str(TEMPLATE),
        root=str(TEMPLATE.parent),
        sys_inputs={"data": json.dumps(data)},
        format="pdf",
        pdf_standards="ua-1",
    )
    if not isinstance(pdf, bytes):
        raise CannotPrint("no PDF came out")
    return pdf


if __name__ == "__main__":
    sys.stdout.buffer.write(set_sheets(json.load(sys.stdin.buffer)))
