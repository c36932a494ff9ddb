"""What a student sees of machines: the bench."""

from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from machines.queries import bench_of
from machines.views.words import word_of
from shopsafe.school.guards import Signed, role


@role("student")
@require_safe
def bench(request: Signed) -> HttpResponse:
    """Every machine of my shop: may I use it, why not, and what comes next."""
    at = timezone.now()
    context = {"bench": bench_of(request.user, at), "word": word_of(request.user, at)}
    return render(request, "machines/student/bench.html", context)
