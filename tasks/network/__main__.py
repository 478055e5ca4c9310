"""`python -m tasks.network FILE`: the dates of a network as JSON.

FILE is a network in our JSON (see `tasks.network.files`), answered by one JSON object, or a
research file (see `tasks.network.research`), answered by one line an instance. `-` is standard
input. A bad file is told on standard error in one line, with exit status 2.
"""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

from tasks.network import research
from tasks.network.critical_path import schedule
from tasks.network.exceptions import BadFile, NetworkError
from tasks.network.files import read_network, write_schedule

__all__ = ["main"]


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command; the exit status is 0, or 2 for a file that has no dates."""
    parser = argparse.ArgumentParser(
        prog="python -m tasks.network", description="Print the dates of a network as JSON."
    )
    parser.add_argument("file", metavar="FILE", help="a network or research file in JSON, or -")
    file = parser.parse_args(arguments).file
    try:
        for line in _answers(_parsed(file)):
            print(line)
    except NetworkError as error:
        print(f"{file}: {error}", file=sys.stderr)
        return 2
    return 0


def _parsed(file: str) -> Any:
    try:
        text = sys.stdin.read() if file == "-" else Path(file).read_text(encoding="utf-8-sig")
    except OSError as error:
        raise BadFile(error.strerror or "cannot be read") from error
    except UnicodeDecodeError as error:
        raise BadFile("is not text in UTF-8") from error
    try:
        return json.loads(text)
    except (ValueError, RecursionError) as error:
        raise BadFile(f"is not JSON: {error}") from error


def _answers(content: Any) -> Iterator[str]:
    if research.is_research(content):
        for instance in research.instances(content):
            length = research.critical_path_length(instance)
            yield json.dumps({"name": instance["name"], "critical_path": length})
    else:
        network = read_network(content)
        plan = schedule(network.tasks, network.links, network.calendar, network.now)
        yield json.dumps(write_schedule(plan, network.calendar.zone), indent=2, ensure_ascii=False)


if __name__ == "__main__":
    sys.exit(main())
