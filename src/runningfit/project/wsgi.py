"""The WSGI application that the server's workers load."""

import gc
import os

from django.core.wsgi import get_wsgi_application
from django.urls import get_resolver

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "runningfit.project.settings")
application = get_wsgi_application()
# Every page is loaded now rather than when the first person waits for it.
_ = get_resolver().url_patterns

# What was loaded by now stays; looking through it for garbage again and again costs a large import a second.
gc.freeze()
gc.set_threshold(50_000, 20, 20)
