"""Jobs: the list of them, one by one, changing one, and taking it out."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods

from onceapart.site.pages.jobs.fields import JobForm
from onceapart.site.pages.jobs.looking import Looking
from onceapart.site.pages.jobs.one_job import only_brought, told_of, without_job
from onceapart.site.pages.jobs.proposed import proposed_for
from onceapart.site.pages.shared import Now, form_page, save, with_workshop
from onceapart.site.store.versions import Ref, with_entry
from onceapart.workshop import Job

GET_AND_POST = ["GET", "HEAD", "POST"]


@require_GET
@with_workshop
def jobs(request: HttpRequest, now: Now) -> HttpResponse:
    """The jobs of all cars, or of one."""
    look = Looking(now)
    asked = request.GET.get("car", "")
    cars = [now.car(asked).id] if asked else list(now.cars)
    context = {
        "of_cars": look.jobs(cars),
        "planned": look.planned,
        "proposals": proposed_for(now.workshop, cars, now.today).new,
        "asked": asked,
    }
    return render(request, "jobs/jobs.html", context)


@require_GET
@with_workshop
def one_job(request: HttpRequest, now: Now, job: str) -> HttpResponse:
    """What one job is, and what it needs."""
    found = _job(now.applied.jobs, job)
    told = told_of(found, Looking(now))
    return render(request, "jobs/job.html", {"told": told, "job": found, "of_car": now.standing(found.car)})


@require_http_methods(GET_AND_POST)
@with_workshop
def change_job(request: HttpRequest, now: Now, job: str) -> HttpResponse:
    """Change why a job is there, and where it differs from its recipe."""
    one = _job(now.workshop.jobs, job)
    look = Looking(now)
    brought = only_brought(now.workshop, one)
    form = JobForm(now.applied, look.names, one.car, of=one, brought=brought)
    title = look.names.job(job)
    if request.method == "POST":
        form = JobForm(now.applied, look.names, one.car, of=one, brought=brought, typed=request.POST)
        new = form.model
        index = [each.id for each in now.workshop.jobs].index(job)
        if new is not None and save(
            request,
            form.form,
            f"{title}: job changed",
            lambda w: with_entry(w, "jobs", new, Ref("jobs", job)),
            section="jobs",
            index=index,
        ):
            return redirect("job", job)
    context = {"job": one, "title": title, "job_form": form, "brought": brought}
    context["of_car"] = now.standing(one.car)
    return form_page(request, "jobs/change.html", context, form.form)


@require_http_methods(GET_AND_POST)
@with_workshop
def take_out_job(request: HttpRequest, now: Now, job: str) -> HttpResponse:
    """Say what hangs on a job; on POST take it out."""
    one = _job(now.workshop.jobs, job)
    names = Looking(now).names
    title = names.job(job)
    if request.method == "POST":
        if save(request, None, f"{title}: job taken out", lambda w: without_job(w, job)):
            return redirect("jobs")
        return redirect("job-take-out", job)
    after = [names.job(other.id) for other in now.workshop.jobs if job in other.after]
    context = {"job": one, "title": title, "after": after, "of_car": now.standing(one.car)}
    return render(request, "jobs/take_out.html", context)


def _job(jobs: tuple[Job, ...], job: str) -> Job:
    found = next((one for one in jobs if one.id == job), None)
    if found is None:
        raise Http404(f"job {job}")
    return found
