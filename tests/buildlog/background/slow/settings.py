"""The program's own settings, and the room with slow work."""

from buildlog.settings import *  # noqa: F403

INSTALLED_APPS += ["tests.buildlog.background.slow.apps.SlowConfig"]  # noqa: F405
