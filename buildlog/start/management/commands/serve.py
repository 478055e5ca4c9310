"""`manage.py serve`: prepare what is needed, run web server and background worker, end both."""

from __future__ import annotations

import http.client
import logging
import os
import signal
import threading
import time
from argparse import ArgumentParser
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from django.conf import settings
from django.core.management import call_command, get_commands
from django.core.management.base import BaseCommand, CommandError
from django.db import connections
from django.utils import timezone

from buildlog.background import queueing, running
from buildlog.background.jobs import sweep_jobs
from buildlog.background.models import Job
from buildlog.door.first import open_first_link
from buildlog.start import addresses, commands, prepare
from buildlog.start.checks import OURS
from buildlog.start.children import Child, end_all
from buildlog.start.lifeline import VARIABLE
from buildlog.start.lock import AlreadyRunning, DataFolderLock

logger = logging.getLogger(__name__)

PATIENCE = 5.0  # seconds that web server and worker get to end by themselves
READY_WITHIN = 120.0


@contextmanager
def whatever_happens(failure: str) -> Iterator[None]:
    """Go on although database or broker are away: we are here when they come back."""
    try:
        yield
    except Exception:
        logger.exception(failure)
    finally:
        connections.close_all()


class Command(BaseCommand):
    help = "Run the program: web server and background worker, until Ctrl-C."
    # Of the system checks only those of settings: the others are about code, and load all of it.
    requires_system_checks = [OURS]

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--host",
            default="127.0.0.1",
            help="address to listen at (0.0.0.0: all); %(default)s if nothing is said",
        )
        parser.add_argument(
            "--port",
            type=int,
            default=8000,
            help="port (0: one that is free); %(default)s if nothing is said",
        )
        parser.add_argument("--demo", action="store_true", help="load the invented build first")

    def handle(self, *, host: str, port: int, demo: bool, **options: Any) -> None:
        self.stop = threading.Event()
        for number in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP):
            signal.signal(number, lambda *_: self.stop.set())
        prepare.prepare_folder(settings.DATA_DIR)
        lock = DataFolderLock(settings.DATA_DIR)
        try:
            lock.take()
            port = self.port_to_use(host, port, patient=lock.after_a_crash)
        except (AlreadyRunning, addresses.CannotListen) as reason:
            raise CommandError(str(reason)) from None
        address = f"http://{self.name_of(host)}:{port}/"
        lock.write(pid=os.getpid(), address=address)
        try:
            self.prepare(demo)
            self.run(self.children(host, port, lock), host, port, address)
        finally:
            lock.release()

    def port_to_use(self, host: str, port: int, *, patient: bool) -> int:
        """After a crash, what was left behind may hold the port for a moment longer."""
        until = time.monotonic() + (5 if patient else 0)
        while True:
            try:
                return addresses.free_port(host, port)
            except addresses.CannotListen:
                if time.monotonic() > until or self.stop.wait(0.1):
                    raise

    def prepare(self, demo: bool) -> None:
        if kept := prepare.prepare_database(timezone.localtime()):
            self.say(f"The tables were brought up to date. The rows as they were: {kept}")
        prepare.prepare_static_files()
        prepare.prepare_broker()
        if demo:
            if "load_demo" not in get_commands():
                raise CommandError("This copy of the program has no demo in it.")
            call_command("load_demo", stdout=self.stdout, stderr=self.stderr)
        self.let_all_go()
        self.first_token = open_first_link()
        connections.close_all()

    def let_all_go(self) -> None:
        """Nobody works now: the jobs of a worker that was killed need not wait for their lease."""
        if settings.EMBEDDED_BROKER:  # else other machines may have workers too
            with whatever_happens("Jobs were not given back."):
                running.let_all_go()
                if Job.objects.due(timezone.now()).exists():
                    queueing.wake()

    def anything_being_done(self) -> bool:
        with whatever_happens("It is not known whether jobs are being done."):
            return Job.objects.filter(state=Job.State.RUNNING).exists()
        return False

    def children(self, host: str, port: int, lock: DataFolderLock) -> list[Child]:
        environment = os.environ | {VARIABLE: str(lock.path)}
        environment.pop("BUILDLOG_HOSTS_FILE", None)  # read by now
        environment["BUILDLOG_HOSTS"] = ",".join(self.host_names(host))
        web = Child("web server", commands.web_server(host, port), settings.BASE_DIR, environment)
        worker = Child(
            "background worker", commands.background_worker(), settings.BASE_DIR, environment,
            after_death=self.let_all_go, busy=self.anything_being_done,
        )  # fmt: skip
        return [web, worker]

    def host_names(self, host: str) -> list[str]:
        """The names to answer to: those set, and the one that was asked for here."""
        found = addresses.address_in_the_network() if addresses.everywhere(host) else host
        return [*settings.ALLOWED_HOSTS, *([found] if found else [])]

    def name_of(self, host: str) -> str:
        return addresses.in_an_address("127.0.0.1" if addresses.everywhere(host) else host)

    def run(self, children: list[Child], host: str, port: int, address: str) -> None:
        try:
            for child in children:
                child.start()
            self.wait_until_ready(children[0], host, port)
            if not self.stop.is_set():
                self.greet(host, port, address)
            self.tend(children)
        finally:
            self.say("Stopping.")
            end_all(children, PATIENCE)

    def tend(self, children: list[Child]) -> None:
        next_sweep = 0.0
        while not self.stop.wait(0.2):
            for child in children:
                child.tend(self.say)
            if time.monotonic() > next_sweep:
                with whatever_happens("The sweep of background jobs did not work."):
                    sweep_jobs()
                next_sweep = time.monotonic() + settings.JOB_SWEEP_SECONDS

    def wait_until_ready(self, web: Child, host: str, port: int) -> None:
        until = time.monotonic() + READY_WITHIN
        while not self.stop.wait(0.05):
            if not web.runs:
                raise CommandError("The web server did not start. Its last words are above.")
            if time.monotonic() > until:
                raise CommandError(f"The web server did not answer within {READY_WITHIN:.0f} s.")
            asked = http.client.HTTPConnection(
                "127.0.0.1" if addresses.everywhere(host) else host, port, timeout=5
            )
            try:
                asked.request("GET", "/healthz")
                asked.getresponse()
            except (OSError, http.client.HTTPException):
                continue
            finally:
                asked.close()
            return

    def greet(self, host: str, port: int, address: str) -> None:
        self.say(f"Running at {address}   (Ctrl-C stops it; the data is in {settings.DATA_DIR})")
        network = addresses.address_in_the_network() if addresses.everywhere(host) else None
        if network:
            self.say(f"From a phone in the same network: http://{network}:{port}/")
        if self.first_token:
            self.say("Nobody has an account yet. This link makes yours, and works once:")
            self.say(f"  {address}first/{self.first_token}/")

    def say(self, text: str) -> None:
        self.stdout.write(text)
        self.stdout.flush()
