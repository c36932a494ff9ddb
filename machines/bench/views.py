"""What a student sees of machines: the bench."""

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from machines.bench.queries import bench_of, now_of, progress_of
from shopsafe.school.clock import page_moment
from shopsafe.school.pages.guards import SignedInRequest, role
from shopsafe.school.signing_in.codes.check_word_today import word_of


@role("student")
@require_safe
def bench(request: SignedInRequest) -> HttpResponse:
    """The one thing to do next, what I may use, and why not the rest."""
    at = page_moment(request)
    page = bench_of(request.user, at)
    context = {
        "bench": page,
        "word": word_of(request.user, at),
        "progress": progress_of(page),
        "now": now_of(page, request.user),
    }
    return render(request, "machines/bench/bench.html", context)
