"""All changes of the workshop, what each did, and taking one back."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from onceapart.site.pages.shared import Now, plain_problem, said, who_is, with_workshop
from onceapart.site.store.models import Version
from onceapart.site.store.versions import (
    ChangedMeanwhileError,
    ChangeRefusedError,
    NothingThereError,
    undo,
)


@require_GET
@with_workshop
def changes(request: HttpRequest, now: Now) -> HttpResponse:
    return render(request, "changes/changes.html", {"versions": Version.objects.order_by("-number")[:50]})


@require_GET
@with_workshop
def one_change(request: HttpRequest, now: Now, number: int) -> HttpResponse:
    raise Http404


@require_POST
@with_workshop
def undo_change(request: HttpRequest, now: Now, number: int) -> HttpResponse:
    """Take a change back; where that can't be, say why."""
    try:
        version = undo(number, at=timezone.now(), who=who_is(request))
    except NothingThereError as error:
        messages.error(request, f"Not undone: {error}.")
    except ChangedMeanwhileError as error:
        later = f"change {error.by.number} ({error.by.what})" if error.by else "a later change"
        messages.error(
            request,
            f"Not undone: {error.ref} was changed again since, last by {later}. Undo the later change first.",
        )
    except ChangeRefusedError as error:
        why = " ".join(plain_problem(problem) for problem in error.problems)
        messages.error(request, f"Not undone, because something later hangs on it: {why}")
    else:
        said(request, f"{version.what}.", version)
    return redirect("changes")
