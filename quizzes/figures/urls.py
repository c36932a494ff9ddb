"""Where the pages of figures are: question quality, rules to reteach, warm-ups."""

from django.urls import path

from quizzes.figures.views import (
    bank_difficulty,
    bank_figures,
    bank_reteach,
    figures_add,
    figures_file,
    question_figures,
    reteach,
    warm_up,
    warm_up_sheet,
)

urlpatterns = [
    path("banks/<int:bank>/figures/", bank_figures, name="bank-figures"),
    path("banks/<int:bank>/figures/file/", figures_file, name="figures-file"),
    path("banks/<int:bank>/figures/add/", figures_add, name="figures-add"),
    path("banks/<int:bank>/difficulty/", bank_difficulty, name="bank-difficulty"),
    path("banks/<int:bank>/reteach/", bank_reteach, name="bank-reteach"),
    path("banks/<int:bank>/questions/<slug:question>/figures/", question_figures, name="question-figures"),
    path("classes/<int:section>/reteach/", reteach, name="reteach"),
    path("classes/<int:section>/warm-up/", warm_up, name="warm-up"),
    path("classes/<int:section>/warm-up.pdf", warm_up_sheet, name="warm-up-sheet"),
]
