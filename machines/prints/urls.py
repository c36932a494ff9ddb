"""The Print page, print batches, and the page behind the code on a printed sheet."""

from django.urls import path, re_path

from machines.prints.batches.views import print_set, print_set_again, print_set_ask, print_set_file, print_set_stop
from machines.prints.room.views import print_check, print_make, print_picture, print_take_down, prints, substitute_sheet
from machines.prints.sheet_texts.views import sheet_words

urlpatterns = [
    path("prints/", prints, name="prints"),
    path("prints/<int:shop>/<slug:what>/", print_make, name="print-make"),
    path("prints/<int:shop>/<slug:what>/picture.png", print_picture, name="print-picture"),
    path("prints/<int:shop>/words/<slug:sheet>/", sheet_words, name="sheet-words"),
    path("prints/<int:shop>/sets/<slug:what>/", print_set_ask, name="print-set-ask"),
    path("prints/sets/<uuid:key>/", print_set, name="print-set"),
    path("prints/sets/<uuid:key>/stop/", print_set_stop, name="print-set-stop"),
    path("prints/sets/<uuid:key>/again/", print_set_again, name="print-set-again"),
    path("prints/sets/<uuid:key>/set.zip", print_set_file, name="print-set-file"),
    path("prints/<int:shop>/<str:code>/take-down/", print_take_down, name="print-take-down"),
    # A QR code in capitals is one size smaller, so both cases lead here.
    re_path(r"^[cC]/(?P<code>[0-9A-Za-z]{4}-?[0-9A-Za-z]{2})/?$", print_check, name="print-check"),
    path("classes/<int:section>/substitute-sheet/", substitute_sheet, name="substitute-sheet"),
]
