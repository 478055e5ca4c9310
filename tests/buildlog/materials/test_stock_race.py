"""Several clicks at the same moment, each from a thread of its own, on a database file."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[3]

SCRIPT = """
import datetime as dt, json, threading
from decimal import Decimal
import django
django.setup()
from django.core.management import call_command
from django.db import connection
call_command("migrate", verbosity=0)
from buildlog.materials.models import Material, StockMove
from buildlog.materials.stock import count_stock, move_stock, stock_of, take_back
from tasks.models import Build

build = Build.objects.create(name="Race", slug="race")
ply = Material.objects.create(build=build, name="Ply", kind="sheet", unit="sheet")
day, failed = dt.date(2026, 3, 7), []

def all_at_once(clicks):
    gate = threading.Barrier(len(clicks))

    def click(do):
        gate.wait()
        try:
            do()
        except Exception as error:
            failed.append(repr(error))
        finally:
            connection.close()

    threads = [threading.Thread(target=click, args=[one]) for one in clicks]
    [thread.start() for thread in threads]
    [thread.join() for thread in threads]

def use(key):
    move = StockMove(build=build, material=ply, day=day, kind="used", key=key)
    return lambda: move_stock(move, Decimal(3))

all_at_once([use("same") for _ in range(6)])
after_double = StockMove.objects.count()
all_at_once([lambda: count_stock(ply, Decimal(10), day, None, key="count")] * 6)
after_count = StockMove.objects.count(), str(stock_of(build)[ply.pk])
all_at_once([lambda: count_stock(ply, Decimal(8), day, None) for _ in range(6)])
counted_by_six = str(stock_of(build)[ply.pk])
wrong = move_stock(StockMove(build=build, material=ply, day=day, kind="used"), Decimal(5))
all_at_once([lambda: take_back(wrong, day, None)] * 6)
taken_back = StockMove.objects.filter(corrects=wrong).count(), str(stock_of(build)[ply.pk])
print(json.dumps([after_double, after_count, counted_by_six, taken_back, failed]))
"""


def test_clicks_at_the_same_moment_move_the_stock_once(tmp_path):
    result = subprocess.run(
        [sys.executable, "-c", SCRIPT],
        env={name: value for name, value in os.environ.items() if name != "DATABASE_URL"}
        | {
            "DJANGO_SETTINGS_MODULE": "buildlog.settings",
            "BUILDLOG_DATA": str(tmp_path),
            "PYTHONPATH": str(ROOT),
        },
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert result.returncode == 0, result.stderr
    double, counted, six, back, failed = json.loads(result.stdout)
    assert failed == []
    assert double == 1
    assert counted == [2, "10"]
    assert six == "8"  # whoever counts sees the rows of the others
    assert back == [1, "8"]
