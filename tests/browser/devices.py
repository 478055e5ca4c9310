"""The two places where the pages are used: a phone on the bench and a screen on a desk."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True)
class Device:
    name: str
    width: int
    height: int
    is_phone: bool

    @property
    def options(self) -> dict[str, Any]:
        return {
            "viewport": {"width": self.width, "height": self.height},
            "has_touch": self.is_phone,
            "is_mobile": self.is_phone,
            "device_scale_factor": 2 if self.is_phone else 1,
            "locale": "en-GB",
            "timezone_id": "Europe/Paris",
            "reduced_motion": "reduce",
        }


PHONE = Device("phone", 390, 844, True)
DESK = Device("desk", 1280, 850, False)
DEVICES = [PHONE, DESK]
