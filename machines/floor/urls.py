"""The shop in use."""

from django.urls import path

from machines.floor.views import closing, floor, runs, settings, shops, supervising, waiting

urlpatterns = [
    path("shops/floor/", floor.floors, name="floors"),
    path("shops/<int:shop>/floor/", floor.floor, name="floor"),
    path("shops/<int:shop>/floor/wall/", floor.floor_wall, name="floor-wall"),
    path("shops/<int:shop>/floor/settings/", settings.floor_settings, name="floor-settings"),
    path("shops/<int:shop>/floor/plan/", settings.floor_plan, name="floor-plan"),
    path("shops/<int:shop>/open/", shops.shop_open, name="shop-open"),
    path("shops/<int:shop>/here/", shops.shop_here, name="shop-here"),
    path("shops/<int:shop>/end-all/", shops.shop_end_all, name="shop-end-all"),
    path("shops/<int:shop>/allow/", shops.shop_allow, name="shop-allow"),
    path("shops/<int:shop>/closing/", closing.shop_closing, name="shop-closing"),
    path("machines/<int:machine>/give/", runs.run_give, name="run-give"),
    path("machines/<int:machine>/wait/", waiting.waiting_join, name="waiting-join"),
    path("waiting/<int:waiting>/leave/", waiting.waiting_leave, name="waiting-leave"),
    path("runs/<int:run>/check/", runs.run_check, name="run-check"),
    path("runs/<int:run>/end/", runs.run_end, name="run-end"),
    path("runs/<int:run>/helper/", runs.run_helper, name="run-helper"),
    path("helpers/<int:helper>/release/", runs.helper_release, name="helper-release"),
    path("classes/<int:section>/supervising/", supervising.supervising, name="supervising"),
    path("supervising/<int:grant>/end/", supervising.supervising_end, name="supervising-end"),
]
