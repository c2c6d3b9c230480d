"""Addresses of the measurements room, page module by page module."""

from runningfit.web.measurements import figure_urls, gauge_urls, inspection_urls, result_urls, sheet_urls

urlpatterns = [
    *figure_urls.urlpatterns,
    *sheet_urls.urlpatterns,
    *result_urls.urlpatterns,
    *gauge_urls.urlpatterns,
    *inspection_urls.urlpatterns,
]
