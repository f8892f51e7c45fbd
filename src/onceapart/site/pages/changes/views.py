"""All changes of the workshop, what each did, and taking one back."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from onceapart.site.pages.changes.compare import changed_entries, grouped
from onceapart.site.pages.shared import Now, plain_problem, said, who_is, with_workshop
from onceapart.site.store.versions import (
    BusyError,
    ChangedMeanwhileError,
    ChangeRefusedError,
    NothingThereError,
    undo,
    version_of,
)
from onceapart.site.store.versions import changes as changes_of

PAGE = 30
FEW = 12
"""So many entries are shown one by one; more are put together by kind."""


@require_GET
@with_workshop
def changes(request: HttpRequest, now: Now) -> HttpResponse:
    """The changes, the newest first, so many a page."""
    before = request.GET.get("before", "")
    found = changes_of(int(before) if before.isascii() and before[:9].isdigit() else None, PAGE + 1)
    context = {"changes": found[:PAGE], "older": found[PAGE - 1].number if len(found) > PAGE else None}
    return render(request, "changes/changes.html", context)


@require_GET
@with_workshop
def one_change(request: HttpRequest, now: Now, number: int) -> HttpResponse:
    """What a change did, entry by entry."""
    change = next(iter(changes_of(number + 1, 1)), None)
    if change is None or change.number != number:
        raise Http404(f"change {number}")
    old = version_of(number - 1).workshop if number > 1 else None
    entries = changed_entries(old, version_of(number).workshop)
    groups = grouped(entries) if len(entries) > FEW else ()
    context = {"change": change, "entries": entries, "groups": groups}
    return render(request, "changes/change.html", context)


@require_POST
@with_workshop
def undo_change(request: HttpRequest, now: Now, number: int) -> HttpResponse:
    """Take a change back; where that can't be, say why and change nothing."""
    try:
        version = undo(number, at=timezone.now(), who=who_is(request))
    except (NothingThereError, BusyError) as error:
        messages.error(request, f"Not undone: {error}.")
    except ChangedMeanwhileError as error:
        later = f"change {error.by.number} ({error.by.what})" if error.by else "a later change"
        messages.error(
            request, f"Not undone: {error.ref} was changed again by {later}. Undo that one first, then this."
        )
    except ChangeRefusedError as error:
        why = " ".join(plain_problem(problem) for problem in error.problems[:3])
        messages.error(request, f"Not undone, for something that came later hangs on it. {why}")
    else:
        said(request, f"{version.what}.", version)
    return redirect("changes")
