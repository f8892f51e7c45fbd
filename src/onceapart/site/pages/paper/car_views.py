"""Papers that go to others: the dossier of a car, and write-ups."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse

from onceapart.paper.dossier import dossier_pdf
from onceapart.paper.write_up import (
    CONTENT_POLICY,
    WriteUp,
    write_up_html,
    write_up_markdown,
    write_up_of_job,
    write_up_of_stint,
)
from onceapart.planning.workload import workload_from
from onceapart.site.pages.findings.reading import pack_of
from onceapart.site.pages.paper.data import material, photos_of
from onceapart.site.pages.paper.sending import file_name, file_response, paper_view, size_asked
from onceapart.site.pages.paper.views import stint_of
from onceapart.site.pages.shared import Now


@paper_view
def dossier(request: HttpRequest, now: Now, car: str) -> HttpResponse:
    """All that is known of a car, and what is not."""
    one = now.car(car)
    names = [finding.photo for finding in now.workshop.findings if finding.car == car]
    names += [note.photo for note in now.state.notes if note.car == car]
    content = dossier_pdf(
        now.work,
        car,
        pack_of(one),
        now.entries,
        today=max([now.today, *(entry.day for entry in now.entries)]),
        photos=photos_of(names),
        size=size_asked(request),
    )
    return file_response(content, file_name("dossier", one.name, now.today.isoformat()), "pdf")


@paper_view
def write_up_stint(request: HttpRequest, now: Now, stint: str, kind: str) -> HttpResponse:
    """What was done in a stint, to share."""
    found = material(now)
    choice = stint_of(found, stint)
    assert found.plan is not None
    made = write_up_of_stint(
        found.work,
        found.workload,
        found.plan,
        now.entries,
        choice.at,
        today=max([now.today, *(entry.day for entry in now.entries)]),
        with_private=_is_private(request),
    )
    return _sent(made, file_name("write-up", choice.key), kind)


@paper_view
def write_up_job(request: HttpRequest, now: Now, job: str, kind: str) -> HttpResponse:
    """How a job was done, to share."""
    found = material(now)
    work, workload, plan = found.work, found.workload, found.plan
    if job not in work.jobs and job in now.work.jobs:  # put in since the plan was made
        work, workload, plan = now.work, workload_from(now.applied, now.today), None
    if job not in work.jobs:
        raise Http404(f"job {job}")
    made = write_up_of_job(
        work,
        workload,
        plan,
        now.entries,
        job,
        today=max([now.today, *(entry.day for entry in now.entries)]),
        with_private=_is_private(request),
    )
    return _sent(made, file_name("write-up", job), kind)


def _is_private(request: HttpRequest) -> bool:
    return request.GET.get("private") == "1"


def _sent(made: WriteUp, name: str, kind: str) -> HttpResponse:
    if kind == "md":
        return file_response(write_up_markdown(made), name, kind)
    if kind == "html":
        return file_response(write_up_html(made), name, kind, CONTENT_POLICY)
    raise Http404(f"write-up as {kind}")
