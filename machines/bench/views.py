"""What a student sees of machines: the bench."""

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from machines.bench.queries import bench_of
from shopsafe.school.clock import page_moment
from shopsafe.school.pages.guards import SignedInRequest, role
from shopsafe.school.signing_in.check_word_today import word_of


@role("student")
@require_safe
def bench(request: SignedInRequest) -> HttpResponse:
    """Every machine of my shop: may I use it, why not, and what comes next."""
    at = page_moment(request)
    context = {"bench": bench_of(request.user, at), "word": word_of(request.user, at)}
    return render(request, "machines/student/bench.html", context)
