import os

from django.core.wsgi import get_wsgi_application

from buildlog.start.lifeline import hold_on

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "buildlog.settings")
hold_on()
application = get_wsgi_application()
