"""Reading settings from the environment: typed, checked, and no word of ours unknown."""

from __future__ import annotations

import difflib
from collections.abc import Iterable

import environ
from django.core.exceptions import ImproperlyConfigured

PREFIX = "BUILDLOG_"


class Words:
    """Reads settings and remembers their names, so that a mistyped one can be refused."""

    def __init__(self, env: environ.Env) -> None:
        self.env = env
        self.names: set[str] = set()

    def text(self, name: str, default: str = "") -> str:
        """The setting as text; `NAME_FILE` may name a file that holds it, as secrets are given."""
        self.names |= {name, f"{name}_FILE"}
        path = self.env.str(f"{name}_FILE", "")
        if not path:
            return str(self.env.str(name, default))
        try:
            with open(path, encoding="utf-8") as held:
                return str(held.read()).strip()
        except OSError as reason:
            raise ImproperlyConfigured(f"{name}_FILE: {reason}") from None

    def one_of(self, name: str, default: str, allowed: tuple[str, ...]) -> str:
        word = self.text(name, default)
        if word not in allowed:
            raise ImproperlyConfigured(f"{name} is “{word}”; it must be {' or '.join(allowed)}.")
        return word

    def yes(self, name: str, default: str = "no") -> bool:
        return self.one_of(name, default, ("yes", "no")) == "yes"

    def number(self, name: str, default: int, *, least: int, most: int) -> int:
        word = self.text(name, str(default))
        if not word.isdecimal() or not least <= int(word) <= most:
            raise ImproperlyConfigured(
                f"{name} is “{word}”; it must be a whole number from {least} to {most}."
            )
        return int(word)

    def several(self, name: str, default: list[str]) -> list[str]:
        text = self.text(name, ",".join(default))
        return [word.strip() for word in text.split(",") if word.strip()]

    def refuse_unknown(self, given: Iterable[str]) -> None:
        """Stop the start on a variable that looks like a setting of ours and is none."""
        for name in sorted(given):
            if not name.startswith(PREFIX) or name in self.names:
                continue
            ours = [known.removeprefix(PREFIX) for known in self.names]
            near = difflib.get_close_matches(name.removeprefix(PREFIX), ours, n=1)
            hint = f" Did you mean {PREFIX}{near[0]}?" if near else ""
            raise ImproperlyConfigured(f"There is no setting {name}.{hint}")
