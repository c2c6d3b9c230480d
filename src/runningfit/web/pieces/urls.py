"""Addresses of the pieces room."""

from runningfit.web.pieces import bag_urls, list_urls, strip_urls, tally_urls, thread_urls

urlpatterns = [
    *bag_urls.urlpatterns,
    *list_urls.urlpatterns,
    *strip_urls.urlpatterns,
    *tally_urls.urlpatterns,
    *thread_urls.urlpatterns,
]
