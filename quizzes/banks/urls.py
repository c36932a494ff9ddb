"""A teacher's banks, and the rules as everyone reads them."""

from django.urls import path

from quizzes.banks.corrections.views import bank_corrections, bank_corrections_decline
from quizzes.banks.editions.views import accept, accept_several, take_back, value_own
from quizzes.banks.editor import quiz_settings
from quizzes.banks.editor.views import add, arrange, head, preview, question, question_add, rule, value
from quizzes.banks.files.views import bank_file, bank_import, bank_import_look
from quizzes.banks.pictures.views import picture
from quizzes.banks.reviews.views import review, review_withdraw, reviewers_print
from quizzes.banks.sources.views import sources
from quizzes.banks.views import rule_pages
from quizzes.banks.views.teacher import bank, bank_check, banks, publish

urlpatterns = [
    path("rules/<int:bank>/", rule_pages.bank, name="rules-of-bank"),
    path("banks/", banks, name="banks"),
    path("banks/import/", bank_import, name="bank-import"),
    path("banks/import/<uuid:upload>/", bank_import_look, name="bank-import-look"),
    path("banks/<int:bank>/file/", bank_file, name="bank-file"),
    path("banks/add/", add, name="bank-add"),
    path("banks/accept/", accept_several, name="banks-accept"),
    path("banks/<int:bank>/", bank, name="bank"),
    path("banks/sources/", sources, name="bank-sources"),
    path("banks/<int:bank>/sources/", sources, name="bank-sources-of"),
    path("banks/<int:bank>/check/", bank_check, name="bank-check"),
    path("banks/<int:bank>/publish/", publish, name="bank-publish"),
    path("banks/<int:bank>/accept/", accept, name="bank-accept"),
    path("banks/<int:bank>/own/<slug:value>/", value_own, name="value-own"),
    path("banks/<int:bank>/accept/take-back/", take_back, name="bank-accept-take-back"),
    path("banks/<int:bank>/review/", review, name="bank-review"),
    path("banks/<int:bank>/reviewers-print/", reviewers_print, name="bank-reviewers-print"),
    path("banks/reviews/<int:review>/withdraw/", review_withdraw, name="bank-review-withdraw"),
    path("banks/<int:bank>/blueprint/", quiz_settings.blueprint, name="bank-blueprint"),
    path("banks/<int:bank>/subject/", head, name="bank-subject"),
    path("banks/<int:bank>/arrange/", arrange, name="bank-arrange"),
    path("banks/<int:bank>/add/rule/", rule, name="rule-add"),
    path("banks/<int:bank>/rules/<slug:rule>/", rule, name="rule-edit"),
    path("banks/<int:bank>/add/question/<slug:rule>/<slug:kind>/", question_add, name="question-add"),
    path("banks/<int:bank>/questions/<slug:question>/", question, name="question-edit"),
    path("banks/<int:bank>/questions/<slug:question>/preview/", preview, name="question-preview"),
    path("banks/<int:bank>/add/value/", value, name="value-add"),
    path("banks/<int:bank>/values/<slug:value>/", value, name="value-edit"),
    path("banks/corrections/<int:correction>/", bank_corrections, name="bank-corrections"),
    path("banks/corrections/<int:correction>/decline/", bank_corrections_decline, name="bank-corrections-decline"),
    path("banks/pictures/<slug:digest>.<slug:kind>", picture, name="bank-picture"),
]
