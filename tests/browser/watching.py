"""What a browser complains of while a page is used: errors of scripts, policy, missing files."""

from __future__ import annotations

import re

from playwright.sync_api import BrowserContext, ConsoleMessage, Response


class Watch:
    """Notes every complaint of a context. A test that means to provoke one allows it."""

    def __init__(self, context: BrowserContext) -> None:
        self.found: list[str] = []
        self.allowed: list[str] = []
        context.on("console", self._console)
        context.on("weberror", lambda error: self._note(f"script: {error.error}"))
        context.on("response", self._response)
        context.watch = self  # type: ignore[attr-defined]

    def allow(self, pattern: str) -> None:
        self.allowed.append(pattern)
        self.found = [line for line in self.found if not re.search(pattern, line)]

    def _note(self, line: str) -> None:
        if not any(re.search(pattern, line) for pattern in self.allowed):
            self.found.append(line)

    def _console(self, message: ConsoleMessage) -> None:
        about_status = "the server responded with a status" in message.text
        if message.type in ("error", "warning") and not about_status:
            self._note(f"console: {message.text} ({message.location.get('url', '')})")

    def _response(self, response: Response) -> None:
        """A page may answer 4xx; what it is made of may not. Nothing may answer 5xx."""
        is_part = response.request.resource_type not in ("document", "fetch", "xhr")
        if response.status >= 500 or (response.status >= 400 and is_part):
            self._note(f"{response.status} for {response.url}")
