"""The WSGI application that the server's workers load."""

import os

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "runningfit.project.settings")
application = get_wsgi_application()
