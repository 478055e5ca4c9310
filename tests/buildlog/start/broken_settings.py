"""Settings with which the commands run, but not the web server."""

import sys

from buildlog.settings import *  # noqa: F403

if "granian" in sys.argv[0] or "granian" in " ".join(sys.orig_argv):
    raise RuntimeError("broken on purpose")
