"""A list's way from the file to the build: taken, looked at, brought in once."""

from __future__ import annotations

from collections.abc import Iterable

from django.core.files.uploadedfile import UploadedFile
from django.db import transaction
from django.utils import timezone

from buildlog.background.models import Job
from buildlog.background.queueing import queue
from buildlog.lists.answers import Answers
from buildlog.lists.bringing import (
    CannotBring,
    counts,
    kind_of,
    look,
    read,
    refuse_unready,
    write,
)
from buildlog.lists.kinds import Bringing, Kind
from buildlog.lists.models import Upload
from buildlog.lists.reading import MOST_BYTES, Refused
from tasks.models import Build, Person

__all__ = ["bring_in", "look_at", "open_job", "replace", "take", "write_looked_at"]

# More rows than this to write take longer than a page should; a worker does it then.
MANY = {"purchases": 150, "materials": 400, "stock": 400, "supporters": 400}
MANY_OTHERS = 4000


def take(
    build: Build, person: Person, file: UploadedFile, kind: Kind | None, allowed: Iterable[Kind]
) -> Upload:
    """Keep a list that was sent; of `kind`, or of the one that its headings belong to.

    What was said about the last list with these headings is taken over.

    Raises
    ------
    Refused
        It cannot be read as a table, or is of no kind in `allowed`.
    """
    content = bytes_of(file)
    answers = Answers()
    kind = kind or kind_of(content, answers)
    if kind not in allowed:
        raise Refused(f"You may not bring in {kind.many} here.")
    upload = Upload(
        build=build,
        person=person,
        kind=kind.key,
        name=(file.name or "list")[:200],
        content=content,
        headings=_headings(content, answers),
    )
    sent = Upload.objects.waiting().filter(build=build, person=person, kind=kind.key)
    if twin := sent.filter(name=upload.name, content=content).first():
        return twin  # a double click, or the same file once more
    last = Upload.objects.like(upload).first()
    if last:
        upload.answers = last.answers.for_the_next()
    Upload.throw_old_away()
    upload.save()
    return upload


def replace(upload: Upload, file: UploadedFile) -> None:
    """Take a corrected file in place of the one there was; what was said about it stays.

    Raises
    ------
    Refused
    """
    content = bytes_of(file)
    headings = _headings(content, upload.answers)
    if headings != upload.headings:
        upload.answers = Answers()  # it was said about other columns
        headings = _headings(content, Answers())
    upload.content, upload.headings = content, headings
    upload.name = (file.name or upload.name)[:200]
    upload.save(update_fields=["content", "headings", "name", "stored_answers", "changed_at"])


def bytes_of(file: UploadedFile) -> bytes:
    if file.size is not None and file.size > MOST_BYTES:
        raise Refused(f"The file is larger than {MOST_BYTES // 1024 // 1024} MB.")
    return file.read()


def _headings(content: bytes, answers: Answers) -> str:
    return "\n".join(read(content, answers).headings)


def look_at(upload: Upload, person: Person) -> Bringing:
    """Read the list and hold it against the build.

    Raises
    ------
    Refused
    """
    return look(upload.build, person, upload.of, bytes(upload.content), upload.answers)


def signature(bringing: Bringing) -> str:
    """What the page showed: if it is another when the list is written, it is shown again."""
    found = counts(bringing)
    return f"{found.new}.{found.changed}.{found.same}.{found.refused}.{found.asked}"


def open_job(upload: Upload) -> Job | None:
    """The background job that is writing the list, or is about to."""
    if upload.written_at or "job" not in upload.result:
        return None
    return Job.objects.open().filter(pk=upload.result["job"]).select_related("build").first()


def bring_in(
    upload: Upload, person: Person, seen: Bringing | None = None, *, leave_out: bool = False
) -> bool:
    """Write the list, at once or by a worker if it is long. False if that was done already.

    Parameters
    ----------
    seen
        What the builder saw. If the list would now do something else, it is not written.
    leave_out
        Leave the rows with faults out.

    Raises
    ------
    CannotBring
        It has faults or open questions, or the build has changed since it was seen.
    Refused
    """
    shown = signature(seen) if seen else None
    if seen and len(seen.going) > MANY.get(upload.kind, MANY_OTHERS):
        refuse_unready(seen, leave_out=leave_out)
        return _queue(upload, person, leave_out, shown)
    with transaction.atomic():
        fresh = Upload.objects.select_for_update().select_related("build").get(pk=upload.pk)
        if fresh.written_at or open_job(fresh):
            return False
        write_looked_at(fresh, person, leave_out=leave_out, shown=shown)
    return True


def _queue(upload: Upload, person: Person, leave_out: bool, shown: str | None) -> bool:
    with transaction.atomic():
        fresh = Upload.objects.select_for_update().get(pk=upload.pk)
        if fresh.written_at or open_job(fresh):
            return False
        job = queue(
            "list-bring-in",
            build=upload.build,
            key=f"list-{upload.pk}",
            person=person,
            upload=upload.pk,
            leave_out=leave_out,
            shown=shown,
        )
        fresh.result = {"job": job.pk}
        fresh.save(update_fields=["result", "changed_at"])
    return True


def write_looked_at(upload: Upload, person: Person, *, leave_out: bool, shown: str | None) -> None:
    """Look at a list once more and write it, in the transaction that the caller has opened."""
    bringing = look_at(upload, person)
    if shown is not None and shown != signature(bringing):
        raise CannotBring(
            "The build has changed since this was shown, and the list now does something else. "
            "Look at it once more."
        )
    done = write(bringing, upload.of, leave_out=leave_out)
    upload.written_at = timezone.now()
    upload.result = {"new": done.new, "changed": done.changed, "same": done.same,
                     "refused": done.refused}  # fmt: skip
    upload.content = b""
    upload.save(update_fields=["written_at", "result", "content", "changed_at"])
